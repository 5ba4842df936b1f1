"""A pour that is over against its forecast: known changes are found, and their minutes add up.

Tickets are made by playing days of the small pour with other factors, upsets or starts than the
plan's. The minutes of a known change are held against plain plays of other days, with the change
and without it: no code of ``study/afterwards`` stands in them.
"""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from builders.told import ticket_text
from builders.under_way import small_pour, small_ready, true_day
from rich.console import Console
from scipy.stats import binom

from pourday.day.chance.streams import DaySeed, Stream
from pourday.day.front.ready import Ready, ready
from pourday.day.log import DayFactors, DayLog
from pourday.day.play import play_ready
from pourday.report.records.afterwards import afterwards_record
from pourday.report.text.afterwards import CAUSE_WORDS, afterwards_report, whole_minutes
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.base.upsets import Upset, parse_upset
from pourday.study.afterwards.afterwards import (
    BETWEEN,
    MIDDLE,
    REST,
    Afterwards,
    Coverage,
    afterwards,
    figures_of,
    forecast_days,
)
from pourday.study.afterwards.imposed import CAUSES, PACE, START, STOPS, TRIPS, causes_of
from pourday.study.afterwards.seen import NotOverError, seen_of_log, seen_of_tickets
from pourday.study.statistics import clopper_pearson
from pourday.tickets.read import parse_tickets

TRUE_SEED = 1001
PLAIN = DayFactors()
STOP = parse_upset("9:00 pump down 45 min")
LATE = math.inf


def _found(log: DayLog, cause_days: int = 6) -> Afterwards:
    basis = small_pour()
    return afterwards(basis, [parse_tickets(ticket_text(log, basis, LATE))], 60, cause_days)


@cache
def _stopped() -> Afterwards:
    return _found(play_ready(small_ready(), TRUE_SEED, (STOP,), factors=PLAIN))


@cache
def _slow_road() -> Afterwards:
    return _found(true_day(TRUE_SEED, DayFactors(travel=1.5)))


def _effect(
    plan: Ready,
    other: Ready | None = None,
    upsets: tuple[Upset, ...] = (),
    factors: DayFactors = PLAIN,
) -> float:
    """How much later 40 days end with a change than without it, on average (min)."""
    later = [
        play_ready(other or plan, 3000 + k, upsets, factors=factors).end
        - play_ready(plan, 3000 + k, (), factors=PLAIN).end
        for k in range(40)
    ]
    return float(np.mean(later)) / 60.0


def _minutes(found: Afterwards, name: str) -> float:
    return next(c.late for c in found.pours[0].causes if c.name == name) / 60.0


def test_a_stop_of_45_minutes_is_the_first_cause_and_has_about_its_minutes():
    found = _stopped()
    assert found.pours[0].causes[0].name == STOPS
    assert _minutes(found, STOPS) == pytest.approx(_effect(small_ready(), upsets=(STOP,)), abs=6)
    assert not found.pours[0].figures[0].inside


def test_trips_half_as_long_again_are_the_first_cause_and_have_about_their_minutes():
    found = _slow_road()
    slower = found.pours[0].told.slower
    # The chance of single trips counts as well: they are held against days as slow as was seen.
    assert found.pours[0].causes[0].name == TRIPS
    truth = _effect(small_ready(), factors=DayFactors(travel=slower))
    assert _minutes(found, TRIPS) == pytest.approx(truth, abs=12)
    assert truth > 30


def test_a_slow_crew_is_found_in_the_pace_at_the_pump():
    found = _found(true_day(TRUE_SEED, DayFactors(crew=0.6)))
    assert found.pours[0].causes[0].name == PACE
    truth = _effect(small_ready(), factors=DayFactors(crew=0.6))
    # The slow crew hides part of what the long trips of this day would have cost, and they of it.
    alone = next(c.alone for c in found.pours[0].causes if c.name == PACE) / 60.0
    assert alone == pytest.approx(truth, abs=8)
    assert 0.6 * truth < _minutes(found, PACE) < alone
    assert found.pours[0].told.fit.pace[0] == pytest.approx(0.6, abs=0.05)


def test_a_first_load_an_hour_late_is_a_late_start():
    plan = small_ready()
    later = plan.plan.starting_at(plan.plan.start + 3600.0)
    log = play_ready(ready(plan.scenario, later, plan.layout), TRUE_SEED, factors=PLAIN)
    found = _found(log)
    assert found.pours[0].causes[0].name == START
    assert _minutes(found, START) == pytest.approx(60.0, abs=4)


