"""A forecast against days that are known: finished, not begun, cut anywhere; nothing is lost."""

from __future__ import annotations

from functools import cache

import pytest
from builders.places import SCENARIOS
from builders.pours import basis_of, pour
from builders.told import Slips, ticket_text, told
from builders.under_way import known_at, moment_of, small_pour, small_ready, true_day
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.day.front.ready import ready
from pourday.day.log import DayLog
from pourday.day.play import open_day, play_ready
from pourday.day.state import DayState
from pourday.day.take_up import snapshot
from pourday.outcome.base.basis import Basis
from pourday.report.text.forecast_edges import edge_lines
from pourday.report.units import SI
from pourday.scenario.read import read_scenario
from pourday.study.forecast.begin import draw_of, state_of
from pourday.study.forecast.forecast import forecast
from pourday.study.forecast.known import known_of
from pourday.study.forecast.rests import rest_log, upsets_ahead
from pourday.study.prepare import prepare
from pourday.tickets.read import Tickets, parse_tickets

NAMES = sorted(path.stem for path in SCENARIOS.glob("*.toml"))


def conserved(log: DayLog) -> None:
    """What was batched is placed, sent away or in the lines, load by load and in all."""
    batched = sum(v.volume for v in log.visits)
    lost = sum(v.rejected + v.returned for v in log.visits)
    assert batched == pytest.approx(log.placed + lost + log.held, abs=1e-6)
    by_load: dict[int, float] = {}
    for s in log.stretches:
        by_load[s.truck] = by_load.get(s.truck, 0.0) + s.volume_end - s.volume_start
    for v in log.visits:
        assert by_load.get(v.number, 0.0) == pytest.approx(v.placed, abs=1e-6)
        assert v.placed + v.rejected + v.returned == pytest.approx(v.volume, abs=1e-9)
    if not log.unfinished:
        for strip, volume in enumerate(log.strip_volumes):
            mine = [s for s in log.stretches if s.strip == strip]
            assert sum(s.volume_end - s.volume_start for s in mine) == pytest.approx(volume)


@cache
def plan_of(name: str) -> tuple[Basis, DayLog]:
    basis = prepare(read_scenario(SCENARIOS / f"{name}.toml")[0])[0]
    return basis, play_ready(ready(basis.scenario, basis.plan, basis.layout), 1)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("share", [0.03, 0.4, 0.8])
def test_every_shipped_plan_goes_on_from_its_tickets_and_loses_nothing(name, share):
    basis, log = plan_of(name)
    at = moment_of(log, share)
    known = known_of(basis, parse_tickets(ticket_text(log, basis, at)), at)
    for seed in (5, 6):
        draw = draw_of(known, seed)
        state = state_of(known, draw)
        seen = sum(v.placed for v in log.visits if v.discharge_end <= at)
        lies = sum(s.volume_end - s.volume_start for s in state.stretches)
        assert lies >= seen - 0.05
        on = play_ready(draw.plan, seed, upsets_ahead(known, seed), state)
        conserved(on)
        assert on.end >= at
        assert DayState.from_json(state.to_json()) is not None


def test_a_forecast_from_a_finished_day_is_that_day():
    basis, log = small_pour(), true_day(4)
    at = log.wash_out_end + 3600.0
    found = forecast(basis, parse_tickets(ticket_text(log, basis, at, 1.0)), at, 8, workers=1)
    assert found.finished
    assert found.finish.low == found.finish.by == pytest.approx(log.end, abs=1.0)
    assert found.loads == ()
    # What goes back is noted to 10 l.
    assert found.placed == pytest.approx(log.placed, abs=0.006)
    known = known_at(log, basis, at, 1.0)
    on, _ = rest_log(known, 77)
    ours, theirs = sorted(on.visits), sorted(log.visits)
    assert len(ours) == len(theirs)
    for mine, true in zip(ours, theirs, strict=True):
        assert mine.discharge_end == pytest.approx(true.discharge_end, abs=1.0, nan_ok=True)
        assert mine.placed == pytest.approx(true.placed, abs=0.01)
    assert not found.past.remarks


