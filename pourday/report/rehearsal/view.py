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
from pourday.report.rehearsal.lines import laid, packed, sheet_lines
from pourday.report.rehearsal.map import LEAST_ROWS, LEGEND, floor_map, map_rows
from pourday.report.rehearsal.stand import CHOICES, ORDER, UPSET
from pourday.report.rehearsal.stopped import stop_rows
from pourday.report.rehearsal.unended import unended_text
from pourday.report.rehearsal.words import (
    front_words,
    means_word,
    moment_words,
    title_words,
)
from pourday.report.units import SI, Units
from pourday.report.words import clock, cold_words, minutes, percent, strip_of

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
_USUAL = 80
_NEAR = 1e-6
# Rows that go first where the terminal is too low for all.
_GIVE_WAY = (
    "People", "Concrete", "Trucks", "TO COME", "Ordered", "Deck", "On road", "Here", "Oldest",
)  # fmt: skip
_MOST_PEOPLE, _MOST_WRONG, _MOST_TO_COME, _MOST_ORDERS = 3, 3, 2, 3


@dataclass(frozen=True)
class Page:
    """What one page shows.

    ``happened`` are the moments so far, the latest last. ``typing`` is the line being written,
    ``None`` where none is, ``asking`` what it will be; ``message`` answers the last key;
    ``change`` says what the last upset or order did to the day; ``sheet`` are lines in place of
    the page (:func:`~pourday.report.rehearsal.lines.sheet_lines`); ``units`` are the reader's.
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
    units: Units = SI


def page_view(page: Page, width: int, height: int) -> Group:
    """The page as lines that fit ``width``, no more of them than ``height``.

    What is longer than a line goes on on the next. Where the terminal is too low for all of it, the
    floor goes first, then what is least urgent, named in a line.
    """
    if page.sheet:
        return _sheet_view(page, width, height)
    head = [*laid(title_words(page.outcome), width), *laid(_clock_line(page, width), width)]
    now, foot = _now_lines(page, width), _foot(page, width)
    others = len(head) + len(now) + len(foot)
    state, left_out = _state_lines(page, width), list[str]()
    for label in _GIVE_WAY:
        if others + sum(map(len, state.values())) + bool(left_out) > height:
            left_out += [label] if state.pop(label, None) else []
    rows = [line for lines in state.values() for line in lines]
    rows += laid(f"No room here for: {', '.join(left_out)}", width) if left_out else []
    room = height - others - len(rows)
    floor = _floor(page, width, room)
    earlier = _earlier(page, min(_MOST_EVENTS, room - len(floor) - 1), width)
    lines: list[tuple[str, str]] = [
        *((line, "bold") for line in head),
        *((line, "") for line in (*floor, *rows, *earlier)),
        *((line, "bold") for line in now),
        *((line, "") for line in foot),
    ]
    # A page that is still too long keeps its clock and its keys.
    if len(lines) > height:
        lines = [*lines[: len(head)], *lines[len(lines) - height + len(head) :]]
    return Group(*(_line(text, style) for text, style in lines))


def _floor(page: Page, width: int, room: int) -> list[str]:
    """The map with its legend in at most so many lines; nothing where it would be too low."""
    legend = [line for each in LEGEND for line in packed(each.split("   "), "   ", width)]
    room -= 1 + len(legend)
    if room < LEAST_ROWS:
        return []
    # On a low terminal the map takes what is left; on a high one, the list gets its share.
    most = room if room <= 10 else int(room * _MAP_SHARE) + 4
    basis = page.outcome.basis
    return [*floor_map(basis, page.scene, width, map_rows(basis, width, most)), *legend]


def _sheet_view(page: Page, width: int, height: int) -> Group:
    """Lines in place of the page, as many as fit, and how to get back."""
    lines = [*laid(title_words(page.outcome), width), *sheet_lines(page.sheet, width)]
    if len(lines) > height - 1:
        lines = [*lines[: height - 2], "... a higher terminal shows the rest"]
    return Group(*(_line(text, "") for text in (*lines, BACK)))


def _clock_line(page: Page, width: int) -> str:
    """The clock, what could not be placed, what was, the end: in words that fit."""
    scene, log, volume = page.scene, page.outcome.log, page.units.volume
    placed = f"placed {volume.figure(scene.placed, 1)} of {volume.text(scene.total, 1)}"
    share = percent(scene.placed / scene.total) if scene.total else "-"
    left = volume.text(log.unfinished)
    lost = [f"{left} NOT PLACED"] if log.unfinished > 0 and over(page) else []
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


def _state_lines(page: Page, width: int) -> dict[str, list[str]]:
    """The lines of every label, in order; what a narrow terminal says is what a usual one says."""
    outcome, scene, units = page.outcome, page.scene, page.units
    room = max(width, _USUAL) - _LABEL
    rows: list[tuple[str, str]] = []
    for front in scene.fronts:
        words = front_words(outcome, front, scene.time, room, units)
        named = f"{words}   ({front.pump}, crew {front.crew})"
        label = f"{means_word(outcome, front.number).capitalize()} {front.number + 1}"
        rows.append((label, named if len(named) <= room else words))
    rows += [("Trucks", _trucks(scene)), ("Concrete", _ages(scene))]
    rows += _rows_of("People", _people(outcome, scene), room, _MOST_PEOPLE)
    rows += [("Deck", _deck(outcome, scene)), ("Edges", _edges(outcome, scene, room))]
    if any(front.stands_long(scene.time) for front in scene.fronts):
        rows += stop_rows(outcome, scene, units)
    rows += _ordered(outcome, scene, units)
    if over(page) and (said := cold_words(outcome.cold, units)):
        rows.append((outcome.cold.level, said.split(": ", 1)[1]))
    wrong, coming = (
        [unended_text(upset, units) for upset in upsets] for upsets in (scene.upsets, scene.to_come)
    )
    rows += _rows_of("WRONG", wrong, room, _MOST_WRONG)
    rows += _rows_of("TO COME", coming, room, _MOST_TO_COME)
    out: dict[str, list[str]] = {}
    for label, text in rows:
        named = f"{label:<{_LABEL}}{text}"
        out.setdefault(label or list(out)[-1], []).extend(laid(named, width, _LABEL))
    return out


def _ordered(outcome: Outcome, scene: Scene, units: Units) -> list[tuple[str, str]]:
    """What was ordered by now, and what is not poured today by it."""
    log, fronts = outcome.log, len(scene.fronts)
    given = [f"{clock(o.at)} {order_text(o, fronts)}" for o in log.orders if o.at <= scene.time]
    rows = [("Ordered", "; ".join(given[-_MOST_ORDERS:]))] if given else []
    left = sum(log.strip_volumes[i] * (1.0 - scene.strips[i].share) for i in scene.given_up)
    if scene.given_up:
        strips = "1 strip" if len(scene.given_up) == 1 else f"{len(scene.given_up)} strips"
        rows.append(
            ("Left out", f"{units.volume.text(left, 1)} in {strips} by order: stop end formed")
        )
    return rows


def _rows_of(label: str, parts: Sequence[str], room: int, most: int) -> list[tuple[str, str]]:
    """Parts in as few lines as hold them whole; more than ``most`` lines are counted only."""
    lines: list[str] = []
    for n, part in enumerate(parts):
        end = ";" if n + 1 < len(parts) else ""
        if lines and len(lines[-1]) + len(part) + len(end) + 1 <= room:
            lines[-1] += f" {part}{end}"
        elif len(lines) < most:
            lines.append(part + end)
        else:
            lines[-1] += f" +{len(parts) - n} more"
            break
    return [(label if n == 0 else "", line) for n, line in enumerate(lines)]


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
    return f"oldest on the site {minutes(scene.oldest)} min, {limit}{_past_limit(scene)}"


def _past_limit(scene: Scene) -> str:
    """What is over its limit on the site: too old, or begun and to be finished soon."""
    here = [t for t in scene.trucks if t.state in (WAITING, AT_PUMP) and t.left > _NEAR]
    if any(truck.gives_up < scene.time for truck in here):
        return "   TOO OLD"
    late = [truck.gives_up for truck in here if truck.age > scene.load_life]
    return f"   to be finished by {clock(min(late))}" if late and min(late) < math.inf else ""


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
        jobs = [f"{strip_of(layout, i)} (pass {number})" for i, number in scene.finishing]
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
        return f"in {strip_of(outcome.basis.layout, strip)}" if strip >= 0 else "bare"

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
    older = strip_of(outcome.basis.layout, edge.older)
    left = math.floor((edge.lost_at - scene.time) / 60.0)
    which = f"front in {older}"
    if edge.older != edge.younger:
        which = f"{older} waits for {strip_of(outcome.basis.layout, edge.younger)}"
    stiff = "stiff, " if edge.state(scene.time) == STIFF else ""
    return f"{stiff}{left} min left: {which}"


def _earlier(page: Page, count: int, width: int) -> list[str]:
    """The moments before the last, one line each, where there is room for at least two."""
    if count < 4:
        return []
    lines: list[str] = []
    for moment in reversed(page.happened[:-1]):
        told = _moment(page, moment, width)
        if len(lines) + len(told) > count - 2:
            break
        lines = [*told, *lines]
    return ["Before", *lines, "Last event"] if lines else []


def _now_lines(page: Page, width: int) -> list[str]:
    """The last moment."""
    return _moment(page, page.happened[-1], width) if page.happened else []


def _moment(page: Page, moment: Sequence[Event], width: int) -> list[str]:
    said = moment_words(page.outcome, moment, page.units)
    return laid(f"{clock(moment[0].time)}  {said}", width, 7)


def _foot(page: Page, width: int) -> list[str]:
    said = [text for text in (page.change, page.message) if text]
    lines = [line for text in said for line in wrap(text, width)]
    if page.typing is None:
        return [*lines, *packed(KEYS.split("  "), "  ", width)]
    question, hint = _WRITING[page.asking]
    shown = f"{question} {page.typing}_"
    typed = [shown[at : at + width] for at in range(0, len(shown), width)]
    return [*lines, *typed, *packed(hint.split("   "), "   ", width)]


def _line(text: str, style: str) -> Text:
    return Text(text, style=style, no_wrap=True, overflow="crop")
