"""What is written on each strip of the strip plan: number, way, kind, place of the pump, times."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from pourday.floor.layout import Layout
from pourday.floor.strips import Strip
from pourday.outcome.measure import Outcome
from pourday.report.figures.floor import BAND, Pen, Sheet
from pourday.report.figures.set_ups import changes_of, number_style
from pourday.report.figures.strip_legend import KINDS
from pourday.report.words import clock
from pourday.scenario.model.scenario import FloorPlan

_DIGIT = 0.72  # width of a bold digit, as a share of the type size


@dataclass(frozen=True)
class StripMark:
    """What is written on a strip, and the way of its front (``up``: from low y).

    ``number`` is its place in the order, ``size`` (pt) that of its type, ``along`` whether it is
    written along the strip, ``look`` how the numbers of its front look. ``tag`` names the place
    of the pump (may be empty), which changes at ``changes`` (y, m). ``times`` are the clock times.
    """

    strip: Strip
    up: bool
    number: int
    size: float
    along: bool
    look: dict[str, Any]
    tag: str
    changes: Sequence[float]
    times: str | None


def strip_marks(
    layout: Layout, sheet: Sheet, tags: Sequence[str], when: Outcome | None
) -> Iterator[StripMark]:
    """A mark for each strip in placing order; ``tags`` of the pump's places, ``when`` a day."""
    changes, sizes = changes_of(layout), _number_sizes(layout, sheet)
    for i, (strip, up) in enumerate(zip(layout.strips, layout.upward, strict=True)):
        yield StripMark(
            strip=strip,
            up=up,
            number=i + 1,
            size=sizes[i][0],
            along=sizes[i][1],
            look=number_style(layout.front_of[i], len(layout.access)),
            tag=tags[i],
            changes=changes.get(i, []),
            times=None if when is None else _times(when, i),
        )


def _number_sizes(layout: Layout, sheet: Sheet) -> list[tuple[float, bool]]:
    """Type size (pt) of each strip's number, and whether it is written along the strip."""
    digits = len(str(len(layout.strips)))
    sizes = []
    for strip in layout.strips:
        across, along = (strip.x1 - strip.x0) * sheet.points, (strip.y1 - strip.y0) * sheet.points
        if strip.along == "x":
            across, along = (along, across) if sheet.turned else (across, along)
            sizes.append((min(across / (digits * _DIGIT) - 2, 0.55 * along), False))
            continue
        upright = min((across - 2) / (digits * _DIGIT), along / 4)
        lying = min(across / 1.18, along / (2.2 * digits))
        turn = sheet.turned or upright < 6.5
        sizes.append((lying if turn else upright, turn))
    cap = min(20.0, 1.5 * min(size for size, _ in sizes))
    return [(max(4.0, min(cap, size)), turn) for size, turn in sizes]


def _times(day: Outcome, strip: int) -> str:
    begin, end = float(day.strip_start[strip]), float(day.strip_end[strip])
    return "not placed" if math.isnan(begin) else f"{clock(begin)[:5]}–{clock(end)[:5]}"


