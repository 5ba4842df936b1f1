"""Files of tickets: days, order, what is wrong or missing; the odd is named, nothing is fatal."""

from __future__ import annotations

import pytest
from builders.pours import pour
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.scenario.base.disk import NoFileError
from pourday.tickets.grammar import FORMS
from pourday.tickets.line import DAY
from pourday.tickets.loads import LoadTicket, loads_of
from pourday.tickets.read import MOST_BYTES, Tickets, parse_tickets, read_tickets

MINUTE = 60.0


def at(hour: int, minute: int = 0) -> float:
    return 3600.0 * hour + MINUTE * minute


def said(tickets: Tickets, row: int) -> str:
    return "; ".join(remark.text for remark in tickets.remarks if remark.row == row)


def loads(text: str) -> tuple[dict[str, LoadTicket], str]:
    scenario = pour()
    found, remarks = loads_of(parse_tickets(text), scenario, scenario.plans[0])
    return {load.ticket: load for load in found}, "; ".join(each.text for each in remarks)


def test_lines_keep_their_numbers_and_a_plain_file_has_nothing_to_remark():
    told = parse_tickets("units m3\n\n7 in 8:38\n# rain\n7 on 8:48\n7 off 9:05\n")
    assert [line.row for line in told.lines] == [3, 5, 6]
    assert not told.remarks
    assert parse_tickets("units yd3\n").units == "yd3"


def test_more_than_twelve_hours_back_is_the_next_day():
    told = parse_tickets("1 on 22:10\n1 off 22:40\n2 in 0:20 loaded 23:50\n2 on 0:30\n")
    assert [line.time for line in told.lines] == [
        at(22, 10), at(22, 40), DAY + at(0, 20), DAY + at(0, 30),
    ]  # fmt: skip
    assert told.lines[2].loaded == at(23, 50)
    assert not told.remarks


def test_a_line_that_comes_late_is_named_and_taken_at_its_own_time():
    told = parse_tickets("1 on 8:50\n2 on 9:20\n1 off 9:05\n")
    assert "out of order: 9:05 after 9:20 (line 2)" in said(told, 3)
    assert [line.time for line in told.in_order] == [at(8, 50), at(9, 5), at(9, 20)]


def test_a_line_typed_twice_is_said_twice_and_not_late():
    text = "1 in 8:40\n1 on 8:50\n2 in 9:00\n1 on 8:50\n"
    assert not parse_tickets(text).remarks
    assert "load 1 is on twice" in loads(text)[1]


def test_a_mistyped_hour_is_left_out_and_named_and_puts_no_other_line_out_of_order():
    lines = ["1 on 9:00", "1 off 9:16", "2 on 19:18", "2 off 9:30", "3 on 9:32", "3 off 9:45"]
    told = parse_tickets("\n".join(lines))
    assert [line.row for line in told.lines] == [1, 2, 4, 5, 6]
    assert "19:18 is more than 3 h after the lines before and after it" in said(told, 3)
    assert len(told.remarks) == 1


def test_a_long_stop_and_lines_written_up_later_are_no_slips_of_the_hour():
    lines = ["1 on 9:00", "1 off 9:16", "stop 9:20", "go 13:30", "2 off 13:40", "3 on 13:42"]
    assert not parse_tickets("\n".join(lines)).remarks
    late = ["1 on 9:00", "1 off 9:16", "5 on 11:00", "2 on 9:20", "2 off 9:32", "3 on 9:34"]
    assert len(parse_tickets("\n".join(late)).lines) == 6


def test_a_line_without_a_time_lies_between_its_neighbours():
    told = parse_tickets("7 off 9:05\n8 in\n8 on 9:20\n")
    line = told.lines[1]
    assert (line.time, line.latest, line.timed) == (at(9, 5), at(9, 20), False)
    assert "9:05 to 9:20" in said(told, 2)
    assert "left out" in said(parse_tickets("8 in\n"), 1)


def test_wrong_takes_a_line_back_and_wrong_can_be_taken_back():
    told = parse_tickets("7 in 8:38\n7 on 8:48\nwrong 2\n7 on 8:58\n")
    assert [(line.kind, line.time) for line in told.lines] == [
        ("in", at(8, 38)),
        ("on", at(8, 58)),
    ]
    assert "not true, as line 3 says" in said(told, 2)
    again = parse_tickets("7 in 8:38\n7 on 8:48\nwrong 2\nwrong 3\n")
    assert [line.kind for line in again.lines] == ["in", "on"]
    assert "no line before it" in said(parse_tickets("wrong 9\n"), 1)


