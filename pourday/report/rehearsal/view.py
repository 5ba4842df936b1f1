"""A scene as a page of a terminal: what a foreman wants to see, in words and plain characters."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap

from rich.console import Group
from rich.text import Text

from pourday.day.orders.line import order_text
from pourday.outcome.edges.open_edges import STIFF, OpenEdge
from pourday.outcome.events import Event
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import (
    AT_PUMP,
    GONE,
    LEAVING,
    LEFT,
    ON_ROAD,
    TO_COME,
    WAITING,
    FrontScene,
    Scene,
    TruckScene,
)
from pourday.report.basis import NOT_JUDGED, share_cell
from pourday.report.rehearsal.answers import BACK
from pourday.report.rehearsal.map import LEGEND, floor_map, map_rows
from pourday.report.rehearsal.stand import CHOICES, ORDER, UPSET
from pourday.report.rehearsal.stopped import stop_rows
from pourday.report.rehearsal.unended import unended_text
from pourday.report.rehearsal.words import (
    front_words,
    means_word,
    moment_words,
    strip_name,
    title_words,
)
from pourday.report.words import clock, cold_words, minutes, percent

KEYS = "space on  b back  p run  m later  u wrong  o order  x off  a ask  c try  q leave"
TYPING = "Enter: it happens   Esc: nothing happens   (such as: pump down 45 min)"
_WRITING = {
    UPSET: ("What goes wrong?", TYPING),
    ORDER: (
        "What do you order?",
        "Enter: done   Esc: no   (such as: hold, away 7, stand-by, end here, end after 12)",
    ),
    CHOICES: (
        "Try what?",
        "Enter: try   Esc: no   (one, or two: end here or stand-by and end after 12)",
    ),
}
_LABEL = 9
_MAP_SHARE = 0.55
_MOST_EVENTS = 12
_NAMED_TRUCKS = 3
_MOST_PEOPLE, _MOST_WRONG, _MOST_TO_COME, _MOST_ORDERS = 3, 3, 2, 3


@dataclass(frozen=True)
class Page:
    """What one page shows.

    ``happened`` are the moments so far, the latest last. ``typing`` is the line being written,
    ``None`` where none is; ``message`` answers the last key; ``change`` says what the last upset
    did to the day.
    """

    outcome: Outcome
    scene: Scene
    happened: Sequence[Sequence[Event]]
    running: bool = False
    typing: str | None = None
    message: str = ""
    change: str = ""
    asking: str = UPSET
    sheet: Sequence[str] = ()


def page_view(page: Page, width: int, height: int) -> Group:
    """The page as lines that fit ``width``, no more of them than ``height``."""
    outcome, scene = page.outcome, page.scene
    if page.sheet:
        return _sheet_view(page, width, height)
    head = [title_words(outcome), _clock_line(page, width)]
    state = _state_lines(page, width)
    now = _now_lines(page, width)
    foot = _foot(page, width)
    fixed = len(head) + len(state) + len(now) + len(foot) + 1 + len(LEGEND)
    room = max(0, height - fixed)
    # On a low terminal the map takes what is left; on a high one, the list gets its share.
    most = room if room <= 10 else int(room * _MAP_SHARE) + 4
    rows = map_rows(outcome.basis, width, most)
    drawn = floor_map(outcome.basis, scene, width, rows)
    earlier = _earlier(page, min(_MOST_EVENTS, height - fixed - rows - 1), width)
    lines: list[tuple[str, str]] = [
        (head[0], "bold"),
        (head[1], "bold"),
        *((line, "") for line in (*drawn, *LEGEND, *state, *earlier)),
        *((line, "bold") for line in now),
        *((line, "") for line in foot),
    ]
    # A page that is still too long keeps its clock and its keys and gives up the floor.
    if len(lines) > height:
        lines = [*lines[:2], *lines[len(lines) - height + 2 :]]
    return Group(*(_line(text, style, width) for text, style in lines))


def _sheet_view(page: Page, width: int, height: int) -> Group:
    """Lines in place of the page, as many as fit, and how to get back."""
    lines = [title_words(page.outcome)]
    for text in page.sheet:
        lines += wrap(text, width, subsequent_indent=" " * _LABEL, break_long_words=True) or [""]
    if len(lines) > height - 1:
        lines = [*lines[: height - 2], "... a higher terminal shows the rest"]
    return Group(*(_line(text, "", width) for text in (*lines, BACK)))


def _clock_line(page: Page, width: int) -> str:
    """The clock, what could not be placed, what was, the end: in words that fit."""
    scene, log = page.scene, page.outcome.log
    placed = f"placed {scene.placed:.1f} of {scene.total:.1f} m³"
    share = percent(scene.placed / scene.total) if scene.total else "-"
    lost = [f"{log.unfinished:.0f} m³ NOT PLACED"] if log.unfinished > 0 and over(page) else []
    # Before the last concrete nobody knows when it comes.
    end = f"last concrete came {clock(scene.end)}" if over(page) else ""
    running = ["RUNNING"] if page.running else []
    line = ""
    for amount, last in (
        (f"{placed} ({share})", end),
        (placed, end),
        (placed, end.replace("last concrete came", "end")),
    ):
        said = [last] if last else []
        line = "   ".join([clock(scene.time), *lost, amount, *said, *running])
        if len(line) <= width:
            break
    return line


def over(page: Page) -> bool:
    """Whether the last concrete has come and every front knows it."""
    return page.scene.time >= page.outcome.log.wash_out_end


def _state_lines(page: Page, width: int) -> list[str]:
    outcome, scene = page.outcome, page.scene
    room = width - _LABEL
    rows: list[tuple[str, str]] = []
    for front in scene.fronts:
        words = front_words(outcome, front, scene.time, room)
        named = f"{words}   ({front.pump}, crew {front.crew})"
        label = f"{means_word(outcome, front.number).capitalize()} {front.number + 1}"
        rows.append((label, named if len(named) <= room else words))
    rows += [("Trucks", _trucks(scene)), ("Concrete", _ages(scene))]
    rows += _rows_of("People", _people(outcome, scene), width, _MOST_PEOPLE)
    rows += [("Deck", _deck(outcome, scene)), ("Edges", _edges(outcome, scene, room))]
    if any(front.stands_long(scene.time) for front in scene.fronts):
        rows += stop_rows(outcome, scene)
    rows += _ordered(outcome, scene)
    if over(page) and (said := cold_words(outcome.cold)):
        rows.append((outcome.cold.level, said.split(": ", 1)[1]))
    coming = [unended_text(upset) for upset in scene.to_come]
    rows += _rows_of("WRONG", _wrong(scene), width, _MOST_WRONG)
    rows += _rows_of("TO COME", coming, width, _MOST_TO_COME)
    return [_cut(f"{label:<{_LABEL}}{text}", width) for label, text in rows]


def _ordered(outcome: Outcome, scene: Scene) -> list[tuple[str, str]]:
    """What was ordered by now, and what is not poured today by it."""
    log, fronts = outcome.log, len(scene.fronts)
    given = [f"{clock(o.at)} {order_text(o, fronts)}" for o in log.orders if o.at <= scene.time]
    rows = [("Ordered", "; ".join(given[-_MOST_ORDERS:]))] if given else []
    left = sum(log.strip_volumes[i] * (1.0 - scene.strips[i].share) for i in scene.given_up)
    if scene.given_up:
        strips = "1 strip" if len(scene.given_up) == 1 else f"{len(scene.given_up)} strips"
        rows.append(("Left out", f"{left:.1f} m³ in {strips} by order: stop end formed"))
    return rows


def _rows_of(label: str, parts: Sequence[str], width: int, most: int) -> list[tuple[str, str]]:
    """Parts in as few lines as hold them whole; more than ``most`` lines are counted only."""
    lines: list[str] = []
    for n, part in enumerate(parts):
        end = ";" if n + 1 < len(parts) else ""
        if lines and len(lines[-1]) + len(part) + len(end) + 1 <= width - _LABEL:
            lines[-1] += f" {part}{end}"
        elif len(lines) < most:
            lines.append(part + end)
        else:
            more = f" +{len(parts) - n} more"
            lines[-1] = _cut(lines[-1], width - _LABEL - len(more)) + more
            break
    return [(label if n == 0 else "", line) for n, line in enumerate(lines)]


def _wrong(scene: Scene) -> list[str]:
    return [unended_text(upset) for upset in scene.upsets]


def _trucks(scene: Scene) -> str:
    words = {
        AT_PUMP: "at pump",
        WAITING: "waiting",
        ON_ROAD: "on the road",
        LEAVING: "leaving",
    }
    parts = [f"{word} {_numbers(scene.trucks_that(state))}" for state, word in words.items()]
    return "; ".join([*parts, f"gone {len(scene.trucks_that(GONE))}"])


def _numbers(trucks: Sequence[TruckScene]) -> str:
    shown = [str(truck.number + 1) for truck in trucks[:_NAMED_TRUCKS]]
    more = len(trucks) - len(shown)
    return (", ".join(shown) + (f" +{more}" if more else "")) or "-"


def _ages(scene: Scene) -> str:
    limit = f"limit {minutes(scene.load_life)} min" if math.isfinite(scene.load_life) else ""
    if math.isnan(scene.oldest):
        return f"no truck on the site   {limit}"
    late = "   TOO OLD" if scene.oldest > scene.load_life else ""
    return f"oldest on the site {minutes(scene.oldest)} min, {limit}{late}"


def _people(outcome: Outcome, scene: Scene) -> list[str]:
    several = len(scene.fronts) > 1
    placers = [
        f"crew {front.number + 1}: " * several + _placers(outcome, front) for front in scene.fronts
    ]
    if all(front.people.placers == LEFT for front in scene.fronts):
        placers = ["placers have gone"]
    return [*placers, _finishers(outcome, scene)]


def _placers(outcome: Outcome, front: FrontScene) -> str:
    people = front.people
    full = people.placing + people.away + people.missing
    if people.placers == LEFT:
        return "have gone"
    if people.placers == TO_COME:
        return f"{full} placers come {clock(outcome.hours[front.number].pump_from)}"
    reasons = [
        f"{count} {why}"
        for count, why in ((people.away, "on break"), (people.missing, "missing"))
        if count
    ]
    if not reasons:
        return f"{full} place"
    return f"{people.placing} of {full} place ({', '.join(reasons)})"


def _finishers(outcome: Outcome, scene: Scene) -> str:
    crews = [outcome.basis.scenario.crews[front.crew] for front in scene.fronts]
    count, state = sum(crew.finishers for crew in crews), scene.fronts[0].people.finishers
    if count == 0:
        return "no finishers"
    if scene.finishing:
        layout = outcome.basis.layout
        jobs = [f"{strip_name(layout, i)} (pass {number})" for i, number in scene.finishing]
        return f"{count} finish {', '.join(jobs)}"
    if state == LEFT:
        return "finishers have gone"
    if state != TO_COME:
        return f"{count} finishers have nothing in hand"
    here = sum(
        crew.finishers > 0 and mine.bull_float_from <= scene.time
        for crew, mine in zip(crews, outcome.hours, strict=True)
    )
    if not here:
        return f"{count} finishers to come"
    more = f", {count - here} to come" if count > here else ""
    return f"{here} bull-float{'s' if here == 1 else ''}{more}"


def _deck(outcome: Outcome, scene: Scene) -> str:
    deck = scene.deck

    def _at(strip: int) -> str:
        return f"in {strip_name(outcome.basis.layout, strip)}" if strip >= 0 else "bare"

    if math.isnan(deck.peak):
        return f"share of resistance {NOT_JUDGED}"
    when = f"{clock(deck.peak_time)} " if deck.peak_strip >= 0 else ""
    peak = f"most so far {percent(deck.peak)}, {when}{_at(deck.peak_strip)}"
    kind = share_cell(deck.use, outcome.basis.scenario)
    return f"{kind} now {_at(deck.strip)}; {peak}"


def _edges(outcome: Outcome, scene: Scene, room: int) -> str:
    """How many are open, stiff and cold, the rule where there is room, and which is lost next."""
    coming = [edge for edge in scene.edges if edge.lost_at >= scene.time]
    counts = f"{len(scene.edges)} open, {scene.stiff} stiff, {scene.cold} cold"
    named = f"{counts} ({outcome.basis.edge_rule.name})"
    if not coming:
        return named
    words = edge_words(outcome, scene, coming[0])
    long = f"{named}; {words}"
    return long if len(long) <= room else f"{counts}; {words}"


def edge_words(outcome: Outcome, scene: Scene, edge: OpenEdge) -> str:
    """The edge that is lost next: which, and how long it has."""
    older = strip_name(outcome.basis.layout, edge.older)
    left = math.floor((edge.lost_at - scene.time) / 60.0)
    which = f"front in {older}"
    if edge.older != edge.younger:
        which = f"{older} waits for strip {edge.younger + 1}"
    stiff = "stiff, " if edge.state(scene.time) == STIFF else ""
    return f"{stiff}{left} min left: {which}"


def _earlier(page: Page, count: int, width: int) -> list[str]:
    """The moments before the last, one line each, where there is room for at least two."""
    if count < 4:
        return []
    before = page.happened[:-1][-(count - 2) :]
    lines = [f"{clock(m[0].time)}  {moment_words(page.outcome, m)}" for m in before]
    return ["Before", *(_cut(line, width) for line in lines), "Last event"] if lines else []


def _now_lines(page: Page, width: int) -> list[str]:
    """The last moment, in two lines at the most."""
    if not page.happened:
        return []
    last = page.happened[-1]
    text = f"{clock(last[0].time)}  {moment_words(page.outcome, last)}"
    lines = wrap(text, width, subsequent_indent=" " * 7)
    return [*lines[:1], _cut(" ".join(lines[1:]), width)] if len(lines) > 2 else lines


def _foot(page: Page, width: int) -> list[str]:
    said = [text for text in (page.change, page.message) if text]
    lines = [line for text in said for line in wrap(text, width)]
    if page.typing is None:
        return [*lines, _cut(KEYS, width)]
    question, hint = _WRITING[page.asking]
    shown = f"{question} {page.typing}_"
    # The end of a long line is what the writer has to see.
    return [*lines, shown if len(shown) <= width else "..." + shown[3 - width :], hint[:width]]


def _cut(text: str, width: int) -> str:
    return text if len(text) <= width else text[: max(0, width - 3)] + "..."


def _line(text: str, style: str, width: int) -> Text:
    return Text(_cut(text, width), style=style, no_wrap=True, overflow="crop")
