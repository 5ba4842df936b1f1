"""The first file of a floor: it reads, says all its tables, invents nothing, keeps its pump fed."""

from __future__ import annotations

import re
import tomllib
from datetime import date

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from pourday.outcome.capacity import capacities
from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.begin.answers import RefusedError
from pourday.scenario.begin.questions import answers_from, questions
from pourday.scenario.presets import preset_names, weather_samples
from pourday.scenario.read import parse_scenario
from pourday.scenario.tables.file import TABLES
from pourday.study.fed import first_file
from pourday.study.prepare import prepare

EVERY = questions("my_floor", date(2027, 5, 1))


def first(**typed):
    values = {}
    for question in EVERY:
        text = typed.get(question.name) or question.propose(values)
        values[question.name] = question.read(text, values)
    return first_file(answers_from(values))


@pytest.fixture(scope="module")
def plain():
    return first()


def test_the_first_plan_asks_for_what_the_model_says_its_pump_takes(plain):
    text, plans = plain
    bases = prepare(parse_scenario(text)[0])
    for basis, plan in zip(bases, plans, strict=True):
        (front,) = capacities(basis)
        if "wider" not in plan.why:
            assert plan.spacing * 60.0 == front.spacing
        assert not front.warns
    fed, wider, other = plans
    assert (fed.pump, fed.crew) == (wider.pump, wider.crew)
    assert wider.spacing == pytest.approx(1.25 * fed.spacing, abs=1)
    assert other.pump != fed.pump


def test_no_resistance_is_ever_written_and_no_share_is_judged(plain):
    said = tomllib.loads(plain[0])
    scenario, warnings = parse_scenario(plain[0])
    assert not [key for key in said["deck"] if "resistance" in key]
    assert "beams" not in said
    assert scenario.deck.sag_moment_resistance is None
    assert any("no share of resistance is judged" in warning.text for warning in warnings)


def test_every_table_of_a_file_stands_in_it_or_behind_a_hash(plain):
    heads = re.findall(r"^(?:# )?\[+([a-z_]+)", plain[0], re.MULTILINE)
    # A heat balance needs the figures of the plant; a search is for who has a plan already.
    assert {*TABLES, "pumps", "crews", "plan"} - {*heads} == {"batch", "search"}


@pytest.mark.parametrize("table", ["call_off", "day_to_day", "limits", "curing", "upsets"])
def test_a_table_that_was_not_asked_for_says_its_defaults(plain, table):
    written = TABLES[table][0].model_validate(tomllib.loads(plain[0])[table])
    assert written == TABLES[table][0]()


def test_the_hashes_of_a_table_are_keys_that_there_are(plain):
    """Every key behind a hash is one that the file takes there."""
    from pourday.scenario.reference import key_lines

    known = {line.key for line in key_lines()}
    behind = re.findall(r"^# ([a-z]\w*_?\w*) = ?", plain[0], re.MULTILINE)
    assert behind
    assert {*behind} <= known


def test_no_line_is_longer_than_a_hundred_letters(plain):
    assert max(map(len, plain[0].splitlines())) <= 100


def test_a_hundred_metres_up_the_plans_still_read():
    text, plans = first(height="100")
    assert plans[0].pump == "crane_and_skip"
    prepare(parse_scenario(text)[0])


def test_a_deck_far_too_soft_is_said_not_written():
    with pytest.raises(ScenarioError, match="bending_stiffness"):
        first(spans="4x6", props="0", stiffness="5")


def number(low, high, digits=2):
    return st.floats(low, high).map(lambda x: f"{round(x, digits):g}")


@st.composite
def typed_floors(draw):
    """Floors and pours as people have them, typed; some answers are left to the proposal."""
    spans = draw(st.lists(number(1.5, 5.0), min_size=1, max_size=10))
    typed = {
        "title": draw(st.text(min_size=1, max_size=80)),
        "spans": " ".join(spans),
        "width": draw(number(3, 60)),
        "slab": f"{draw(st.integers(100, 250))} {draw(st.sampled_from(['0', '0.02', '0.05']))}",
        "mix": draw(st.sampled_from(preset_names("mixes"))),
        "weather": draw(st.sampled_from(weather_samples())),
        "height": draw(number(-5, 60)),
        "pump": draw(st.sampled_from(preset_names("pumps"))),
        "crew": draw(st.sampled_from(preset_names("crews"))),
        "trucks": f"{draw(st.integers(1, 12))} {draw(number(3, 10))} {draw(number(0, 45))}",
        "start": f"{draw(st.integers(0, 23)):02d}:{draw(st.sampled_from(['00', '30']))}",
        "prices": draw(st.sampled_from(["none", "0 0 0", "150.5 38 2"])),
        "currency": draw(st.text(min_size=1, max_size=8)),
    }
    if draw(st.booleans()):
        x, y = (sum(map(float, spans)) * draw(st.floats(0.1, 0.8)), float(typed["width"]) / 2)
        typed["holes"] = f"{x:.2f}-{x + 0.5:.2f} by {y:.2f}-{y + 0.6:.2f}"
    return typed


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(typed_floors())
def test_every_floor_that_can_be_typed_reads_and_can_be_laid_out(typed):
    try:
        text, plans = first(**typed)
    except RefusedError:
        assume(False)  # a title of blanks, a hole over the edge: asked again
    scenario, _ = parse_scenario(text)
    assert len(prepare(scenario)) == len(plans) >= 2
    assert scenario.title.strip() != ""