def test_what_cannot_be_read_is_named_and_stops_nothing():
    told = parse_tickets("7 in 8:38\n7 off 7.5\nhello\n7 on 8:48\n")
    assert [line.kind for line in told.lines] == ["in", "on"]
    assert "7:05 or 7:50" in said(told, 2)
    assert 'not read, "hello"' in said(told, 3)


def test_in_and_off_alone_are_enough_and_what_is_derived_is_guessed():
    found, _ = loads("7 in 8:38\n7 off 9:05\n")
    load = found["7"]
    # Gate 1 min, position 3 min; 20 min of road and 6 min of batching 6 m³ before it came.
    assert load.on == at(8, 42)
    assert load.loaded == at(8, 38) - 26 * MINUTE
    assert load.volume == 6.0
    assert load.guessed == {"on", "loaded", "m3"}


def test_a_load_whose_off_is_missing_has_gone_where_the_next_is_on():
    found, remarks = loads("7 in 8:38\n7 on 8:48\n8 in 8:50\n8 on 9:10\n")
    assert found["7"].off == at(9, 10)
    assert "off" in found["7"].guessed
    assert 'load 7 has no "off"' in remarks
    assert found["8"].off is None


@pytest.mark.parametrize(
    ("text", "remark"),
    [
        ("7 on 9:05\n7 off 8:48\n", "impossible: load 7 is off 8:48, before it is on 9:05"),
        ("7 in 8:38 6.5m3\n", "brings 6.5 m³, more than a truck's 6.0 m³; taken as written"),
        ("7 in 8:38\n7 in 8:40\n", "in twice, 8:38 \\(line 1\\) and 8:40: the first counts"),
        ("7 on 8:40\n7 off 9:00 back 8m3\n", "8.0 m³ back is more than the 6.0 m³ it brought"),
        ("7 in 8:38 from Nowhere\n", "no plant is called"),
        ("pump 3 7 on 8:38\n", "the plan has no pump 3"),
        ("7 on 8:40\n7 off 9:10\n8 on 9:00\n8 off 9:20\n", "before the one ahead is off"),
    ],
)
def test_what_cannot_be_true_is_named(text, remark):
    import re

    assert re.search(remark, loads(text)[1])


def test_a_slip_of_a_digit_of_a_volume_is_named_and_the_truck_of_the_file_taken():
    found, remarks = loads("1 in 7:00 60m3\n1 on 7:02\n1 off 7:10 back 15m3\n2 in 7:15 6.5m3\n")
    assert found["1"].volume == 6.0
    assert found["1"].back == 0.0
    assert "m3" in found["1"].guessed
    assert "load 1: 60.0 m³ is more than a truck of 6.0 m³ holds: 6.0 m³ taken" in remarks
    assert "15.0 m³ back is more than the 6.0 m³ it brought: none taken as back" in remarks
    assert found["2"].volume == 6.5
    # A table with commas lost: every row is ten times too much, and none of them is a truck.
    table = "ticket;arrival;m3\n1;7:00;60\n2;7:10;60\n3;7:20;60\n"
    assert {load.volume for load in loads(table)[0].values()} == {6.0}
    # Three trucks larger than the file's are what the plant sends.
    assert {load.volume for load in loads(table.replace("60", "9.0"))[0].values()} == {9.0}


def test_a_load_hours_before_the_plan_s_first_is_a_slip_and_three_of_them_are_not():
    usual = "1 in 6:58 loaded 6:35\n1 on 7:02\n1 off 7:15\n"
    found, remarks = loads(f"{usual}31 in 3:00 loaded 2:00 6m3\n2 in 7:14 loaded 2:48\n")
    assert set(found) == {"1", "2"}
    assert "load 31: 2:00 is more than 2 h before 6:34" in remarks
    assert found["2"].loaded > at(6)
    moved = "".join(f"{n} in 3:{10 * n} loaded 2:{10 * n}\n" for n in (1, 2, 3))
    assert set(loads(moved)[0]) == {"1", "2", "3"}


def test_an_off_long_before_its_in_places_nothing_and_an_in_after_both_is_the_slip():
    found, remarks = loads("1 in 7:00\n1 off 6:10\n")
    assert found["1"].off is None
    assert "load 1 is off 6:10, before it is in 7:00; left out" in remarks
    found, remarks = loads("1 in 7:00\n1 on 6:58\n1 off 7:12\n")
    assert found["1"].on == at(7)
    found, remarks = loads("1 in 8:40\n1 on 6:45\n1 off 7:00\n")
    assert (found["1"].on, found["1"].off) == (at(6, 45), at(7))
    assert "is in 8:40, after it is on 6:45 and off 7:00; left out" in remarks


