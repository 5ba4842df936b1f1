"""The sheet read back with pypdf: every number, every type size, every place of text."""

from __future__ import annotations

import io
import math
import re
import warnings
from datetime import date
from functools import cache

import numpy as np
import pytest
from builders.hostile import PLANS, PUMP, TITLE, hostile
from builders.shipped import shipped
from matplotlib.backends.backend_pdf import PdfFile, RendererPdf
from pypdf import PdfReader
from pypdf.generic import ContentStream

from pourday.report.sheet import letters
from pourday.report.sheet import paper as paper_module
from pourday.report.sheet.paper import LEAST, MARGIN, PAPERS
from pourday.report.sheet.save import sheet_pages, write_pages
from pourday.study.days import one_day
from pourday.study.engine.run import engine_for, run
from pourday.study.prepare import prepare
from pourday.study.sheet.made import sheet_of, sheet_study

MADE = date(2027, 4, 1)
DAYS = {"clinic_level_1": 12, "market_hall": 4, "depot_two_pumps": 3, "tower_level_9": 5}
MOST_PAGES = {"clinic_level_1": 7, "market_hall": 13}
BOTH = pytest.mark.parametrize("paper", sorted(PAPERS))
# Both papers for one floor; of the others, which take long to draw, each on one of them.
EACH = pytest.mark.parametrize(
    ("name", "paper"),
    [
        ("clinic_level_1", "a4"),
        ("clinic_level_1", "letter"),
        ("market_hall", "letter"),
        ("depot_two_pumps", "a4"),
        ("tower_level_9", "a4"),
    ],
    scope="module",  # all of one sheet after each other, so that it is played and drawn once
)


@cache
def made(name):
    scenario = shipped(name)
    return sheet_from(scenario, DAYS[name])


def sheet_from(scenario, days, plan=0):
    basis = prepare(scenario, (scenario.plans[plan],))[0]
    study = sheet_study(basis, days)
    with engine_for(1, len(study.ledger.jobs)) as engine:
        run(engine, study.work, study.ledger)
    return sheet_of(study, MADE)


@cache
def printed(name, paper):
    """The bytes of the file."""
    return as_pdf(made(name), paper, drawn(name, paper))


@cache
def drawn(name, paper):
    """Its pages, drawn once for all tests."""
    return sheet_pages(made(name), paper)


def as_pdf(sheet, paper, pages=None):
    into = io.BytesIO()
    write_pages(sheet, pages or sheet_pages(sheet, paper), into)
    return into.getvalue()


@cache
def texts(name, paper):
    """Of every page: its size and its texts as (words, x, y from below, type size)."""
    return read(printed(name, paper))


def read(data):
    out = []
    for page in PdfReader(io.BytesIO(data)).pages:
        found = []

        def _note(words, cm, tm, font, size, into=found):
            if tm[4] > 0.0 and into:  # a ligature, or what follows one, in the same text
                into[-1][0] += words.strip("\n")
            elif words.strip():
                scale = math.hypot(tm[2], tm[3]) * math.hypot(cm[2], cm[3])
                into.append([words.strip("\n"), cm[4], cm[5], size * scale])

        page.extract_text(visitor_text=_note)
        found = [(words.strip(), *rest) for words, *rest in found]
        out.append(((float(page.mediabox.width), float(page.mediabox.height)), found))
    return out


@cache
def subjects(name, paper):
    """The subject of every page."""
    return [page.subject for page in drawn(name, paper)]


def words_of(name, paper, subject):
    """All text of the pages of a subject, in the order in which it was drawn."""
    return " ".join(
        words
        for its, (_, found) in zip(subjects(name, paper), texts(name, paper), strict=True)
        if its.removesuffix(", continued") == subject
        for words, *_ in found
    )


def clock(seconds):
    minutes = int(np.floor(seconds / 60 + 0.5))
    day = f" +{minutes // 1440}d" if minutes >= 1440 else ""
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}{day}"


def row_of(words, begin, end):
    """What stands in the text between two words, the first in it."""
    at = words.index(begin)
    to = words.find(end, at + len(begin)) if end else -1
    return words[at : to if to > 0 else None]


@BOTH
@pytest.mark.parametrize("name", sorted(MOST_PAGES))
def test_a_sheet_has_no_more_pages_than_anybody_carries(name, paper):
    assert len(drawn(name, paper)) <= MOST_PAGES[name]


@EACH
def test_pages_say_which_they_are_of_what_plan_and_when_made(name, paper):
    sheet, pages = made(name), texts(name, paper)
    for number, (_, found) in enumerate(pages, start=1):
        words = [each[0] for each in found]
        assert f"page {number} of {len(pages)}" in words
        assert f"plan '{sheet.basis.plan.name}'" in words
        assert "made on Thu 1 Apr 2027" in words


