"""``check``: can the file be played, and does each plan ask what its people can take."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from pourday.outcome.base.basis import Basis
from pourday.outcome.capacity import capacities
from pourday.report.basis import why_not_judged
from pourday.report.text.first.screen import BLANK, LINES, Part, said, show, table_of, titled
from pourday.scenario.model.scenario import Scenario

_HOUR = 3600.0
_FEW = 4


def first_check(
    console: Console, scenario: Scenario, plans: Sequence[Basis], warnings: Sequence[str]
) -> None:
    """Print whether it can be played, what to look at, and a row for every plan."""
    layout, floor = plans[0].layout, scenario.floor
    rows: list[tuple[str, tuple[str, ...]]] = []
    off: list[str] = []
    for basis in plans:
        fronts = capacities(basis)
        share = max(each.share for each in fronts)
        if any(each.warns for each in fronts):
            off.append(basis.plan.name)
        asks, takes = (sum(getattr(f, k) for f in fronts) * _HOUR for k in ("asks", "takes"))
        mark = " !" if basis.plan.name in off else ""
        cells = (str(len(basis.layout.strips)), f"{basis.pair_length.sum():.0f} m",
                 f"{asks:.0f} m³/h", f"{takes:.0f} m³/h", f"{share:.0%}{mark}")  # fmt: skip
        rows.append((basis.plan.name, cells))
    broken = sum(len(basis.layout.broken) for basis in plans)
    look = len(warnings) + len(off) + bool(broken) + bool(why_not_judged(scenario))
    many = f"{look} thing{'s' * (look != 1)} to look at" if look else "Nothing stands out"
    parts = [
        titled(
            scenario.title, f"{scenario.date:%d %b %Y}   {len(plans)} plan{'s' * (len(plans) > 1)}"
        ),
        BLANK,
        Part(f"The file can be played: no fault. {many}."),
        Part(f"To place: {layout.volume.sum():.1f} m³, {layout.ponding:.1f} of it in the sag."),
        BLANK,
        table_of(console, "plan", ("strips", "open\nedge", "asks", "takes", "share"), rows),
        Part("asks: what trucks bring; takes: what pump, crew and truck let through", 2),
        BLANK,
        said(
            "Floor",
            f"{floor.supports[-1] - floor.supports[0]:.1f} x {floor.length_y:.1f} m, "
            f"{len(floor.supports) - 1} spans, {len(layout.cut.bays)} bays",
        ),
    ]
    if broken:
        parts.append(said("RULES", f"of placing are broken {broken} times: --full says which."))
    if off:
        parts.append(said("PACE", f"trucks queue or the pump waits: {', '.join(map(repr, off))}"))
    if why_not_judged(scenario):
        parts.append(said("DECK", why_not_judged(scenario)))
    parts += [said("WARNING", text) for text in warnings[:1]]
    if len(warnings) > 1:
        parts.append(said("WARNING", f"{len(warnings) - 1} more: --full"))
    parts.append(said("NEXT", "all of it: --full   draw it: --draw   plans: compare"))
    show(console, parts, LINES + 2 * max(0, len(plans) - _FEW))
