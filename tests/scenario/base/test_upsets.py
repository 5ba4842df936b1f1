"""The plain words of upsets: what they say, that they read back, and what is wrong with others."""

from __future__ import annotations

import math
import pickle
import re
from dataclasses import replace

import pytest
from builders.places import ROOT
from hypothesis import given
from hypothesis import strategies as st

from pourday.scenario.base.upsets import (
    CRANE_LOST,
    CREW_SHORT,
    FORMS,
    KINDS,
    LOAD_REJECTED,
    PLANT_STOPPED,
    PUMP_DOWN,
    RAIN,
    ROAD_CLOSED,
    TRUCK_BROKEN,
    Upset,
    UpsetError,
    check_upset,
    fitted,
    parse_upset,
    upset_text,
)

AT = 10.5 * 3600
MIN = 60.0
QUARRY = "Quarry Road plant"
MM_PER_H = 1e-3 / 3600
PAGE = ROOT / "docs" / "upsets.md"

SAID = {
    "10:30 plant stopped 40 min": Upset(AT, PLANT_STOPPED, 40 * MIN),
    '10:30 plant "Quarry Road plant" stopped 40 min': Upset(AT, PLANT_STOPPED, 40 * MIN, QUARRY),
    "10:30 plant Quarry Road plant stopped 40 min": Upset(AT, PLANT_STOPPED, 40 * MIN, QUARRY),
    "10:30 plant 'Quarry Road plant' stopped 40 min": Upset(AT, PLANT_STOPPED, 40 * MIN, QUARRY),
    "10:30 truck broken 30 min": Upset(AT, TRUCK_BROKEN, 30 * MIN),
    "10:30 road closed 40 min": Upset(AT, ROAD_CLOSED, 40 * MIN),
    "10:30 road from Quarry Road plant closed 40 min": Upset(AT, ROAD_CLOSED, 40 * MIN, QUARRY),
    "10:30 pump down 45 min": Upset(AT, PUMP_DOWN, 45 * MIN),
    "10:30 pump 2 down 45 min": Upset(AT, PUMP_DOWN, 45 * MIN, "2"),
    "10:30 load rejected": Upset(AT, LOAD_REJECTED, 0.0),
    "10:30 rain 20 min": Upset(AT, RAIN, 20 * MIN, rate=5 * MM_PER_H),
    "10:30 rain 20 min at 0.5 mm/h": Upset(AT, RAIN, 20 * MIN, rate=0.5 * MM_PER_H),
    "10:30 crew short 2 for 60 min": Upset(AT, CREW_SHORT, 60 * MIN, number=2),
    "10:30 crew 2 short 1 for 60 min": Upset(AT, CREW_SHORT, 60 * MIN, "2", 1),
    "10:30 crew short 2": Upset(AT, CREW_SHORT, math.inf, number=2),
    "10:30 crew short 2 for the rest of the day": Upset(AT, CREW_SHORT, math.inf, number=2),
    "10:30 crane lost 30 min": Upset(AT, CRANE_LOST, 30 * MIN),
    "10:30 crane 2 lost 30 min": Upset(AT, CRANE_LOST, 30 * MIN, "2"),
}


@pytest.mark.parametrize("text", SAID)
def test_a_line_says(text):
    assert parse_upset(text) == SAID[text]


@pytest.mark.parametrize("text", SAID)
def test_case_and_extra_spaces_do_not_matter(text):
    said = SAID[text]
    spaced = "  " + (text.upper() if not said.who else text).replace(" ", "   ") + "\t"
    if '"' not in text and "'" not in text:  # what is quoted stands as it is
        assert parse_upset(spaced) == said


def test_every_form_named_in_messages_and_every_kind_is_read():
    read = [parse_upset(form) for forms in FORMS.values() for form in forms]
    assert {upset.kind for upset in read} == set(KINDS)


