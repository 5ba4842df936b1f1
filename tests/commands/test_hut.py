"""Which moment a forecast is for: as asked, by the clock, or as the file ends."""

from __future__ import annotations

import pytest
import typer

from pourday.commands.shared.hut import moment
from pourday.tickets.line import DAY
from pourday.tickets.read import Tickets, parse_tickets

MORNING = "1 in 8:00\n1 on 8:10\n1 off 8:25\n2 in 8:20\n2 on 8:30\n"


def at(hour: int, minute: int = 0) -> float:
    return 3600.0 * hour + 60.0 * minute


def test_the_clock_counts_shortly_after_the_last_line():
    told = parse_tickets(MORNING)
    assert moment(told, None, at(7), at(8, 40)) == at(8, 40)
    assert moment(told, None, at(7), at(11)) == at(11)


def test_a_file_of_another_day_is_looked_at_as_it_ends():
    told = parse_tickets(MORNING)
    assert moment(told, None, at(7), at(16)) == at(8, 30)
    assert moment(told, None, at(7), at(6)) == at(8, 30)


def test_a_slip_with_a_time_to_come_does_not_move_the_clock():
    told = parse_tickets(MORNING + "2 off 18:45\n")
    assert moment(told, None, at(7), at(8, 50)) == at(8, 50)


def test_a_night_pour_goes_on_after_midnight():
    told = parse_tickets("1 in 22:00\n1 on 22:10\n1 off 22:40\n2 in 0:10\n2 on 0:20\n")
    assert moment(told, None, at(21), at(0, 30)) == DAY + at(0, 30)
    assert moment(told, "0:25", at(21), at(12)) == DAY + at(0, 25)
    assert moment(told, "23:00", at(21), at(12)) == at(23)


def test_what_is_asked_for_counts():
    told = parse_tickets(MORNING)
    assert moment(told, "8:20", at(7), at(15)) == at(8, 20)
    assert moment(told, "820", at(7), at(15)) == at(8, 20)
    with pytest.raises(typer.Exit):
        moment(told, "8.5", at(7), at(15))


def test_before_the_first_line_all_of_the_plan_is_to_come():
    assert moment(Tickets(), None, at(7), at(12)) < at(7)