def draw_mark(pen: Pen, floor: FloorPlan, mark: StripMark) -> None:
    """Arrow, number, letter, tag and times; all but the arrow keep clear of openings."""
    if mark.strip.along == "x":
        _draw_band(pen, floor, mark)
        return
    strip, tag, times, k = mark.strip, mark.tag, mark.times, pen.points
    low, high = strip.y0 + BAND[pen.turned] / k, strip.y1 - 3 / k
    # The arrow leaves the middle line of the strip free where a support runs along it.
    near = min(4 / k, 0.25 * (strip.x1 - strip.x0))
    on_support = any(abs(x - strip.middle) < near for x in floor.supports)
    way = strip.x0 + (0.2 if on_support else 0.5) * (strip.x1 - strip.x0)
    ends = ((way, low), (way, high))
    pen.arrow(*(ends if mark.up else ends[::-1]))
    number, type_number = f"{mark.number}", mark.size
    half = type_number * (_DIGIT * len(number) if mark.along else 1.0) / 2
    type_letter = max(5.5, 0.6 * type_number)
    type_tag = min(type_letter, 0.9 * (strip.x1 - strip.x0) * k / (_DIGIT * 2))
    room_tag = 0.0
    if tag:
        lines = tag.split(" ")
        tag = (" " if pen.turned else "\n").join(lines)
        room_tag = type_tag * (0.68 * len(tag) if pen.turned else 1.25 * len(lines)) + 3
    block = 2 * half + type_letter * 1.3 + 4 + room_tag  # number, letter, tag, along y (pt)
    type_times = max(4.5, min(max(7.0, type_number / 2), 0.75 * (strip.x1 - strip.x0) * k))
    length = 0.62 * type_times * len(times or "")
    reach = min((strip.x1 - strip.x0) / 2, (half + 3) / k)  # of the writing, to either side
    taken = [(max(low, y - 4 / k), min(high, y + 4 / k)) for y in mark.changes if low < y < high]
    a, b = _clear(floor, (strip.middle - reach, strip.middle + reach), (low, high), taken)
    middle = a + (0.5 if times is None or b - a > (block + 2 * length + 16) / k else 0.7) * (b - a)
    style: dict[str, Any] = {"size": type_number, "weight": "bold", "gid": f"order {number}"}
    style |= mark.look
    pen.text(strip.middle, middle + block / 2 / k - half / k, number, along=mark.along, **style)
    at = middle - (block / 2 - type_letter * 0.65 - room_tag) / k
    pen.text(strip.middle, at, KINDS[strip.kind][0], size=type_letter)
    if tag:
        at = middle - (block - room_tag) / 2 / k
        pen.text(strip.middle, at, tag, size=type_tag, gid=f"from {number}", linespacing=1.1)
    if times is not None and (b - a) * k > block + length:
        at = min(a + (b - a) / 4, middle - (block / 2 + length / 2 + 4) / k)
        at = max(at, a + length / 2 / k)
        pen.text(strip.middle, at, times, along=True, size=type_times, gid=f"times {number}")


def _draw_band(pen: Pen, floor: FloorPlan, mark: StripMark) -> None:
    """A strip whose front runs along x: its arrow below, its number and what goes with it above."""
    strip, k = mark.strip, pen.points
    deep = strip.y1 - strip.y0
    near = min(3 / k, 0.1 * (strip.x1 - strip.x0))
    way = strip.y0 + 0.82 * deep  # the bay's name stands at the low edge of its first band
    ends = ((strip.x0 + near, way), (strip.x1 - near, way))
    pen.arrow(*(ends if mark.up else ends[::-1]))
    words = [part for part in (mark.tag, mark.times) if part]
    style: dict[str, Any] = {"size": mark.size, "weight": "bold", "gid": f"order {mark.number}"}
    style |= mark.look
    room = (deep if pen.turned else strip.x1 - strip.x0) * k
    number = f"{mark.number}"
    small = max(4.5, 0.7 * mark.size)
    fits = bool(words) and _DIGIT * small * len(" ".join(words)) < room
    lines = 0.62 * deep * k > mark.size + 1.4 * small
    clear = _clear_across(floor, strip)
    pen.text(clear, strip.y0 + (0.58 if fits and lines else 0.48) * deep, number, **style)
    if fits and lines:
        pen.text(clear, strip.y0 + 0.26 * deep, " ".join(words), size=small)


def _clear_across(floor: FloorPlan, strip: Strip) -> float:
    """x of the middle of the longest piece along x of a band that no opening touches."""
    holes = [
        (max(strip.x0, h.x[0]), min(strip.x1, h.x[1]))
        for h in floor.openings
        if h.y[0] < strip.y1 and h.y[1] > strip.y0 and h.x[0] < strip.x1 and h.x[1] > strip.x0
    ]
    marks = [strip.x0, *(x for hole in sorted(holes) for x in hole), strip.x1]
    a, b = max(zip(marks[::2], marks[1::2], strict=True), key=lambda piece: piece[1] - piece[0])
    return (a + b) / 2


def _clear(
    floor: FloorPlan,
    x: tuple[float, float],
    y: tuple[float, float],
    taken: Sequence[tuple[float, float]],
) -> tuple[float, float]:
    """The longest piece along ``y`` that is clear of openings between two x, and of ``taken``."""
    (left, right), (low, high) = x, y
    holes = [
        (max(low, h.y[0]), min(high, h.y[1]))
        for h in floor.openings
        if h.x[0] < right and h.x[1] > left and h.y[0] < high and h.y[1] > low
    ]
    holes += taken
    marks = [low, *(y for hole in sorted(holes) for y in hole), high]
    # Two that overlap leave a piece of no length, which is never the longest.
    return max(zip(marks[::2], marks[1::2], strict=True), key=lambda piece: piece[1] - piece[0])
