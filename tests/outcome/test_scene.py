"""Scenes of a day against its log: concrete counted, fronts and edges by hand, deck peaks.

The hand-made days are those of ``builders.made_days``: strips of 3 m by 10 m, a front that moves
0.1 m a minute, times in minutes after 08:00, open time 150 min at 20 °C all day.
"""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from builders.made_days import MINUTE, ONE_WAY, TWO, WHOLE, clock, measured_day
from builders.pours import basis_of, exponential, measured, pour
from builders.upset_days import outcome_with

from pourday.day.log import Stretch, Visit
from pourday.outcome import events as ev
from pourday.outcome.events import events, moments
from pourday.outcome.scene import scene
from pourday.report.rehearsal.words import event_words
from pourday.scenario.base.upsets import parse_upset
from pourday.study.days import one_day

VARIED = {
    "floor": {"spans_m": [3.0, 3.5, 3.0], "sheet_runs": [2, 1], "length_y_m": 20.0},
    "loads": {"preset": "en_1991_1_6", "crew_kN_m2": 0.2},
    "supply": {"age_limit_min": 62, "discharge_min": exponential(14)},
    "site": {"positions": 1, "breaks": [{"at": "09:00", "length_min": 25}]},
    "pumps": {"pump": {"output_m3_h": 25, "line_length_m": 40, "line_content_m3_per_m": 0.012,
                       "hopper_m3": 0.3, "between_blockages_h": 1.0, "move_min": 3}},
    "plants": [{"name": "Mill Road", "trucks": 5, "batch_m3_h": 60,
                "travel_min": exponential(20), "back_min": 20}],
    "mix": {"open_time_min": 100, "reject_share": 0.1},
    "plan": {"least_strip_m": 0},
}  # fmt: skip


TWO_FRONTS = VARIED | {
    "floor": {"spans_m": [3.0, 3.5, 3.0, 3.0], "sheet_runs": [2, 2], "length_y_m": 20.0},
    "plan": {"fronts": [{"pump": "pump", "crew": "crew"}], "least_strip_m": 0},
}


def varied(seed: int):
    return measured(pour(**VARIED), seed=seed)


@pytest.fixture(scope="module", params=[1, 2, 3, "two fronts"])
def followed(request):
    if request.param == "two fronts":
        outcome = measured(pour(**TWO_FRONTS), seed=4)
        assert {stretch.front for stretch in outcome.log.stretches} == {0, 1}
    else:
        outcome = varied(request.param)
    return outcome, [scene(outcome, moment[0].time) for moment in moments(events(outcome))]


def test_what_was_batched_is_somewhere_at_every_event(followed):
    outcome, scenes = followed
    log = outcome.log
    assert len(scenes) > 40
    assert sum(visit.rejected for visit in log.visits) > 0  # some of it goes back, in these days
    for now in scenes:
        # Trucks are counted by their visits, concrete in place by the stretches of placing.
        gone = [v for v in log.visits if v.left_site <= now.time]
        batched = sum(v.volume for v in log.visits if v.batched <= now.time)
        assert now.batched == batched
        assert now.carted_off == pytest.approx(sum(v.rejected + v.returned for v in gone))
        parts = now.placed + now.in_line + now.on_trucks + now.carted_off
        assert parts == pytest.approx(batched, abs=1e-9)
        assert sum(v.placed for v in gone) <= now.placed + now.in_line + 1e-9


def test_nothing_that_is_placed_is_ever_lost_again(followed):
    outcome, scenes = followed
    shares = np.array([[strip.share for strip in now.strips] for now in scenes])
    assert (np.diff(shares, axis=0) >= -1e-12).all()
    assert ((shares >= 0) & (shares <= 1)).all()
    assert (np.diff([now.cold for now in scenes]) >= 0).all()
    volumes = np.array(outcome.log.strip_volumes)
    assert shares @ volumes == pytest.approx([now.placed for now in scenes])


def test_the_last_scene_is_the_outcome(followed):
    outcome, scenes = followed
    log, last = outcome.log, scene(outcome, max(outcome.log.wash_out_end, scenes[-1].time))
    assert last.placed == pytest.approx(log.placed)
    assert last.total == pytest.approx(log.placed + log.unfinished)
    assert last.in_line == pytest.approx(log.held)
    assert last.on_trucks == 0
    assert last.carted_off == pytest.approx(sum(v.rejected + v.returned for v in log.visits))
    assert last.end == log.end
    assert {front.doing for front in last.fronts} == {"finished"}
    assert len(last.fronts) == len(log.fronts)
    edges = outcome.edges
    assert last.cold == np.sum(edges.ratio > 1) + np.sum(edges.stop_ratio > 1)
    assert not last.edges
    assert {truck.state for truck in last.trucks} == {"gone"}


