"""Fronts, set-up places, crews and upsets in a scenario file: what clashes, what only warns."""

from __future__ import annotations

import pytest
from builders.scenario_text import changed

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.read import parse_scenario

EARLY = 'plan[1] (plan "early")'
CURFEW = 'curfew = "20:00"'
ONE = 'start = "06:30"'
PLACE = 'set_ups = [{ name = "yard", x_m = 6, y_m = -5 }]'
BOOM = 'preset = "truck_boom"'
CREW = 'preset = "crew_medium"'

# (swaps, path of the only fault, words that must be in its line)
CLASHES = [
    ([(ONE, ONE + '\nfronts = [{ pump = "bom", crew = "six" }]')], f"{EARLY} fronts[1].pump",
     'found "bom"; allowed: the name of a [pumps.NAME] table; did you mean "boom"?'),
    ([(ONE, ONE + '\nfronts = [{ pump = "boom", crew = "gang" }]')], f"{EARLY} fronts[1].crew",
     "the crews are: six, four"),
    ([(ONE, ONE + '\nbays = ["1a", "1b", "2a", "2b", "3a"]')], f"{EARLY}.bays",
     'found "3a"; allowed: names of bays'),
    ([(ONE, ONE + '\nbays = ["1a"]\nfronts = [{ pump = "boom", crew = "six", bays = ["1a"] }]')],
     f"{EARLY} fronts[1].bays", f"each bay once; {EARLY} has it already"),
    ([(ONE, ONE + '\nbays = ["1a", "2b"]')], f"{EARLY}.bays", "no front for bays 1b, 2a"),
    ([(ONE, ONE + "\nfronts = [" + ", ".join(['{ pump = "boom", crew = "six" }'] * 4) + "]")],
     EARLY, "found 5 fronts; allowed: up to 4, one for each bay"),
    ([(CURFEW, CURFEW + "\n" + PLACE), (ONE, ONE + '\nset_ups = ["yrd"]')], f"{EARLY}.set_ups",
     'found "yrd"; allowed: the name of a [[site.set_ups]]; did you mean "yard"?'),
    ([(CURFEW, CURFEW + "\n" + PLACE), (BOOM, BOOM + "\nreach_m = 9"),
      (ONE, ONE + '\nset_ups = ["yard", "yard"]'), (BOOM, BOOM + '\nmeans = "line"')],
     f"{EARLY}.set_ups", "found 2 places for a line pump; allowed: one place"),
    ([(CURFEW, CURFEW + '\nset_ups = [{ name = "a", x_m = 0, y_m = 0 }, '
       '{ name = "a", x_m = 1, y_m = 0 }]')], "site.set_ups[2].name", "a name of its own"),
    ([(ONE, ONE + '\nplants = ["Nordwater"]')], f"{EARLY}.plants", 'did you mean "Northwater"?'),
    ([(ONE, ONE + "\nstages = [{ until_share = 0.5, spacing_min = 9 }, "
       "{ until_share = 0.5, spacing_min = 9 }]")], 'plan[1].stages[2].until_share (plan "early")',
     "found 0.5; allowed: more than the stage before it, 0.5"),
    ([("age_limit_min = 90", 'age_limit_min = 90\nrush_hours = '
       '[{ begins = "09:00", ends = "07:00", factor = 2 }]')], "supply.rush_hours[1].ends",
     "found 07:00; allowed: after its begin, 09:00"),
    ([(CREW, CREW + "\nroles = { hose = 1, vibrator = 1 }")], "crews.six.roles",
     "found roles that add up to 2 people; allowed: 8, the placers"),
    ([(CREW, CREW + "\nrate_when_short = [0.5, 0.6]")], "crews.six.rate_when_short", "rises"),
    ([(CREW, CREW + "\nrate_when_short = [0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2]")],
     "crews.six.rate_when_short", "found 8 shares; allowed: fewer than the 8 placers"),
    ([("[prices]", '[upsets]\ngiven = ["10:30 pmup down 45 min"]\n[prices]')],
     'upsets.given[1] ("10:30 pmup down 45 min")', 'did you mean "pump"?'),
    ([("[prices]", '[upsets]\ngiven = ["10:30 crane lost 45 min"]\n[prices]')],
     'upsets.given[1] ("10:30 crane lost 45 min")', "every front has a pump, no crane"),
    ([("[prices]", '[upsets]\ngiven = ["10:30 plant Hill stopped 45 min"]\n[prices]')],
     'upsets.given[1] ("10:30 plant Hill stopped 45 min")', 'no plant "Hill"'),
]  # fmt: skip