@pytest.mark.parametrize(
    ("words", "minutes"),
    [
        ("45 min", 45),
        ("45min", 45),
        ("for 45 minutes", 45),
        ("1 h", 60),
        ("1 h 30 min", 90),
        ("1h30min", 90),
        ("for 2 hours 1 minute", 121),
        ("1.5 h", 90),
        (".5 h", 30),
        ("0.25 min", 0.25),
        ("0 min", 0),
        ("0 h", 0),
        ("24 h", 1440),
        ("1440 min", 1440),
    ],
)
def test_lengths(words, minutes):
    assert parse_upset(f"10:30 pump down {words}").length == minutes * 60


@pytest.mark.parametrize(
    ("clock", "minutes"), [("0:00", 0), ("9:05", 545), ("23:59", 1439), ("47:59", 2879)]
)
def test_clock_times_run_on_after_midnight(clock, minutes):
    assert parse_upset(f"{clock} load rejected").at == minutes * 60


FAULTS = {
    # line: (found, advice or "")
    "": ("nothing where the clock time should stand", ""),
    "1030 pump down 45 min": ('"1030" where the clock time should stand', ""),
    "48:00 pump down 45 min": ('"48:00" where the clock time should stand', ""),
    "10:60 pump down 45 min": ('"10:60" where the clock time should stand', ""),
    "١0:30 pump down 45 min": ('"١0:30" where the clock time should stand', ""),
    "10:30": ("nothing after the clock time", ""),
    "10:30 pmup down 45 min": ('"pmup" after the clock time', 'did you mean "pump"?'),
    "10:30 fire": ('"fire" after the clock time', ""),
    "10:30 pump dwon 45 min": ('"dwon" where "down" should stand', 'did you mean "down"?'),
    "10:30 pump -1 down 1 h": ('"-1" where "down" should stand', ""),
    "10:30 pump 0 down 1 h": ('"0" where the front\'s number should stand', ""),
    "10:30 pump 100 down 1 h": ('"100" where the front\'s number should stand', ""),
    "10:30 pump down": ("nothing where the length should stand", ""),
    "10:30 pump down for": ('"for" where the length should stand', ""),
    "10:30 pump down 45": ('"45" where the length should stand', ""),
    "10:30 pump down 45 m": ('"45 m" where the length should stand', ""),
    "10:30 pump down 1,5 h": ('"1,5 h" where the length should stand', ""),
    "10:30 pump down 1 h 30": ('"30" after "1 h"', ""),
    "10:30 pump down 30 min 1 h": ('"1 h" after "30 min"', ""),
    "10:30 pump down 45 min now": ('"now" after "45 min"', ""),
    "10:30 pump down -5 min": ('the length "-5 min"', ""),
    "10:30 pump down 1 h -5 min": ('the length "1 h -5 min"', ""),
    "10:30 pump down 24 h 1 min": ('the length "24 h 1 min"', ""),
    "10:30 pump down rest of the day": ('"rest of the day" where the length should stand', ""),
    f"10:30 pump down {'9' * 400} h": (f'the length "{"9" * 77}..."', ""),
    "10:30 plant": ('nothing where "stopped" should stand', ""),
    "10:30 plant Mill Road stoped 1 h": (
        '"Mill Road stoped 1 h" without the word "stopped"',
        'did you mean "stopped" for "stoped"?',
    ),
    '10:30 plant "" stopped 1 h': ("nothing where the plant's name should stand", ""),
    "10:30 road from closed 1 h": ("nothing where the plant's name should stand", ""),
    "10:30 road Mill Road closed 1 h": ('"Mill" where "from" or "closed" should stand', ""),
    "10:30 road form Mill Road closed 1 h": (
        '"form" where "from" or "closed" should stand',
        'did you mean "from"?',
    ),
    "10:30 load rejected 40 min": (
        '"40 min" after what goes wrong',
        "a rejected load has no length",
    ),
    "10:30 rain at 5 mm/h": ('"at 5 mm/h" where the length should stand', ""),
    "10:30 rain 20 min at 5 mm": ('"5 mm" where the rate of the rain should stand', ""),
    "10:30 rain 20 min at 0 mm/h": ('"0 mm/h" where the rate of the rain should stand', ""),
    "10:30 rain 20 min at 201 mm/h": ('"201 mm/h" where the rate of the rain should stand', ""),
    "10:30 crew short": ("nothing where the number of people missing should stand", ""),
    "10:30 crew short two": ('"two" where the number of people missing should stand', ""),
    "10:30 crew short 0": ('"0" where the number of people missing should stand', ""),
    "10:30 crew short 61": ('"61" where the number of people missing should stand', ""),
    "10:30 crew short 60 min": ('"min" where the length should stand', ""),
}