@pytest.mark.parametrize("made", [_stopped, _slow_road])
def test_the_causes_add_up_to_the_whole_difference(made):
    pour = made().pours[0]
    assert {c.name for c in pour.causes} <= {*CAUSES, BETWEEN, MIDDLE, REST}
    late = pour.seen.account.finish - pour.figures[0].forecast.about
    assert sum(c.late for c in pour.causes) == pytest.approx(late, abs=1e-6)
    # What nothing explains is small beside it: the causes are the day.
    assert abs(_minutes(made(), REST)) < 6


@pytest.mark.parametrize("made", [_stopped, _slow_road])
def test_with_all_causes_imposed_other_days_end_as_the_true_one_did(made):
    told = made().pours[0].told
    days = told.play(causes_of(told.seen), range(40, 52))
    ends = np.mean([day.account.finish for day in days])
    assert ends == pytest.approx(told.seen.account.finish, abs=10 * 60)
    assert np.mean([day.flow_rate for day in days]) == pytest.approx(told.seen.flow_rate, rel=0.03)
    placed = np.mean([day.volume("placed") for day in days])
    assert placed == pytest.approx(told.seen.volume("placed"), rel=0.01)
    assert all(day.account.stops == pytest.approx(told.seen.account.stops) for day in days)


def test_the_account_of_a_day_ends_when_the_day_does():
    plan = small_ready()
    for seed in range(10):
        log = play_ready(plan, seed, (STOP,) if seed % 2 else ())
        seen = seen_of_log(plan, log)
        assert seen.account.finish == pytest.approx(log.end, abs=1e-3)
        assert seen.volume("ordered") == pytest.approx(sum(v.volume for v in log.visits))
        assert seen.volume("placed") == pytest.approx(log.placed + log.held, abs=1e-6)
        whole = parse_tickets(ticket_text(log, small_pour(), LATE, step=1.0))
        told = seen_of_tickets(small_pour(), plan, whole)
        for name in ("first_on", "flow", "stops", "no_truck", "changes", "finish"):
            mine, theirs = getattr(told.account, name), getattr(seen.account, name)
            assert mine == pytest.approx(theirs, abs=20)  # to the second, ten loads


def test_tickets_from_the_model_itself_lie_inside_on_four_days_of_five():
    """100 days, seeds fixed; 99.9 % of binomial chance, figure by figure (six of them)."""
    basis, plan, n = small_pour(), small_ready(), 100
    usual = forecast_days(plan, 200)
    inside: dict[str, int] = {}
    for seed in range(7000, 7000 + n):
        told = parse_tickets(ticket_text(true_day(seed), basis, LATE))
        for each in figures_of(seen_of_tickets(basis, plan, told), usual):
            inside[each.name] = inside.get(each.name, 0) + each.inside
    low, high = binom.ppf(0.0005, n, 0.8), binom.ppf(0.9995, n, 0.8)
    for name in ("finish", "trip", "truck waits", "pace at the pump", "placed an hour", "placed"):
        assert low <= inside[name] <= high, (name, inside[name])


def test_an_empty_file_and_a_pour_under_way_are_refused_with_a_reason():
    basis, plan = small_pour(), small_ready()
    log = true_day(TRUE_SEED)
    half = parse_tickets(ticket_text(log, basis, log.start + 0.5 * (log.end - log.start)))
    for tickets, why in (
        (parse_tickets(""), "no load is told"),
        (parse_tickets("strip 1 full 9:26\n"), "no load is off"),
        (half, "ask pourday forecast"),
    ):
        with pytest.raises(NotOverError, match=why):
            seen_of_tickets(basis, plan, tickets)
    whole = parse_tickets(ticket_text(log, basis, LATE))
    with pytest.raises(NotOverError) as caught:
        afterwards(basis, [whole, half], 20, 2)
    assert caught.value.pour == 1


def test_with_the_last_strip_full_a_pour_is_over_though_a_load_is_missing():
    basis, plan = small_pour(), small_ready()
    lines = ticket_text(true_day(TRUE_SEED), basis, LATE).splitlines()
    missing = [line for line in lines if line.split()[0] not in ("4", "5")]
    seen = seen_of_tickets(basis, plan, parse_tickets("\n".join(missing)))
    assert any("loads are missing" in remark.text for remark in seen.remarks)
    nobody = [line for line in missing if " full " not in line]
    with pytest.raises(NotOverError, match=r"23\.\d of 29\.\d m³ are off the trucks"):
        seen_of_tickets(basis, plan, parse_tickets("\n".join(nobody)))
    on = "\n".join(line for line in lines if not line.startswith("10 off"))
    with pytest.raises(NotOverError, match="load 10 is on and not off"):
        seen_of_tickets(basis, plan, parse_tickets(on))