def test_from_an_empty_file_it_is_the_plan_bit_for_bit():
    basis = small_pour()
    known = known_of(basis, Tickets(), basis.plan.start)
    for seed in range(3):
        assert repr(rest_log(known, seed)[0]) == repr(play_ready(small_ready(), seed))
    found = forecast(basis, Tickets(), basis.plan.start, 10, workers=1)
    assert found.finish == found.plan_finish
    assert found.money.so_far == 0.0


@pytest.mark.parametrize("share", [0.1, 0.37, 0.62, 0.93])
def test_the_rest_of_a_true_state_with_the_true_draws_is_the_true_day_bit_for_bit(share):
    basis, seed = small_pour(), 3
    log = true_day(seed)
    at = moment_of(log, share)
    day = open_day(basis.scenario, basis.plan, basis.layout, seed)
    day.env.run(until=at)
    # The rest is played as every rest is: of a plan made ready, from a state that JSON can hold.
    state = DayState.from_json(snapshot(day).to_json())
    assert repr(play_ready(known_at(log, basis, at).plan, seed, None, state)) == repr(log)


@pytest.mark.parametrize("share", [0.2, 0.45, 0.7, 0.9])
def test_where_nothing_varies_complete_tickets_give_the_true_end(share):
    scenario = pour(
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [2]},
        supply={"load_m3": 3.0},
        crews={"crew": {"rate_per_placer_m3_h": 3}},
        day_to_day={"crew_pace_sd": 0, "plant_pace_sd": 0, "travel_sd": 0},
    )
    basis = basis_of(scenario)
    log = play_ready(ready(scenario, basis.plan, basis.layout), 1)
    at = moment_of(log, share)
    known = known_of(basis, parse_tickets(ticket_text(log, basis, at, 1.0)), at)
    for seed in (1, 2):
        # The load in hand is known to a tenth of its time.
        assert rest_log(known, seed)[0].end == pytest.approx(log.end, abs=90.0)


def test_the_same_seed_gives_the_same_forecast_in_one_process_and_in_two():
    basis, log = small_pour(), true_day(5)
    at = moment_of(log, 0.5)
    tickets = parse_tickets(ticket_text(log, basis, at))
    one = forecast(basis, tickets, at, 40, 9, workers=1)
    two = forecast(basis, tickets, at, 40, 9, workers=2)
    assert (one.finish, one.money, one.loads) == (two.finish, two.money, two.loads)
    assert one.finish != forecast(basis, tickets, at, 40, 10, workers=1).finish


@pytest.mark.parametrize("share", [0.3, 0.6])
def test_in_and_off_alone_are_enough(share):
    basis, off, rests = small_pour(), [], 12
    for day in range(8):
        log = true_day(day)
        at = moment_of(log, share)
        every = ticket_text(log, basis, at)
        few = "\n".join(n for n in every.splitlines() if " in " in n or " off " in n)
        known = known_of(basis, parse_tickets(few), at)
        ends = [rest_log(known, 100 * day + k)[0].end for k in range(rests)]
        off.append(sum(ends) / rests - log.end)
    # In the mean of eight days within the spread of one day's end, about 8 min.
    assert abs(sum(off) / len(off)) < 8 * 60.0


def test_a_slow_crew_is_seen_and_the_end_moves_with_it():
    basis = small_pour()
    log = true_day(2)
    at = moment_of(log, 0.5)
    text = ticket_text(log, basis, at)
    known = known_of(basis, parse_tickets(text), at)
    true = log.factors.crew
    assert known.so_far.crew.at(0.05) < true < known.so_far.crew.at(0.95)