def test_the_highest_deck_use_of_all_scenes_is_that_of_the_day(followed):
    outcome, scenes = followed
    use = outcome.deck.use
    assert 0.1 < max(now.deck.use for now in scenes) == pytest.approx(use.value, rel=1e-12)
    assert scenes[-1].deck.peak == pytest.approx(use.value, rel=1e-12)
    peaks = [now.deck.peak for now in scenes]
    assert peaks == sorted(peaks)
    assert all(now.deck.peak >= now.deck.use for now in scenes)
    assert scenes[0].deck.peak < use.value


def test_the_deck_feels_a_strip_from_the_moment_it_is_begun():
    outcome = varied(1)
    begun = outcome.strip_start[0]
    before, after = scene(outcome, begun - 1e-3).deck, scene(outcome, begun).deck
    assert (before.strip, after.strip, after.peak_strip) == (-1, 0, 0)
    assert 0 < before.use < after.use == after.peak
    assert after.peak_time == begun


def test_an_edge_is_cold_where_it_was_still_open_when_its_time_was_up(followed):
    outcome, scenes = followed
    edges, judged = outcome.edges, 0
    for pair, (ratio, covered) in enumerate(zip(edges.ratio, edges.time, strict=True)):
        before = scene(outcome, covered - 1e-3)
        mine = [edge for edge in before.edges if edge.pair == pair]
        assert mine  # it waits until it is covered
        # Farther from 1 than a millisecond makes.
        assert abs(ratio - 1) > 1e-6
        assert (min(edge.lost_at for edge in mine) < covered) == (ratio > 1)
        judged += 1
        if ratio < 1:
            mine = [(e, now) for now in scenes for e in now.edges if e.pair == pair]
            assert all(edge.lost_at > now.time for edge, now in mine)
    assert judged == len(outcome.basis.layout.pairs) > 3


def test_those_days_have_both_cold_and_good_edges():
    ratios = np.concatenate([varied(seed).edges.ratio for seed in (1, 2, 3)])
    assert (ratios > 1).any()
    assert (ratios < 1).any()