def test_how_often_it_held_over_several_pours():
    basis = small_pour()
    logs = [true_day(TRUE_SEED + k) for k in range(3)]
    told = [parse_tickets(ticket_text(log, basis, LATE)) for log in logs]
    found = afterwards(basis, told, 60, 2)
    finish = found.coverage[0]
    assert finish.n == 3
    assert finish.inside == sum(pour.figures[0].inside for pour in found.pours)
    mean = {c.name: c.late for c in found.mean_causes()}
    assert sum(mean.values()) == pytest.approx(sum(p.late for p in found.pours) / 3)
    # 0 of 3 is no chance at 80 % (0.2^3 = 0.8 %), 1 of 3 is (10 % that so few are inside).
    fits = [Coverage("finish", k, 3, clopper_pearson(k, 3)).fits for k in range(4)]
    assert fits == [False, True, True, True]
    screen = Console(width=80, record=True, file=io.StringIO())
    afterwards_report(screen, found, ["a", "b", "c"])
    text = screen.export_text()
    assert f"{finish.inside} of 3 pours" in text
    assert "Tickets c" in text
    assert len(afterwards_record(found, ["a", "b", "c"])["pours"]) == 3


@pytest.mark.parametrize("width", [40, 80])
def test_the_report_fits_and_its_whole_minutes_add_up(width):
    made = _stopped()
    screen = Console(width=width, record=True, file=io.StringIO())
    afterwards_report(screen, made, ["tickets.txt"])
    text = screen.export_text()
    lines = text.splitlines()
    assert max(map(len, lines)) <= width
    assert "blocked" in text
    head = re.search(r"min later  (± +)?for", text)
    assert head is not None
    table, row = text[head.start() :].splitlines(), re.compile(r" *([+-]\d+|0) +(?:\d+ +)?[a-z]")
    numbers = [int(found[1]) for n in table if (found := row.match(n))]
    assert sum(numbers[:-1]) == numbers[-1] == round(made.pours[0].late / 60.0)
    assert len(numbers) > 3
    # The sentence has the table's minutes.
    said = dict(re.findall(r"(stops|pace at the pump|trips) ([+-]\d+) min", " ".join(text.split())))
    whole = {CAUSE_WORDS[name]: late for name, late in whole_minutes(made.pours[0]).items()}
    assert said
    assert {name: int(late) for name, late in said.items()} == {name: whole[name] for name in said}


def test_a_cause_carries_the_standard_error_of_its_minutes():
    made = _stopped()
    causes = {cause.name: cause for cause in made.pours[0].causes}
    error = causes[STOPS].error
    # Of 6 days whose minutes differ, over 0 and less than the minutes of so long a stop.
    assert 0.0 < error < causes[STOPS].late / 2
    record = afterwards_record(made, ["a"])["pours"][0]["causes"]
    assert {each["cause"]: each["error_min"] for each in record}["stops"] == error / 60.0
    assert math.isnan(causes[REST].error)
    assert {each["cause"]: each["error_min"] for each in record}["rest"] is None


def test_values_told_of_a_source_come_first_and_no_other_source_is_shifted():
    quantity = Distribution("uniform", (0.0, 1.0))
    day = DaySeed(5).with_told({"travel from A": (7.0, 8.0)})
    assert [Stream(day, "travel from A", quantity)(k) for k in range(2)] == [7.0, 8.0]
    assert 0.0 <= Stream(day, "travel from A", quantity)(2) <= 1.0
    for k in range(3):
        assert Stream(day, "wash", quantity)(k) == Stream(5, "wash", quantity)(k)


def test_a_volume_that_is_not_told_is_as_planned_and_a_trip_nobody_wrote_is_no_cause():
    basis, plan = small_pour(), small_ready()
    log = replace(true_day(TRUE_SEED))
    lines = ticket_text(log, basis, LATE).splitlines()
    bare = [" ".join(n.split()[:3]) for n in lines if " in " in n or " off " in n]
    seen = seen_of_tickets(basis, plan, parse_tickets("\n".join(bare)))
    assert TRIPS not in causes_of(seen)
    assert seen.account.finish == pytest.approx(log.end, abs=60)
