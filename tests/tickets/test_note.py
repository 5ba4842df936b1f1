"""A line noted: stamped, appended whole or not at all, whoever else writes."""

from __future__ import annotations

import os
import threading

import pytest

from pourday.tickets import note as noting
from pourday.tickets.note import doubts, note
from pourday.tickets.read import read_tickets
from pourday.tickets.tokens import LineError

NOW = 10 * 3600.0 + 31 * 60.0


def test_a_line_is_stamped_and_appended(tmp_path):
    path = tmp_path / "tickets"
    assert note(path, "7 in", NOW) == "7 in 10:31"
    note(path, "7 on 10:40", NOW)
    assert path.read_text() == "7 in 10:31\n7 on 10:40\n"


def test_a_file_whose_last_line_has_no_end_gets_one_first(tmp_path):
    path = tmp_path / "tickets"
    path.write_text("7 in 10:20")
    note(path, "7 on", NOW)
    assert path.read_text() == "7 in 10:20\n7 on 10:31\n"


def test_a_line_that_cannot_be_read_writes_nothing(tmp_path):
    path = tmp_path / "tickets"
    with pytest.raises(LineError):
        note(path, "7 off 7.5", NOW)
    assert not path.exists()


def test_half_a_line_is_taken_back(tmp_path, monkeypatch):
    path = tmp_path / "tickets"
    path.write_text("7 in 10:20\n")
    whole = os.write
    monkeypatch.setattr(noting.os, "write", lambda number, data: whole(number, data[:4]))
    with pytest.raises(OSError, match="space"):
        note(path, "7 on", NOW)
    assert path.read_text() == "7 in 10:20\n"


def test_many_who_note_at_once_lose_nothing(tmp_path):
    path = tmp_path / "tickets"

    def _notes(first: int) -> None:
        for k in range(20):
            note(path, f"{first + k} left", NOW)

    threads = [threading.Thread(target=_notes, args=(100 * n,)) for n in range(1, 5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    told = read_tickets(path)
    assert len({line.load for line in told.lines}) == 80
    assert not told.remarks


def test_no_line_is_noted_into_a_plant_s_table(tmp_path):
    path = tmp_path / "export.csv"
    path.write_text("ticket;loading\n1;06:30\n")
    with pytest.raises(LineError, match="table"):
        note(path, "7 in", NOW)
    assert path.read_text() == "ticket;loading\n1;06:30\n"


def test_a_line_that_can_hardly_be_is_written_and_doubted(tmp_path):
    path = tmp_path / "hut.txt"

    def _noted(text: str) -> str:
        return "; ".join(doubts(path, note(path, text, 9 * 3600.0)))

    assert _noted("1 in 7:00 loaded 6:30 7.5m3") == ""
    assert _noted("1 on 7:05") == ""
    assert "load 1 is off 6:10, before it is in 7:00" in _noted("1 off 6:10")
    assert '400.0 m³ is more than a truck holds: if that is a slip, note "wrong 4"' in _noted(
        "2 in 7:20 400m3"
    )
    assert _noted("strip 1 full 7:30") == ""
    assert len(path.read_text().splitlines()) == 5
