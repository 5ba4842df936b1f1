"""``pourday.sheet``: paper for the site, from many days of one plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from io import BytesIO
from os import PathLike, fspath
from pathlib import Path

from pourday.api.base import one_plan, units_of, whole
from pourday.scenario.base.written import replaced
from pourday.scenario.model.scenario import Scenario
from pourday.study.engine.run import engine_for, run
from pourday.study.sheet.made import sheet_of, sheet_study
from pourday.study.sheet.says import Sheet


@dataclass(frozen=True, eq=False)
class SiteSheet:
    """What the paper of a plan says, ready to be printed.

    ``says`` holds all of it as values, SI, clock times in s since midnight of the pour day:
    ``says.strips``, ``says.loads``, ``says.stops``, ``says.finish`` and the rest.
    """

    plan: str
    says: Sheet = field(repr=False)

    def to_pdf(
        self,
        path: str | PathLike[str] | None = None,
        *,
        paper: str = "a4",
        units: str = "si",
        made_on: date | None = None,
    ) -> bytes:
        """The pages that ``pourday sheet --pdf`` writes, as bytes; written to ``path`` as well.

        Args:
            path: where to, if anywhere. A file that is there is replaced when all is written.
            paper: "a4" or "letter".
            units: "us" says it in yd³, ft, in and °F (docs/units.md).
            made_on: the date on every page; the day on which the days were played unless told.

        Raises:
            ValueError: for paper or units of another name.
            OSError: where the file cannot be written.
        """
        from pourday.report.sheet.paper import PAPERS
        from pourday.report.sheet.save import sheet_pages, write_pages

        if paper not in PAPERS:
            raise ValueError(f"paper: found {paper!r}; allowed: 'a4' or 'letter'")
        into, says = BytesIO(), replace(self.says, made_on=made_on or self.says.made_on)
        write_pages(says, sheet_pages(says, paper, units_of(units)), into)
        if path is not None:
            with replaced(Path(fspath(path))) as file:
                file.write(into.getvalue())
        return into.getvalue()


def sheet(
    scenario: Scenario,
    plan: str | None = None,
    days: int = 200,
    workers: int | None = None,
    *,
    seed: int = 0,
    upsets: Sequence[str] = (),
) -> SiteSheet:
    """Play many days of a plan and put its sheet together, as ``pourday sheet`` does.

    Args:
        scenario: from ``read``.
        plan: its name; the first plan unless told.
        days: how many, 1 or more.
        workers: processes; all cores unless told; 1 plays in this one.
        seed: number of the first day, 0 or more.
        upsets: what goes wrong on every day, such as "10:30 pump down 45 min".

    Raises:
        KeyError: where there is no such plan; its first argument names those there are.
        ScenarioError: with every fault of the plan and of the upsets.
        ValueError: for numbers below their least.
    """
    days, seed = whole("days", days, 1), whole("seed", seed, 0)
    workers = None if workers is None else whole("workers", workers, 1)
    basis = one_plan(scenario, plan, upsets)
    study = sheet_study(basis, days, seed)
    with engine_for(workers, len(study.ledger.jobs)) as engine:
        run(engine, study.work, study.ledger)
    return SiteSheet(basis.plan.name, sheet_of(study, date.today()))
