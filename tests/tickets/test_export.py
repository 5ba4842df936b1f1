"""A plant's table as plants spell it: headings, decimals, dates; what is faulty is named."""

from __future__ import annotations

import pytest

from pourday.tickets.columns import column_of, time_of, volume_of
from pourday.tickets.line import YARD3
from pourday.tickets.read import Tickets, parse_tickets


def said(tickets: Tickets, row: int) -> str:
    return "; ".join(remark.text for remark in tickets.remarks if remark.row == row)


def at(hour: int, minute: int) -> float:
    return 3600.0 * hour + 60.0 * minute


@pytest.mark.parametrize(
    ("heading", "column"),
    [
        ("Ticket No.", "ticket"),
        ("DELIVERY NOTE NO", "ticket"),
        ("Time of loading", "loading"),
        ("Batched", "loading"),
        ("Arrived on site", "arrival"),
        ("Start discharge", "unloading_begin"),
        ("End of unloading", "unloading_end"),
        ("Volume (m³)", "m3"),
        ("Quantity [m3]", "m3"),
        ("cu. yd.", "yd3"),
        ("Returned (yd³)", "back_yd3"),
        ("Quantity", "volume"),
        ("driver", ""),
        ("", ""),
    ],
)
def test_headings_are_read_as_plants_spell_them(heading, column):
    assert column_of(heading) == column


@pytest.mark.parametrize(
    "row",
    [
        "417;Mill Road;08:18;08:38;08:48;09:05;7,5",
        "417\tMill Road\t8.18\t8.38\t8.48\t9.05\t7.5",
        '417,Mill Road,8:18 AM,8:38 am,8:48 a.m.,9:05 AM,"7,5"',
        "417,Mill Road,12.05.2027 08:18,12.05.2027 08:38,12.05.2027 08:48,12.05.2027 09:05,7.5",
        "417,Mill Road,05/13/2027 8:18,05/13/2027 8:38,05/13/2027 8:48,05/13/2027 9:05,7.5 m3",
    ],
)
def test_one_load_is_the_same_however_it_is_written(row):
    comma = max(";,\t", key=row.count)
    names = ("Ticket No.", "Plant", "Loaded", "Arrived", "Start discharge", "End discharge", "m³")
    told = parse_tickets(comma.join(names) + "\n" + row + "\n")
    assert not told.remarks
    assert [(line.kind, line.time) for line in told.lines] == [
        ("in", at(8, 38)),
        ("on", at(8, 48)),
        ("off", at(9, 5)),
    ]
    assert told.lines[0].loaded == at(8, 18)
    assert told.lines[0].volume == pytest.approx(7.5)
    assert told.lines[0].plant == "mill road"


def test_titles_may_stand_over_the_columns_and_are_named():
    told = parse_tickets("Daily report;12.05.2027\n\nticket;loading;arrival\n1;6:00;6:20\n")
    assert len(told.lines) == 1
    assert "over the columns" in said(told, 1)


def test_a_volume_whose_unit_nobody_wrote_is_not_guessed():
    told = parse_tickets("ticket;loading;quantity\n1;6:00;7.5\n2;6:10;7.5 yd3\n")
    assert "has no unit: write m3 or yd3" in said(told, 2)
    assert told.lines[0].volume is None
    assert told.lines[1].volume == pytest.approx(7.5 * YARD3)
    with pytest.raises(ValueError, match="is in yd3, and its column in m3"):
        volume_of("7.5 yd3", "m3")


def test_a_row_cut_by_a_decimal_comma_is_named_and_left_out():
    told = parse_tickets("ticket,loading,m3\n1,6:00,7,5\n2,6:10,7.5\n")
    assert "4 fields in 3 columns: left out" in said(told, 2)
    assert '"7,5"' in said(told, 2)
    assert [line.load for line in told.lines] == ["2"]


def test_day_and_month_that_could_be_either_are_named_once_and_the_clock_counts():
    told = parse_tickets("ticket,loading\n1,05/12/2027 6:00\n2,05/12/2027 6:10\n")
    assert [line.time for line in told.lines] == [at(6, 0), at(6, 10)]
    assert "day or month first?" in said(told, 2)
    assert not said(told, 3)
    assert time_of("13/05/2027 6:00")[0] == time_of("05/13/2027 6:00")[0]


def test_columns_told_twice_void_rows_long_numbers_and_other_days_are_named():
    told = parse_tickets(
        "ticket,loading,loaded,status\n"
        "1,2027-05-12 06:00,,placed\n"
        "2,2027-05-12 06:10,,VOID\n"
        f"{'9' * 41},2027-05-12 06:20,,\n"
        "4,2027-05-19 06:30,,\n"
    )
    assert 'says the same as "loading"' in said(told, 1)
    assert '"void": left out' in said(told, 3)
    assert "more than 40 letters" in said(told, 4)
    assert "a file a pour" in said(told, 5)
    assert [line.load for line in told.lines] == ["1"]


def test_long_ticket_numbers_that_begin_alike_are_two_loads():
    told = parse_tickets("ticket,loading\nMILL-2027-000417,6:00\nMILL-2027-000418,6:10\n")
    assert len({line.load for line in told.lines}) == 2
