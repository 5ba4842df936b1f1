"""What was printed: the pages of a sheet, and what they were made from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from rich.console import Console

from pourday.report.refusals import refusals
from pourday.report.screen import units_of
from pourday.report.words import caution, clock, marked, table
from pourday.study.sheet.says import Sheet


def sheet_report(console: Console, sheet: Sheet, path: str, subjects: Sequence[str]) -> None:
    """Say what stands in the file that was written, and when the pour ends by it."""
    basis, last = sheet.basis, sheet.last_concrete
    console.print(
        marked((basis.scenario.title, "bold"), f"   plan {basis.plan.name!r}, {sheet.days} days")
    )
    if last.about == last.about:
        console.print(
            f"last concrete about {clock(last.about)}, by {clock(last.by)} on 9 days in 10",
            highlight=False,
        )
    for words in refusals(sheet, units_of(console)):
        console.print(marked((words, "bold")))
    console.print(marked(f"{path}: {len(subjects)} pages"))
    rows = table("pages>", "")
    pages = Counter(subject.removesuffix(", continued") for subject in subjects)
    for subject, count in pages.items():
        rows.add_row(str(count), subject)
    console.print(rows, highlight=False)
    caution(console)