@pytest.mark.parametrize("text", FAULTS)
def test_what_is_wrong_is_named(text):
    with pytest.raises(UpsetError) as caught:
        parse_upset(text)
    assert (caught.value.found, caught.value.advice) == FAULTS[text]


ALLOWED = {
    "25 h": 'a clock time such as "06:30" (24 h; "25:00" is 1 am), then what goes wrong: '
    "plant, truck, road, pump, load, rain, crew, crane",
    "10:30 storm": "plant, truck, road, pump, load, rain, crew, crane",
    "10:30 pump gone": "10:30 pump down 45 min, or 10:30 pump 2 down 45 min",
    "10:30 pump 0 down 1 h": "1 to 99, or no number for every front",
    "10:30 pump down 25 h": "a length of 0 to 24 h such as 45 min, 1 h, 1.5 h or 1 h 30 min",
    "10:30 rain 1 h at 5 m/h": "more than 0, up to 200 mm/h, such as 5 mm/h",
    "10:30 crew short x": "1 to 60, as in 10:30 crew short 2, or 10:30 crew short 2 for 1 h, "
    "or 10:30 crew 2 short 1 for 1 h",
}


@pytest.mark.parametrize("text", ALLOWED)
def test_what_is_allowed_is_named(text):
    with pytest.raises(UpsetError) as caught:
        parse_upset(text)
    assert caught.value.allowed == ALLOWED[text]


def test_the_error_is_one_line_with_all_its_parts():
    with pytest.raises(UpsetError) as caught:
        parse_upset("10:30 pmup down\n45 min")
    assert str(caught.value) == (
        '"10:30 pmup down?45 min": found "pmup" after the clock time; allowed: plant, truck, '
        'road, pump, load, rain, crew, crane; did you mean "pump"?'
    )


def test_the_error_comes_back_whole_from_another_process():
    error = UpsetError("10:30 x", '"x"', "pump", "no")
    assert str(pickle.loads(pickle.dumps(error))) == str(error)


@st.composite
def spoilt_lines(draw):
    """A form with some of its words taken out, doubled or replaced by others."""
    line = draw(st.sampled_from([form for forms in FORMS.values() for form in forms])).split()
    others = [word for forms in FORMS.values() for form in forms for word in form.split()]
    others += ["47:59", "-3", "1e9", "h", "0", '"', "'", "\n", "", "١"]
    for _ in range(draw(st.integers(0, 3))):
        at = draw(st.integers(0, len(line)))
        cut = draw(st.integers(0, 1))
        put = draw(st.lists(st.sampled_from(others) | st.text(max_size=6), max_size=2))
        line[at : at + cut] = put
    return " ".join(line)


def read(text):
    """The upset of a line and no error, or the other way round."""
    try:
        return parse_upset(text), None
    except UpsetError as error:
        return None, error


@given(spoilt_lines())
def test_any_line_is_read_or_refused_in_one_line(text):
    upset, error = read(text)
    if upset is not None:
        assert parse_upset(upset_text(upset)) == upset
    else:
        assert len(str(error).splitlines()) == 1
        assert error.found
        assert error.allowed


# Whole numbers of a thousandth of a minute or of an hour, as people write them.
lengths = st.one_of(
    st.integers(0, 1440).map(lambda minutes: f"{minutes} min"),
    st.integers(0, 24_000).map(lambda parts: f"{parts / 1000:.3f} h"),
    st.integers(0, 1_440_000).map(lambda parts: f"{parts / 1000:.3f} min"),
    st.tuples(st.integers(0, 23), st.integers(0, 60)).map(lambda t: f"{t[0]} h {t[1]} min"),
)
names = st.text(min_size=1).filter(lambda name: name.strip())