def test_a_time_of_loading_after_the_arrival_is_left_out_and_named():
    told = parse_tickets("7 in 8:38 loaded 8:50\n")
    assert told.lines[0].loaded is None
    assert "impossible: loaded 8:50" in said(told, 1)


EXPORT = """ticket;plant;loading;arrival;unloading_begin;unloading_end;m3;outcome;driver
101;Mill Road;2027-03-01 06:35;2027-03-01 06:56;2027-03-01 07:00;2027-03-01 07:10;6,0;placed;Ann
102;Mill Road;06:47;07:10;07:16;;6.0;;Bob
103;Mill Road;06:58;07:19;;07:25;6.0;test;Cy
104;Mill Road;07:10;;;;6.0;;Di
"""


def test_a_plant_s_table_is_read_as_if_it_had_been_typed():
    told = parse_tickets(EXPORT)
    assert "driver" in said(told, 1)
    scenario = pour()
    found, remarks = loads_of(told, scenario, scenario.plans[0])
    by = {load.ticket: load for load in found}
    assert not remarks
    assert (by["101"].loaded, by["101"].on, by["101"].off) == (at(6, 35), at(7), at(7, 10))
    assert by["102"].off is None
    assert by["103"].away == "test"
    assert (by["104"].left, by["104"].arrived) == (at(7, 10), None)


def test_a_table_over_midnight_without_dates_goes_on_into_the_next_day():
    head = "ticket,loading,arrival,unloading_begin,unloading_end,yd3\n"
    told = parse_tickets(head + "1,22:40,23:05,23:10,23:30,8\n2,23:45,0:10,0:20,0:40,8\n")
    assert told.lines[-1].time == DAY + at(0, 40)
    assert told.lines[0].volume == pytest.approx(8 * 27 * 0.3048**3)


def test_odd_fields_of_a_table_are_named():
    told = parse_tickets(
        "ticket,loading,m3\n1,25:00,6\n,6:00,6\n3,6:10,many\n4,2027-02-30 06:00,6\n"
    )
    assert "is no time" in said(told, 2)
    assert "no ticket number" in said(told, 3)
    assert "is no volume" in said(told, 4)
    assert "is no date" in said(told, 5)


def test_a_file_is_read_whatever_bytes_are_in_it(tmp_path):
    path = tmp_path / "tickets"
    path.write_bytes(b"\xef\xbb\xbf7 in 8:38\r\n\xff\xfe\x00\n7 on 8:48\r")
    told = read_tickets(path)
    assert [line.kind for line in told.lines] == ["in", "on"]
    assert "not read" in said(told, 2)
    path.write_bytes(b"#" * (MOST_BYTES + 1))
    with pytest.raises(NoFileError, match="more than 2000000 bytes"):
        read_tickets(path)


MESS = st.one_of(
    st.sampled_from(FORMS),
    st.text(max_size=30),
    st.sampled_from(("7 in", "7 on", "wrong 1", "8 off 0:10", "7 off 23:50 back 99m3", "9 away")),
)


@given(st.lists(MESS, max_size=25))
@settings(max_examples=150, deadline=None)
def test_any_file_of_any_lines_gives_tickets_and_loads(lines):
    told = parse_tickets("\n".join(lines))
    scenario = pour()
    found, _ = loads_of(told, scenario, scenario.plans[0])
    for load in found:
        times = [t for t in (load.arrived, load.on, load.off) if t is not None]
        assert times == sorted(times)
        assert 0.0 <= load.back <= load.volume


@given(
    st.lists(
        st.lists(
            st.sampled_from(
                ("", "1", "06:35", "2027-03-01 06:35", "x", "9" * 30, "6.0", '"', "test")
            ),
            max_size=6,
        )
    )
)
@settings(max_examples=100, deadline=None)
def test_any_table_is_read(rows):  # fmt: skip
    head = "ticket;loading;arrival;unloading_begin;unloading_end;m3\n"
    told = parse_tickets(head + "\n".join(";".join(row) for row in rows))
    scenario = pour()
    loads_of(told, scenario, scenario.plans[0])


def test_where_nobody_writes_on_the_first_that_is_in_is_at_the_pump():
    scenario = pour()
    text = "7 in 8:38\n7 off 9:05\n8 in 8:55\n9 in 9:02\n"

    def _on(text: str, now: float) -> dict[str, float | None]:
        found, _ = loads_of(parse_tickets(text), scenario, scenario.plans[0], now)
        return {load.ticket: load.on for load in found}

    assert _on(text, at(9, 10)) == {"7": at(8, 42), "8": at(9, 5), "9": None}
    # One that writes "on" elsewhere has not forgotten it here.
    assert _on(text + "7 on 8:45\n", at(9, 10))["8"] is None
