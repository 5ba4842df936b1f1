"""Pictures of many days of a plan, which have to be played for them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from pourday.commands.shared.played import Where, begun, leave_stopped, play_out

if TYPE_CHECKING:
    from pourday.outcome.base.basis import Basis


def draw_many_days(
    basis: Basis, days: tuple[int, int], where: Where, folder: Path, units: str | None = None
) -> None:
    """Play so many days (100 at most) from a first one, and write their pictures to the folder.

    Raises:
        OSError: where the folder cannot be written to.
    """
    from pourday.report.figures.deck.edges_by_risk import edges_figure
    from pourday.report.figures.many.save import save_many_days
    from pourday.report.figures.png import save_png
    from pourday.report.units import units_named
    from pourday.study.pictures import picture_study, pictured

    study = begun(lambda: picture_study(basis, *days))
    leave_stopped(play_out(study.work, study.ledger, where), folder)
    found = pictured(study)
    reader = units_named(units)
    save_many_days(found, folder, reader)
    save_png(edges_figure(found, reader), folder / "edges_by_risk.png")