@st.composite
def upsets(draw):
    """An upset as a line can say it."""
    kind = draw(st.sampled_from(KINDS))
    length = parse_upset(f"10:30 pump down {draw(lengths)}").length
    who, number, rate = "", 0, 0.0
    if kind in (PLANT_STOPPED, ROAD_CLOSED):
        who = draw(st.just("") | names)
    elif kind in (PUMP_DOWN, CRANE_LOST, CREW_SHORT):
        who = draw(st.just("") | st.integers(1, 99).map(str))
    if kind == CREW_SHORT:
        number = draw(st.integers(1, 60))
        length = draw(st.just(length) | st.just(math.inf))
    elif kind == LOAD_REJECTED:
        length = 0.0
    elif kind == RAIN:
        rate = draw(st.integers(1, 20_000)) / 100 * MM_PER_H
    return Upset(draw(st.integers(0, 47 * 60 + 59)) * MIN, kind, length, who, number, rate)


@given(upsets())
def test_an_upset_written_down_reads_back_the_same(upset):
    assert parse_upset(upset_text(upset)) == upset


@pytest.mark.parametrize(
    "name",
    [
        'Works "stopped" stopped 5 min',
        "O'Brien's",
        "'t Zand",
        '"',
        '""',
        "two  spaces",
        " edge ",
        "Closed",
        "from",
        "9",
        "a\nb",
    ],
)
@pytest.mark.parametrize("kind", [PLANT_STOPPED, ROAD_CLOSED])
def test_any_plants_name_can_be_written(kind, name):
    upset = Upset(AT, kind, 40 * MIN, name)
    assert parse_upset(upset_text(upset)) == upset


@pytest.mark.parametrize(
    ("text", "again"),
    [
        ("9:05 PUMP 2 down for 90 minutes", "09:05 pump 2 down 1 h 30 min"),
        ("10:30 rain 20 min", "10:30 rain 20 min at 5 mm/h"),
        ("10:30 crew short 2 rest of the day", "10:30 crew short 2"),
        ("10:30 crew 1 short 2 30 min", "10:30 crew 1 short 2 for 30 min"),
        ("10:30 truck broken 0 h", "10:30 truck broken 0 min"),
        ("10:30 truck broken 0.005 h", "10:30 truck broken 0.3 min"),
        ("10:30 truck broken 0.00001 h", "10:30 truck broken 0.0006 min"),
        ("10:30 plant 'Mill Road' stopped 24 h", "10:30 plant Mill Road stopped 24 h"),
        ("10:30 road from Stopped  closed 1 h", '10:30 road from "Stopped" closed 1 h'),
    ],
)
def test_one_way_of_writing_each(text, again):
    assert upset_text(parse_upset(text)) == again


def test_a_drawn_upset_is_written_to_the_minute_and_never_as_none():
    drawn = Upset(10 * 3600 + 29.6 * 60, PUMP_DOWN, 44.4 * MIN, "1", drawn=True)
    assert upset_text(drawn) == "10:30 pump 1 down 44 min"
    assert upset_text(replace(drawn, at=AT + 29, length=20.0)) == "10:30 pump 1 down 1 min"
    assert upset_text(replace(drawn, length=0.0)) == "10:30 pump 1 down 0 min"
    assert upset_text(replace(drawn, at=10 * 3600 + 3599, length=3599)) == "11:00 pump 1 down 1 h"


PLANTS = ("Mill Road", QUARRY)


@pytest.mark.parametrize("form", [form for forms in FORMS.values() for form in forms])
def test_every_form_fits_a_plan_that_has_all_it_names(form):
    means = ("boom", "boom") if "pump" in form else ("skip", "skip")
    assert check_upset(parse_upset(form), PLANTS, means) is None


