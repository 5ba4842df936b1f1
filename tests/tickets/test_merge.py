"""Lines typed in the hut and the plant's table of the same pour."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.pours import pour

from pourday.tickets.line import DAY
from pourday.tickets.loads import LoadTicket, loads_of
from pourday.tickets.note import note
from pourday.tickets.read import Tickets, parse_tickets, read_tickets

TABLE = """ticket;plant;loading;arrival;unloading_begin;unloading_end;m3
100417;Mill Road;08:18:20;08:38;08:48;09:05;5,5
100418;Mill Road;08:30:00;08:51;09:06;09:20;6,0
"""
HUT = "also Plant 1.csv\n417 in 8:39 6m3\n417 on 8:48\n417 off 9:20\nstrip 1 full 9:21\n"


def both(folder: Path, typed: str = HUT, table: str = TABLE) -> Tickets:
    (folder / "Plant 1.csv").write_text(table, encoding="utf-8")
    (folder / "hut.txt").write_text(typed, encoding="utf-8")
    return read_tickets(folder / "hut.txt")


def said(told: Tickets) -> str:
    return "; ".join(remark.text for remark in told.remarks)


def loads(told: Tickets) -> dict[str, LoadTicket]:
    scenario = pour()
    found, _ = loads_of(told, scenario, scenario.plans[0])
    return {load.ticket: load for load in found}


def at(hour: int, minute: int, second: int = 0) -> float:
    return 3600.0 * hour + 60.0 * minute + second


def test_the_hut_knows_the_site_and_the_plant_what_it_loaded(tmp_path):
    told = both(tmp_path)
    found = loads(told)
    assert set(found) == {"417", "100418"}
    load = found["417"]
    assert (load.loaded, load.arrived, load.on) == (at(8, 18, 20), at(8, 39), at(8, 48))
    assert load.off == at(9, 20)
    assert load.volume == pytest.approx(5.5)
    assert found["100418"].off == at(9, 20)
    assert any(line.kind == "strip full" for line in told.lines)


def test_what_agrees_is_not_remarked_and_what_differs_is_named(tmp_path):
    told = both(tmp_path)
    assert "load 417 is off 9:20, and 9:05 by Plant 1.csv: the line typed counts" in said(told)
    assert "brings 6.00 m³, and 5.50 m³ by Plant 1.csv: the plant's counts" in said(told)
    assert "is in 8:39" not in said(told)
    assert len(told.remarks) == 2


def test_a_table_none_of_whose_numbers_was_typed_does_not_count_each_load_twice(tmp_path):
    told = both(tmp_path, HUT.replace("417", "7"))
    assert "no number of a ticket there was typed" in said(told)
    assert set(loads(told)) == {"7"}


def test_digits_that_end_two_numbers_are_named(tmp_path):
    table = TABLE.replace("100418", "200417")
    told = both(tmp_path, HUT + "100417 in 8:38\n", table)
    assert "417 may be load 100417 or 200417 of the table" in said(told)


ROWS = "ticket;arrival;unloading_begin;unloading_end;m3\n" + "".join(
    f"MILL-10000{n};7:{10 + 12 * (n - 1)};7:{12 + 12 * (n - 1)};7:{20 + 12 * (n - 1)};6\n"
    for n in (1, 2, 3)
)


def test_a_load_of_one_digit_is_the_row_in_its_place_and_is_not_counted_twice(tmp_path):
    told = both(tmp_path, "also Plant 1.csv\n1 in 7:08\n1 off 7:19\n3 off 7:41\n", ROWS)
    assert set(loads(told)) == {"1", "MILL-100002", "3"}
    assert loads(told)["1"].off == at(7, 19)
    assert "twice" not in said(told)


def test_a_load_of_one_digit_without_a_row_is_said_to_count_twice_perhaps(tmp_path):
    typed = "also Plant 1.csv\n1 in 7:08\n2 in 7:53\n9 in 7:40\n"
    told = both(tmp_path, typed, ROWS)
    assert set(loads(told)) == {"1", "2", "9", "MILL-100002", "MILL-100003"}
    assert "loads 2, 9: no row of Plant 1.csv has the number and the times" in said(told)
    # The order of rows agrees and their times do not: the table is another pour's.
    assert set(loads(both(tmp_path, "also Plant 1.csv\n1 in 9:10\n", ROWS))) == {"1"}


def test_a_longer_number_in_its_place_vouches_for_times_less_near(tmp_path):
    rows = ROWS + "".join(f"MILL-1000{n:02d};8:{n};8:{n + 1};8:{n + 5};6\n" for n in range(10, 13))
    rows += "".join(f"MILL-10000{n};7:5{n};7:5{n};7:5{n};6\n" for n in range(4, 10))
    typed = "also Plant 1.csv\n1 in 7:21\n12 in 8:12\n"
    assert {"1", "12"} < set(loads(both(tmp_path, typed, rows)))
    assert "MILL-100001" not in loads(both(tmp_path, typed, rows))
    assert "may count twice" in said(both(tmp_path, typed.replace("12 in 8:12", "2 in 7:22"), rows))


def test_a_load_that_the_hut_sent_away_was_not_placed(tmp_path):
    told = both(tmp_path, "also Plant 1.csv\n417 in 8:39\n417 away 8:50 too old\n")
    assert "load 417 was sent away, and is on 8:48 by Plant 1.csv" in said(told)
    assert loads(told)["417"].away == "too old"
    assert loads(told)["417"].on is None


def test_a_table_alone_brings_all_its_loads_to_typed_strips(tmp_path):
    assert set(loads(both(tmp_path, "strip 1 full 9:18\nalso Plant 1.csv\n"))) == {
        "100417",
        "100418",
    }


def test_a_table_that_begins_before_midnight_stands_on_the_day_of_the_lines(tmp_path):
    table = "ticket;loading;arrival\n89;22:20;23:00\n90;22:50;23:20\n91;23:50;00:20\n"
    told = both(tmp_path, "also Plant 1.csv\n91 in 0:20\n91 on 0:30\n", table)
    found = loads(told)
    assert found["91"].loaded == at(23, 50) - DAY
    assert found["90"].arrived == at(23, 20) - DAY


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("also none.csv\n7 in 8:38\n", '"none.csv" is not read: '),
        ("also hut.txt\n7 in 8:38\n", "not those of a plant's table"),
        ("also\n7 in 8:38\n", "which file"),
    ],
)
def test_a_table_that_cannot_be_read_is_named_and_the_lines_count(tmp_path, typed, why):
    told = both(tmp_path, typed)
    assert why in said(told)
    assert set(loads(told)) == {"7"}


def test_faulty_rows_of_the_table_are_named_with_their_row_and_wrong_takes_the_table_back(tmp_path):
    faulty = TABLE + ";;08:40;;;;6\n"
    assert "Plant 1.csv, row 4: no ticket number" in said(both(tmp_path, HUT, faulty))
    taken_back = both(tmp_path, HUT + "wrong 1\n", faulty)
    assert set(loads(taken_back)) == {"417"}
    assert "row 4" not in said(taken_back)


def test_a_text_without_a_folder_reads_no_file():
    assert "is not read" in said(parse_tickets(HUT))


def test_the_name_of_a_table_is_noted_as_it_is_and_a_sheet_of_any_alphabet_is_read(tmp_path):
    note(tmp_path / "hut.txt", "also Plant 1.csv", 0.0)
    assert (tmp_path / "hut.txt").read_text() == "also Plant 1.csv\n"
    (tmp_path / "Plant 1.csv").write_bytes(TABLE.replace("m3", "m³").encode("utf-16"))
    assert loads(read_tickets(tmp_path / "hut.txt"))["100417"].volume == pytest.approx(5.5)
    (tmp_path / "Plant 1.csv").write_bytes(TABLE.replace("m3", "m³").encode("cp1252"))
    assert loads(read_tickets(tmp_path / "hut.txt"))["100417"].volume == pytest.approx(5.5)