WARNINGS = [
    ([(CURFEW, CURFEW + "\n" + PLACE), (ONE, ONE + '\nset_ups = ["yard"]')],
     "pumps.boom.reach_m", "taken to reach the whole floor"),
    ([(BOOM, BOOM + "\nreach_m = 30")], f"{EARLY}.set_ups", "the reach has no effect"),
    ([(BOOM, BOOM + "\nskip_m3 = 1")], "pumps.boom.skip_m3", 'only with means = "skip"'),
    ([(CREW, CREW + "\nmost_in_zone = 9")], "crews.six.most_in_zone", "there are 8 placers"),
    ([("[prices]", '[upsets]\ngiven = ["10:30 crane lost 45 min"]\n[prices]'),
      (BOOM, 'preset = "crane_and_skip"')],
     'upsets.given[1] ("10:30 crane lost 45 min")', '(plan "late")'),
]  # fmt: skip


@pytest.mark.parametrize(("swaps", "path", "words"), CLASHES)
def test_what_cannot_be_true_together_is_one_fault(swaps, path, words):
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(changed(*swaps))
    assert [fault.path for fault in caught.value.faults] == [path]
    assert words in caught.value.faults[0].text


@pytest.mark.parametrize(("swaps", "path", "words"), WARNINGS)
def test_what_is_looked_at_twice_is_a_warning(swaps, path, words):
    _, warnings = parse_scenario(changed(*swaps))
    found = [w for w in warnings if w.path == path]
    assert len(found) == 1
    assert words in found[0].text


@pytest.mark.parametrize(("placers", "away"), [(6, 2), (7, 3), (8, 3), (9, 3), (10, 4)])
def test_shares_must_reach_as_far_as_the_largest_third_of_a_crew(placers, away):
    for shares in (away - 1, away):
        rates = [0.9 - 0.1 * n for n in range(shares)]
        crew = f"{CREW}\nplacers = {placers}\nrate_when_short = {rates}"
        _, warnings = parse_scenario(changed((CREW, crew)))
        found = [w.found for w in warnings if w.path == "crews.six.rate_when_short"]
        said = f"{shares} shares, while breaks in turn leave {away} missing"
        assert found == ([said] if shares < away else [])


def test_roles_of_a_preset_go_with_its_own_placers_only():
    with_more = parse_scenario(changed((CREW, CREW + "\nplacers = 9")))[0]
    assert with_more.crews["six"].roles is None
    as_it_is = parse_scenario(changed())[0]
    assert as_it_is.crews["six"].roles.needed == as_it_is.crews["six"].placers == 8


def test_a_front_has_the_spacing_and_start_of_the_plan_unless_it_says_so():
    more = '\nfronts = [{ pump = "own_line", crew = "four" }, '
    more += '{ pump = "boom", crew = "four", spacing_min = 20, start = "07:00" }]'
    plan = parse_scenario(changed((ONE, ONE + more)))[0].plans[0]
    assert [front.pump for front in plan.fronts] == ["boom", "own_line", "boom"]
    assert [front.start / 3600 for front in plan.fronts] == [6.5, 6.5, 7.0]
    assert [front.spacing.mean / 60 for front in plan.fronts] == [12, 12, 20]
    later = plan.starting_at(8 * 3600)
    assert [front.start / 3600 for front in later.fronts] == [8.0, 8.0, 8.5]


def test_a_plants_name_in_an_upset_is_spelled_as_in_the_file():
    lines = '[upsets]\ngiven = ["10:30 plant quarry  LANE stopped 40 min"]\n[prices]'
    upset = parse_scenario(changed(("[prices]", lines)))[0].upsets[0]
    assert (upset.who, upset.at, upset.length) == ("Quarry Lane", 37800.0, 2400.0)
