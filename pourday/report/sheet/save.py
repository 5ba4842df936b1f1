"""Binding and writing: all pages of a sheet, as PDF with real text, or as pictures to look at.

Import this module only where a sheet is written: it brings matplotlib with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, BinaryIO

import matplotlib as mpl
from matplotlib.backends.backend_pdf import PdfPages

from pourday.report.sheet import amounts
from pourday.report.sheet.before_after import before_after
from pourday.report.sheet.finish import finish
from pourday.report.sheet.if_it_stops import if_it_stops
from pourday.report.sheet.loads import loads
from pourday.report.sheet.paper import Book, Heading, Page
from pourday.report.sheet.people import people
from pourday.report.sheet.strips import strips
from pourday.report.sheet.the_day import the_day
from pourday.report.units import SI, Units
from pourday.scenario.base.written import replaced
from pourday.study.sheet.says import Sheet
from pourday.study.told import Told, counted, nobody

# Letters as letters (TrueType, so that they can be found and read aloud), and nothing of the
# user's own settings of matplotlib.
_AS_TEXT: dict[Any, Any] = {
    "pdf.fonttype": 42, "pdf.use14corefonts": False, "text.usetex": False, "path.sketch": None,
    "text.parse_math": False, "pdf.compression": 6, "pdf.inheritcolor": False,
}  # fmt: skip
_METADATA: dict[str, Any] = {"CreationDate": None, "ModDate": None, "Producer": None}


def sheet_pages(
    sheet: Sheet, paper: str = "a4", units: Units = SI, told: Told = nobody
) -> tuple[Page, ...]:
    """All pages in order on ``paper``, "a4" or "letter", in these units, with their numbers."""
    scenario, plan = sheet.basis.scenario, sheet.basis.plan
    heading = Heading(
        title=scenario.title,
        pour=f"pour on {amounts.day(scenario.date)}",
        plan=plan.name,
        made_on=amounts.day(sheet.made_on),
    )
    book = Book(paper, heading, units)
    subjects = (the_day, strips, loads, if_it_stops, people, finish, before_after)
    for subject in counted(subjects, told):
        subject(book, sheet)
    return book.bound()


def save_sheet(sheet: Sheet, pages: Sequence[Page], path: Path, told: Told = nobody) -> Path:
    """Write the pages of a sheet as PDF, the same bytes for the same sheet; ``path``.

    Raises:
        OSError: where the file cannot be written.
    """
    with replaced(path) as file:
        write_pages(sheet, pages, file, told)
    return path


def write_pages(sheet: Sheet, pages: Sequence[Page], into: BinaryIO, told: Told = nobody) -> None:
    """Write the pages of a sheet as PDF to a stream."""
    title = f"{sheet.basis.scenario.title}: {sheet.basis.plan.name}"
    about = _METADATA | {"Title": title, "Creator": "pourday"}
    with mpl.rc_context(_AS_TEXT), PdfPages(into, metadata=about) as pdf:
        for page in counted(pages, told):
            pdf.savefig(page.figure)
