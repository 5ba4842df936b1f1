"""What tickets teach: the file beside the tickets, what stays, the lines to paste."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from pourday.report.text.learned_lines import pasted
from pourday.report.words import caution, dim, heading, marked, table
from pourday.study.learn.found import DAY, SHARE, Learned, Row
from pourday.study.learn.pours import Value
from pourday.study.learn.shape import UNLIKELY
from pourday.study.learn.written import middle_and_sd

_REMARKS = 3


def learned_report(console: Console, found: Learned, full: bool = False) -> None:
    """Print what was learned; with ``full`` every remark on a line of the tickets."""
    basis = found.basis
    head = f"   plan '{basis.plan.name}'   {_count(found.pours, 'pour')}, "
    console.print(marked((basis.scenario.title, "bold"), head, _count(found.loads, "load")))
    if found.learned:
        _table(console, found.learned)
    _stays(console, found.rows)
    if found.learned:
        heading(console, "To paste over the old lines of the file")
        for line in pasted(found):
            console.print(Text(line), soft_wrap=True)
    _untold(console, found)
    _left_out(console, found)
    _remarks(console, found, full)
    caution(console)


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _table(console: Console, rows: Sequence[Row]) -> None:
    console.print()
    out = table("", "file>", "tickets>", "9 in 10 sure>", "loads>", "pours>", "fits>")
    for row in rows:
        assert row.mean is not None
        old, old_sd = middle_and_sd(row.old)
        fits = "" if row.worse is None else "NO" if row.worse < UNLIKELY else "yes"
        out.add_row(
            _what(row), number(old, row.unit), number(row.mean.about, row.unit),
            _between(row.mean, row.unit), str(row.count), str(row.pours), fits,
        )  # fmt: skip
        if row.sd is not None:
            out.add_row(
                "  sd", number(old_sd, row.unit), number(row.sd.about, row.unit),
                _between(row.sd, row.unit),
            )  # fmt: skip
    console.print(out)
    if any(row.worse is not None and row.worse < UNLIKELY for row in rows):
        console.print(
            marked(
                ("NO: ", "bold"),
                "neither form fits what was seen; look at the figure (--figures) before you paste.",
            )
        )
    for row in rows:
        if row.note:
            console.print(dim(f"{row.what}: {row.note}."))


def _what(row: Row) -> str:
    return row.what if row.unit in (DAY, SHARE) else f"{row.what}, {row.unit}"


def number(value: float, unit: str) -> str:
    """A number of a row as people read it."""
    if unit == SHARE:
        return f"{100 * value:.1f} %"
    if unit == DAY:
        return f"{value:.2f}" if value < 1.0 else "over 1"
    return (
        f"{value:.0f}" if value >= 99.95 else f"{value:.1f}" if value >= 9.995 else f"{value:.2f}"
    )


def _between(value: Value, unit: str) -> str:
    return f"{number(value.low, unit)} to {number(value.high, unit)}"


def _stays(console: Console, rows: Sequence[Row]) -> None:
    stay = [row for row in rows if row.new is None]
    if not stay:
        return
    heading(console, "What stays as the file has it")
    for row in stay:
        console.print(f"{row.what} ({row.key}): {row.why}.")


def _untold(console: Console, found: Learned) -> None:
    heading(console, "What tickets do not tell")
    for said in found.untold:
        console.print(f"{said}.")


def _left_out(console: Console, found: Learned) -> None:
    if not found.left_out:
        return
    said = "; ".join(f"{count} {why}" for why, count in sorted(found.left_out.items()))
    console.print()
    console.print(f"Left out: {said}.")


def _remarks(console: Console, found: Learned, full: bool) -> None:
    count = sum(len(remarks) for _, remarks in found.remarks)
    if not count:
        return
    heading(console, f"Lines of the tickets to look at: {count}")
    for name, remarks in found.remarks:
        shown = remarks if full else remarks[:_REMARKS] if len(found.remarks) == 1 else ()
        for remark in shown:
            where = f"{name}, line {remark.row}" if remark.row else name
            console.print(f"{where}: {remark.text}")
    if not full:
        files = [f"{name} {len(remarks)}" for name, remarks in found.remarks if remarks]
        console.print(f"{', '.join(files)} (--full lists them)")