def test_a_stop_that_lasts_puts_the_end_off_and_a_guess_is_believed_about():
    basis, log = small_pour(), true_day(6)
    at = moment_of(log, 0.5)
    text = ticket_text(log, basis, at)
    plain = forecast(basis, parse_tickets(text), at, 40, workers=1)
    clock = "{}:{:02d}".format(*divmod(int(at // 60), 60))
    hour = "{}:{:02d}".format(*divmod(int(at // 60) + 60, 60))
    stopped = text + f"stop {clock} blocked\nguess {hour}\n"
    held = forecast(basis, parse_tickets(stopped), at, 40, workers=1)
    late = held.finish.about - plain.finish.about
    assert 30 * 60.0 < late < 100 * 60.0
    assert held.stop[0].why == "blocked"


def test_edges_that_are_lost_are_named_by_their_strips_with_since_when():
    basis, log = small_pour(), true_day(6)
    at = moment_of(log, 0.5)
    text = ticket_text(log, basis, at)
    clock = "{}:{:02d}".format(*divmod(int(at // 60), 60))
    later = at + 9 * 3600.0
    found = forecast(basis, parse_tickets(f"{text}stop {clock} blocked\n"), later, 1, workers=1)
    assert found.lost
    assert len(found.lost) == found.scene.cold
    open_now = {(e.edge.older, e.edge.younger) for e in found.edges if e.left < 0.0}
    assert {(e.older, e.younger) for e in found.lost if not e.covered} == open_now
    assert [e.since for e in found.lost] == sorted(e.since for e in found.lost)
    assert all(e.since < later for e in found.lost)
    label, words, loud = edge_lines(found, SI)[0]
    first = basis.layout.strips[found.lost[0].older]
    assert (label, loud) == ("LOST", True)
    assert f"{found.lost[0].older + 1} ({first.name.replace('/', ' ')})" in words


def test_people_who_are_not_there_place_nothing():
    basis, log = small_pour(), true_day(7)
    at = moment_of(log, 0.4)
    text = ticket_text(log, basis, at)
    clock = "{}:{:02d}".format(*divmod(int(at // 60), 60))
    few = forecast(basis, parse_tickets(f"{text}people 3 {clock}\n"), at, 20, workers=1)
    all_of_them = forecast(basis, parse_tickets(text), at, 20, workers=1)
    assert few.finish.about > all_of_them.finish.about + 15 * 60.0


SLIPS = st.builds(
    Slips,
    gaps=st.floats(0.0, 0.6),
    typos=st.floats(0.0, 0.4),
    late=st.floats(0.0, 0.4),
    seed=st.integers(0, 10_000),
)


@given(SLIPS, st.integers(0, 20), st.floats(0.0, 1.1))
@settings(max_examples=60, deadline=None)
def test_any_file_of_slips_gives_a_rest_that_loses_nothing(slips, day, share):
    basis, log = small_pour(), true_day(day)
    at = moment_of(log, share)
    known = known_of(basis, parse_tickets(ticket_text(log, basis, at, slips=slips)), at)
    on, _ = rest_log(known, day)
    conserved(on)


@pytest.mark.parametrize("name", ["depot_two_pumps", "market_hall"])
@given(SLIPS, st.floats(0.0, 1.05))
@settings(max_examples=8, deadline=None)
def test_files_of_slips_of_large_floors_give_rests_too(name, slips, share):
    basis, log = plan_of(name)
    at = moment_of(log, share)
    known = known_of(basis, parse_tickets(ticket_text(log, basis, at, slips=slips)), at)
    conserved(rest_log(known, slips.seed)[0])


def test_strips_out_of_the_plan_and_lines_after_now_are_named():
    basis, log = small_pour(), true_day(1)
    at = moment_of(log, 0.5)
    text = ticket_text(log, basis, at)
    later = told(log, basis)[-1][1]
    odd = parse_tickets(f"{text}strip 99 full 7:20\n{later}\n")
    remarks = "; ".join(each.text for each in known_of(basis, odd, at).past.remarks)
    assert "the plan has no strip 99" in remarks
    assert "not looked at" in remarks
    whole = known_of(basis, parse_tickets(ticket_text(log, basis, 1e9)), at).past.remarks
    later = [each.text for each in whole if "not looked at" in each.text]
    assert len(later) == 1
    assert "more up to line" in later[0]


def test_a_stop_nobody_ended_is_over_where_a_truck_is_on_again_but_not_where_one_is_sent_away():
    basis = small_pour()
    text = "1 in 7:00\n1 on 7:05\nstop 7:10 blocked\n1 off 7:30{}\n"
    now = 7 * 3600.0 + 40 * 60.0

    def _stop(text: str) -> object:
        known = known_of(basis, parse_tickets(text), now)
        return known.past.fronts[0].stop

    assert _stop(text.format(" back 1m3")) is not None
    assert _stop(text.format("")) is None
    assert _stop(text.format(" back 1m3") + "2 on 7:35\n") is None