def test_front_and_open_edge_halfway_up_the_first_strip():
    # 0.1 m a minute: at 50 min the front is at y = 5. Batched at -20, open 150 min: lost at 130.
    scenario = pour(floor=TWO, plan=WHOLE)
    outcome = measured_day(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    now = scene(outcome, clock(50))
    assert now.strips[0].share == pytest.approx(0.5)
    assert (now.strips[0].low, now.strips[0].high) == pytest.approx((0, 5))
    assert math.isnan(now.strips[1].low)
    front = now.fronts[0]
    assert (front.doing, front.strip, front.x) == ("placing", 0, 1.5)
    assert front.y == pytest.approx(5)
    assert front.rate == pytest.approx(outcome.log.strip_volumes[0] / 6000)
    side = next(edge for edge in now.edges if edge.pair == 0)
    assert (side.older, side.younger, side.at) == (0, 1, 3.0)
    assert (side.low, side.high) == pytest.approx((0, 5))
    assert side.lost_at == pytest.approx(clock(130), abs=1e-3)


def test_the_second_strip_covers_the_edge_from_its_own_end():
    # The second comes down from y = 10: at 150 min it lies from 7 to 10, and 0 to 7 waits. From
    # 130 min on that edge is lost.
    scenario = pour(floor=TWO, plan=WHOLE)
    outcome = measured_day(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    (side,) = (edge for edge in scene(outcome, clock(150)).edges if edge.pair == 0)
    assert (side.low, side.high) == pytest.approx((0, 7))
    assert [scene(outcome, clock(t)).cold for t in (129, 131, 150, 221)] == [0, 1, 1, 1]


def test_the_oldest_concrete_along_the_open_part_counts():
    # Lower half batched at -20, upper at 45. Once the second strip, going up too, has covered the
    # lower half (at 170 min), only the later load waits: lost at 45 + 150.
    scenario = pour(floor=TWO, plan=ONE_WAY)
    outcome = measured_day(
        scenario, (0, 0, 50, 0, 0.5, -20), (0, 50, 100, 0.5, 1, 45), (1, 120, 220, 0, 1, 100)
    )
    for at, lost in ((60, 130), (169, 130), (171, 195)):
        (side,) = (edge for edge in scene(outcome, clock(at)).edges if edge.pair == 0)
        assert side.lost_at == pytest.approx(clock(lost), abs=1e-3)


def test_a_front_that_stands_inside_a_strip_is_an_open_edge():
    scenario = pour(floor=TWO, plan=WHOLE)
    stop = ("starved", 40, 90)
    outcome = measured_day(
        scenario,
        (0, 0, 40, 0, 0.4, -20),
        (0, 90, 150, 0.4, 1, 70),
        (1, 160, 260, 0, 1, 150),
        stops=(stop,),
    )
    now = scene(outcome, clock(60))
    assert (now.fronts[0].doing, now.fronts[0].since) == ("starved", clock(40))
    assert now.fronts[0].rate == 0
    (front,) = (edge for edge in now.edges if edge.pair < 0)
    assert front.at == pytest.approx(4)
    assert front.lost_at == pytest.approx(clock(130), abs=1e-3)


def test_trucks_are_where_their_visits_say():
    visit = Visit(
        number=0,
        plant="Mill Road",
        batched=clock(-20),
        arrived=clock(-8),
        discharge_start=clock(0),
        discharge_end=clock(100),
        left_site=clock(108),
        wait=0.0,
        volume=5.0,
        placed=4.5,
        rejected=0.0,
        returned=0.5,
        outcome="part returned",
    )
    scenario = pour(floor=TWO | {"spans_m": [3.0], "sheet_runs": [1]}, plan=WHOLE)
    outcome = measured_day(scenario, (0, 0, 100, 0, 1, -20), visits=[visit])
    states = [(-21, None), (-20, "on the road"), (-8, "waiting"), (0, "at the pump"),
              (100, "at the pump"), (107, "at the pump"), (108, "gone")]  # fmt: skip
    for at, state in states:
        trucks = scene(outcome, clock(at)).trucks
        assert [truck.state for truck in trucks] == ([state] if state else [])
    empty = visit._replace(placed=5.0, returned=0.0, outcome="placed")
    emptied = measured_day(scenario, (0, 0, 100, 0, 1, -20), visits=[empty])
    assert scene(emptied, clock(100)).trucks[0].state == "leaving"
    halfway = scene(outcome, clock(50))
    volume = outcome.log.strip_volumes[0]
    assert halfway.trucks[0].left == pytest.approx(5.0 - volume / 2)
    assert halfway.oldest == pytest.approx(70 * MINUTE)
    assert math.isnan(scene(outcome, clock(108)).oldest)


@pytest.mark.parametrize("seed", [1, 2])
def test_events_tell_everything_once_and_in_order(seed):
    outcome = varied(seed)
    log, told = outcome.log, events(outcome)
    assert [e.time for e in told] == sorted(e.time for e in told)
    assert all(math.isfinite(e.time) for e in told)
    count = Counter(e.kind for e in told)
    visits, strips = len(log.visits), len(log.strip_volumes)
    assert count[ev.BATCHED] == count[ev.ARRIVED] == count[ev.LEAVES] == visits
    assert count[ev.DISCHARGE_BEGINS] == len({s.truck for s in log.stretches})
    assert count[ev.DISCHARGE_ENDS] == sum(v.outcome == "placed" for v in log.visits)
    assert count[ev.STRIP_BEGINS] == count[ev.STRIP_FULL] == strips
    assert count[ev.STOP_BEGINS] == count[ev.STOP_ENDS] == len(log.stops) > 5
    assert sum(e.volume for e in told if e.kind == ev.STRIP_FULL) == pytest.approx(log.placed)
    assert sum(len(moment) for moment in moments(told)) == len(told)
    began = {}
    for event in told:  # every strip begins before it is full, on the front that fills it
        if event.kind == ev.STRIP_BEGINS:
            began[event.strip] = event.time
        if event.kind == ev.STRIP_FULL:
            assert began[event.strip] < event.time


@pytest.mark.parametrize(("seed", "down"), [(1, "07:20"), (1, "07:40"), (4, "07:10")])
def test_a_truck_sent_to_another_pump_has_a_line_at_that_time(seed, down):
    basis = basis_of(pour(**TWO_FRONTS))
    outcome = one_day(basis, seed, (parse_upset(f"{down} pump 1 down 60 min"),))
    by_truck: dict[int, list[Stretch]] = {}
    for stretch in outcome.log.stretches:
        by_truck.setdefault(stretch.truck, []).append(stretch)
    expected = [
        (b.start, truck, a.front, b.front, b.strip)
        for truck, pieces in by_truck.items()
        for a, b in pairwise(pieces)
        if a.front != b.front
    ]
    assert expected
    told = [e for e in events(outcome) if e.kind == ev.SENT_ON]
    assert [(e.time, e.truck, e.sent_from, e.front, e.strip) for e in told] == expected
    for event in told:
        words = event_words(outcome, event)
        assert f"truck {event.truck + 1} from Mill Road: sent from pump 1 to pump 2, " in words
        (visit,) = (v for v in outcome.log.visits if v.number == event.truck)
        for end in (e for e in events(outcome) if e.kind == ev.DISCHARGE_ENDS):
            if end.truck == event.truck:
                assert (end.time, end.front) == (visit.discharge_end, event.front)


def test_nobody_is_sent_on_where_there_is_one_pump():
    assert not any(e.kind == ev.SENT_ON for seed in (1, 2) for e in events(varied(seed)))


@pytest.mark.parametrize(
    ("line", "by_hand"),
    [
        (None, {7, 4, 5}),
        ("07:05 crew short 2 for 2 h", {5, 3, 4}),
        ("07:30 crew short 1", {7, 4, 5, 6}),
    ],
)
def test_the_crew_places_as_fast_as_those_who_are_there(line, by_hand):
    # 2 m³/h a placer is less than pump and trucks give: the people alone make the rate. A third of
    # those who are there is away at a time: of seven 3, 2 and 2, of six 2, of five 2, 2 and 1.
    scenario = pour(
        floor=TWO,
        plan=WHOLE,
        crews={"crew": {"placers": 7, "rate_per_placer_m3_h": 2,
                        "breaks_taken": "in_turn"}},
        site={"breaks": [{"at": "07:15", "length_min": 5}, {"at": "07:40", "length_min": 5}]},
    )  # fmt: skip
    outcome = outcome_with(scenario, *([line] if line else []), seed=0)
    counts = set()
    for stretch in outcome.log.stretches:
        if stretch.strip < 0 or stretch.end - stretch.start < 1.0:
            continue
        people = scene(outcome, (stretch.start + stretch.end) / 2).fronts[0].people
        assert ev.rate_of(stretch) * 3600 == pytest.approx(2 * people.placing, rel=1e-6)
        assert people.placing + people.away + people.missing == 7
        counts.add(people.placing)
    assert counts == by_hand


def test_a_load_to_be_rejected_is_wrong_until_it_has_been():
    basis = basis_of(pour(floor=TWO | {"length_y_m": 20.0}, plan=WHOLE))
    first, second = parse_upset("07:20 load rejected"), parse_upset("07:21 load rejected")
    for upsets in ((first,), (first, second)):
        outcome = one_day(basis, 0, upsets)
        hit = [v.left_site - 8 * MINUTE for v in outcome.log.visits if v.rejected > 0]
        assert len(hit) == len(upsets)
        for upset, end in zip(upsets, hit, strict=True):
            assert end >= upset.at
            for time, wrong in ((upset.at - 1, False), (upset.at, True), (end - 1, True),
                                (end + 1, False)):  # fmt: skip
                assert (upset in scene(outcome, time).upsets) == wrong
            assert upset in scene(outcome, upset.at - 1).to_come


def test_a_load_rejected_by_chance_is_not_the_one_that_was_to_be_rejected():
    # The first load that fares otherwise than on the day without the upset is the one it has hit.
    basis = basis_of(pour(floor=TWO | {"length_y_m": 60.0}, plan=WHOLE, mix={"reject_share": 0.3}))
    judged = by_chance = 0
    for seed in range(6):
        plain = {v.number: v.outcome for v in one_day(basis, seed, ()).log.visits}
        for clock_time in ("07:20", "07:50", "08:05"):
            upset = parse_upset(f"{clock_time} load rejected")
            outcome = one_day(basis, seed, (upset,))
            visits = outcome.log.visits
            hit = [v for v in visits if v.outcome == "rejected: test" != plain.get(v.number)]
            if not hit or hit[0].number not in plain:
                continue  # chance would have rejected that load too
            end = hit[0].left_site - 8 * MINUTE
            assert upset in scene(outcome, end - 1).upsets
            assert upset not in scene(outcome, end + 1).upsets
            judged += 1
            # Judged before the upset, and still on the site when it came.
            by_chance += any(
                v.rejected > 0 and upset.at < v.left_site < upset.at + 8 * MINUTE for v in visits
            )
    assert judged > 8
    assert by_chance > 0


def test_a_load_rejected_after_the_last_truck_is_wrong_only_while_somebody_is_there():
    upset = parse_upset("20:00 load rejected")
    outcome = outcome_with(pour(floor=TWO, plan=WHOLE), upset, seed=0)
    assert outcome.log.wash_out_end < upset.at
    assert not scene(outcome, upset.at).upsets


def test_people_who_are_missing_all_day_are_no_longer_wrong_when_all_have_gone():
    upset = parse_upset("07:20 crew short 1")
    outcome = outcome_with(pour(floor=TWO, plan=WHOLE), upset, seed=0)
    end = outcome.log.wash_out_end
    assert scene(outcome, end - 1).upsets == (upset,)
    assert not scene(outcome, end).upsets
