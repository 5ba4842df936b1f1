"""Orders in a rehearsal: given, taken back, tried out, and what the page of a stop answers."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders.pours import basis_of, pour
from builders.shipped import first_basis, shipped
from test_rehearse import PLAN, TWO, after, lines_of, row, shown, typed

from pourday.outcome.scene import scene
from pourday.report.rehearsal.answers import stop_page
from pourday.report.rehearsal.ordering import tried
from pourday.report.rehearsal.rehearse import opening, page_of, press, upset_reader
from pourday.report.rehearsal.stand import Replay
from pourday.scenario.model.scenario import Standby
from pourday.study.choices.rehearsed import Rehearsed, moment_of
from pourday.study.choices.ways import HERE, endings
from pourday.study.days import blind_day