@pytest.mark.parametrize(
    ("text", "means", "fault"),
    [
        (
            "10:30 plant Mil Road stopped 1 h",
            ["boom"],
            'no plant "Mil Road"; did you mean "Mill Road"?',
        ),
        (
            "10:30 road from Harbour closed 1 h",
            ["boom"],
            'no plant "Harbour"; the plants are: "Mill Road", "Quarry Road plant"',
        ),
        ("10:30 pump 2 down 1 h", ["line"], "no front 2; the plan has front 1 only"),
        ("10:30 crew 3 short 1", ["line", "boom"], "no front 3; the plan has fronts 1 to 2"),
        ("10:30 crane 2 lost 1 h", ["skip"], "no front 2; the plan has front 1 only"),
        (
            "10:30 pump 2 down 1 h",
            ["boom", "skip"],
            'front 2 is a crane with skip, no pump; did you mean "10:30 crane 2 lost 1 h"?',
        ),
        (
            "10:30 pump down 1 h",
            ["skip", "skip"],
            'every front is a crane with skip, no pump; did you mean "10:30 crane lost 1 h"?',
        ),
        (
            "10:30 crane lost 1 h",
            ["boom", "line"],
            'every front has a pump, no crane; did you mean "10:30 pump down 1 h"?',
        ),
        (
            "10:30 crane 1 lost 1 h",
            ["line", "skip"],
            'front 1 has a pump, no crane; did you mean "10:30 pump 1 down 1 h"?',
        ),
        ("10:30 pump down 1 h", ["skip", "line"], None),
        ("10:30 crane lost 1 h", ["skip", "line"], None),
        ("10:30 crew 2 short 1", ["skip", "line"], None),
    ],
)
def test_what_does_not_fit_a_plan(text, means, fault):
    assert check_upset(parse_upset(text), PLANTS, means) == fault


@given(
    st.sampled_from([PUMP_DOWN, CRANE_LOST]),
    st.integers(0, 3),
    st.lists(st.sampled_from(["boom", "line", "skip"]), min_size=3, max_size=3),
)
def test_pump_or_crane_one_of_the_two_always_fits_and_is_the_one_suggested(kind, front, means):
    fault = check_upset(Upset(AT, kind, 60.0, str(front or "")), PLANTS, means)
    hit = [means[front - 1]] if front else means
    assert (fault is None) == any((by == "skip") == (kind == CRANE_LOST) for by in hit)
    if fault is not None:
        suggested = re.search(r'did you mean "(.*)"\?', fault)[1]
        assert check_upset(parse_upset(suggested), PLANTS, means) is None


def test_a_plant_may_be_named_in_any_case_and_gets_its_own_spelling():
    upset = parse_upset("10:30 plant quarry  ROAD plant stopped 1 h")
    assert (
        check_upset(upset, PLANTS, ["boom"]) == f'no plant "{upset.who}"; did you mean "{QUARRY}"?'
    )
    assert fitted(upset, PLANTS) == replace(upset, who=QUARRY)
    assert check_upset(fitted(upset, PLANTS), PLANTS, ["boom"]) is None


def test_a_plant_named_exactly_is_not_taken_for_another_of_other_case():
    upset = parse_upset("10:30 plant mill stopped 1 h")
    assert fitted(upset, ("Mill", "mill")).who == "mill"
    assert fitted(upset, ("Far Field",)) == upset


def blocks(language: str) -> list[list[str]]:
    """Lines of every fenced block of the page in this language."""
    found = re.findall(rf"```{language}\n(.*?)```", PAGE.read_text("utf-8"), flags=re.DOTALL)
    return [block.splitlines() for block in found]


def test_the_page_shows_every_form_and_each_is_read():
    rows = re.findall(r"^\| `(\d\d:\d\d [^`]*)` \|", PAGE.read_text("utf-8"), flags=re.MULTILINE)
    assert {parse_upset(row).kind for row in rows} == set(KINDS)
    assert {form for forms in FORMS.values() for form in forms} <= set(rows)


def test_the_errors_on_the_page_are_those_the_program_gives():
    (lines,) = blocks("text")
    shown = [line for line in lines if line]
    assert len(shown) >= 8
    for line in shown:
        text = line[1 : line.index('": ')]
        upset, error = read(text)
        fits = upset and check_upset(upset, (QUARRY,), ["boom", "skip"])
        assert line == (f'"{text}": {fits}' if upset else str(error))