@EACH
def test_every_strip_has_the_times_of_the_days_played_again(name, paper):
    sheet = made(name)
    outcomes = [one_day(sheet.basis, seed) for seed in range(sheet.days)]
    begin = np.array([each.strip_start for each in outcomes])
    end = np.array([each.strip_end for each in outcomes])
    words = words_of(name, paper, "Strips, in order")
    volume = sheet.basis.layout.volume
    labels = [
        f"{k + 1} ({strip.name.replace('/', ' ')})"
        for k, strip in enumerate(sheet.basis.layout.strips)
    ]
    flat = words.replace(" ", "")
    for k, label in enumerate(labels):
        row = row_of(flat, label.replace(" ", ""), [*labels, ""][k + 1].replace(" ", ""))
        about = f"{clock(np.median(begin[:, k]))[:5]}–{clock(np.median(end[:, k]))}"
        assert (
            about.replace(" ", "") in row or clock(np.median(begin[:, k])).replace(" ", "") in row
        )
        assert clock(np.percentile(end[:, k], 90)).replace(" ", "") in row
        assert f"{volume[k]:.1f}" in row
        assert f"{volume[: k + 1].sum():.1f}" in row
        within = sheet.strips[k].cover_within
        if math.isfinite(within):
            assert f"+{int(within // 3600)}:{round(within % 3600 / 60):02d}" in row


@EACH
def test_every_load_is_due_when_it_came_on_the_days_played_again(name, paper):
    sheet = made(name)
    if len(sheet.fronts) > 1:
        pytest.skip("loads of two pumps change places from day to day; see the next test")
    outcomes = [one_day(sheet.basis, seed) for seed in range(sheet.days)]
    words = words_of(name, paper, "Loads: for whoever telephones")
    for load in sheet.loads:
        came = [
            sorted(o.log.visits, key=lambda v: v.batched)[load.number - 1].arrived
            for o in outcomes
            if len(o.log.visits) >= load.number
        ]
        for when in (np.median(came), np.percentile(came, 90)):
            assert clock(when) in words


@EACH
def test_the_pages_of_loads_and_stops_say_what_the_study_says(name, paper):
    sheet = made(name)
    loads = words_of(name, paper, "Loads: for whoever telephones").replace(" ", "")
    for load in sheet.loads:
        for when in (load.call_at, load.due.about, load.due.by):
            assert clock(when).replace(" ", "") in loads
    stops = words_of(name, paper, "If it stops").replace(" ", "")
    for part in sheet.stops:
        for row in part.rows:
            assert stop_row(sheet, row) in stops
    for place in sheet.letters:
        assert f"atx{place.x:.2f}m" in stops


def stop_row(sheet, row):
    """A row of the table, without blanks: the strip, then two ways of four cells each."""
    label = f"{row.number}({row.name.replace('/', ' ')})".replace(" ", "")
    cells = []
    for way in row.ways[:2]:
        cells += [f"{v:.1f}" if v > 0.05 else "-" for v in (way.needed, way.removed)]
        lanes = "fulllanes" if way.needed <= 0.05 < way.removed else "full"
        cells.append("and".join(sheet.letter(place) for place in way.places) or lanes)
        hours = f"+{int(way.decide // 3600)}:{round(way.decide % 3600 / 60):02d}"
        cells.append(hours if way.decide else "notime")
    return label + ("".join(cells) if row.ways else ":nostopend,ringtheengineer----")


@EACH
def test_the_first_page_has_the_stop_rule_and_the_times_of_the_day(name, paper):
    sheet, words = made(name), words_of(name, paper, "The day on one page")
    assert "Unexpected sag or concrete use: STOP" in words
    assert "licensed engineer" in words
    outcomes = [one_day(sheet.basis, seed) for seed in range(sheet.days)]
    for number in range(len(sheet.fronts)):
        ends = [outcome.log.fronts[number].end for outcome in outcomes]
        assert clock(np.median(ends)) in words
        assert clock(np.percentile(ends, 90)) in words
    assert f"{sheet.basis.layout.volume.sum():.1f} m³ in the floor" in words


@EACH
def test_people_finish_and_the_last_page_say_what_the_study_says(name, paper):
    sheet = made(name)
    people = words_of(name, paper, "People and look-out")
    for gauge in sheet.gauges:
        assert f"{math.ceil(gauge.sag * 1e3 - 1e-6)} mm" in people
    finish = words_of(name, paper, "Finish and cure")
    after = words_of(name, paper, "Before and after")
    for bay in sheet.finish:
        for seconds in (bay.bull_float, bay.covered, *(p.begins for p in bay.passes)):
            minutes = int(np.floor(seconds / 60 + 0.5))
            assert f"+ {minutes // 60}:{minutes % 60:02d}" in finish
        assert f"{bay.volume:.1f}" in after
        if bay.cure_to is not None:
            assert f"{bay.cure_to.day} {bay.cure_to:%b} {bay.cure_to.year}" in finish


@EACH
def test_no_type_is_too_small_and_no_text_begins_outside_the_margins(name, paper):
    for (width, height), found in texts(name, paper):
        assert found
        for words, x, y, size in found:
            assert size >= LEAST - 1e-3, words
            assert MARGIN - 1.0 <= x <= width - MARGIN, words
            assert MARGIN - 1.0 <= y <= height - MARGIN, words


@EACH
def test_no_text_lies_over_another_nor_outside_the_margins(name, paper):
    nothing_over_anything(drawn(name, paper))


def nothing_over_anything(pages):
    for page in pages:
        width, height = page.figure.bbox.width, page.figure.bbox.height
        # As the file is written: a renderer for screens would round the width of every letter.
        renderer = RendererPdf(PdfFile(io.BytesIO()), 72, height / 72, width / 72)
        found = [t for t in page.axes.texts if t.get_text()]
        boxes = [text.get_window_extent(renderer) for text in found]
        for text, box in zip(found, boxes, strict=True):
            assert MARGIN - 2 <= box.x0 <= box.x1 <= width - MARGIN + 2, text.get_text()
            assert MARGIN - 4 <= box.y0 <= box.y1 <= height - MARGIN + 2, text.get_text()
        for n, one in enumerate(boxes):
            for k in range(n + 1, len(boxes)):
                other = boxes[k]
                # Boxes of lines of text hold empty room above and below their letters.
                across = min(one.x1, other.x1) - max(one.x0, other.x0)
                up = min(one.y1, other.y1) - max(one.y0, other.y0)
                both = found[n].get_text(), found[k].get_text()
                assert across < 0.5 or up < 2.5, (page.subject, both)


def test_no_word_of_ours_is_broken_where_two_pumps_make_the_columns_narrow(monkeypatch):
    broken = []
    monkeypatch.setattr(paper_module, "_fitting", lambda word, *room: broken.append(word) or 1)
    sheet_pages(made("depot_two_pumps"), "a4")
    assert broken == []


@EACH
def test_a_sheet_is_black_on_white_and_nothing_else(name, paper):
    counts = {"g": 1, "G": 1, "rg": 3, "RG": 3, "k": 4, "K": 4}
    reader = PdfReader(io.BytesIO(printed(name, paper)))
    seen = set()
    for page in reader.pages:
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            assert operator not in (b"sh", b"scn", b"SCN")
            if operator.decode() in counts:
                values = {float(each) for each in operands}
                assert values in ({0.0}, {1.0}), (operator, operands)
                seen |= values
        for each in page["/Resources"].get("/ExtGState", {}).values():
            state = each.get_object()
            assert {state.get("/ca", 1), state.get("/CA", 1)} <= {0, 1}  # seen or not, never half
    assert 0.0 in seen


@BOTH
def test_letters_are_letters(paper):
    reader = PdfReader(io.BytesIO(printed("clinic_level_1", paper)))
    for page in reader.pages:
        fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
        assert fonts
        assert all(font["/Subtype"] != "/Type3" for font in fonts)


def test_the_same_sheet_is_the_same_file():
    assert as_pdf(made("tower_level_9"), "a4") == printed("tower_level_9", "a4")
    info = PdfReader(io.BytesIO(printed("tower_level_9", "a4"))).metadata
    assert "/CreationDate" not in info


@BOTH
def test_paper_is_as_large_as_it_is_sold(paper):
    want = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}[paper]
    sizes = {tuple(sorted(size)) for size, _ in texts("clinic_level_1", paper)}
    for size in sizes:
        assert [each / 72 * 25.4 for each in size] == pytest.approx(want, abs=0.1)


@cache
def hostile_sheet():
    scenario = hostile()
    return sheet_from(scenario, 2, plan=1)


@BOTH
def test_long_and_hostile_names_stay_inside_their_boxes_and_no_formula_is_set(paper):
    sheet = hostile_sheet()
    with warnings.catch_warnings():
        warnings.simplefilter("error")  # of letters that a font lacks
        pages = sheet_pages(sheet, paper)
        nothing_over_anything(pages)
        whole = " ".join(
            words for _, found in read(as_pdf(sheet, paper, pages)) for words, *_ in found
        )
    assert f"plan '{PLANS[1]}'" in whole
    assert "$x^2$" in PLANS[1]
    assert TITLE[:40] in whole
    assert f"Placed with: {PUMP}" in whole
    assert "plantplant" in whole
    assert "$y_1$" in whole.replace(" ", "")


def test_a_letter_that_no_font_has_is_a_box_and_others_come_from_their_font():
    assert letters.shown("Pläne, план, σχέδιο") == ("Pläne, план, σχέδιο", (letters.FAMILY,))
    assert letters.shown("\U000e0041 1")[0] == f"{letters.NONE} 1"
    other = "\ue0f1"  # private: DejaVu Sans has none, another font of matplotlib's own may
    font = letters._font_of(other)
    assert letters.shown(other) == ((other, (letters.FAMILY, font)) if font else
                                    (letters.NONE, (letters.FAMILY,)))  # fmt: skip


def test_a_clock_time_past_midnight_says_so():
    from pourday.report.sheet.amounts import clock as shown
    from pourday.report.sheet.amounts import from_to

    assert shown(25.5 * 3600) == "01:30 +1d"
    assert from_to(23.5 * 3600, 24.5 * 3600) == "23:30–00:30 +1d"
    assert from_to(24.5 * 3600, 25 * 3600) == "00:30–01:00 +1d"
    assert re.fullmatch(r"\d\d:\d\d", shown(0.0))
