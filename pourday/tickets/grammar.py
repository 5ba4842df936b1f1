"""One line of tickets: read, or refused with a word on what to write."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from pourday.tickets import line as say
from pourday.tickets.line import Line
from pourday.tickets.tokens import NUMBER, PLACE, TIME, VOLUME, LineError, Token, tokens

FORMS = (
    "7 in 8:38 loaded 8:18 7.5m3", "7 on 8:48", "7 off 9:05", "7 off 9:05 back 1.5m3",
    "7 away 9:05 too old", "8 left 8:55", "strip 12 start 9:10", "strip 12 full 9:26",
    "strip 12 at 9.5m 10:30", "stop end 12 at 9.5m 10:50", "stop 10:30 blocked", "guess 11:15",
    "go 11:20", "break 12:10", "work 12:40", "people 7 13:00", "pump 2 7 on 8:48",
    "moved to B 11:00", "call 6m3 for 11:40", "hold 10:35", "send 11:20", "wrong 3", "units m3",
    "also plant.csv",
)  # fmt: skip
"""An example of every line."""
LONGEST = 200
"""Letters of a line beyond which nobody has typed it."""


class _Words:
    """The words of a line, taken one after the other from the front."""

    def __init__(self, text: str) -> None:
        self.left = tokens(text)

    def take(self, kind: str) -> Token | None:
        """The next word where it is of this kind."""
        if self.left and self.left[0].kind == kind:
            return self.left.pop(0)
        return None

    def word(self, *texts: str) -> bool:
        """Whether the next word is one of these; it is taken then."""
        if self.left and self.left[0].text in texts:
            self.left.pop(0)
            return True
        return False

    def need(self, kind: str, what: str) -> Token:
        """The next word, which has to be of this kind."""
        found = self.take(kind)
        if found is None:
            got = f'not "{self.left[0].text}"' if self.left else "and the line ends"
            raise LineError(f"{what} is wanted here, {got}")
        return found

    def rest(self) -> str:
        """All that is left, as text."""
        text = " ".join(word.text for word in self.left)
        self.left.clear()
        return text


def parse_line(text: str, row: int = 0) -> Line | None:
    """The line in ``text``; None where there is nothing but a remark of the writer.

    Times are those of the clock, 0 to 24 h: which day they are of is known from the lines before.
    ``time`` is nan where the line has none.

    Raises:
        LineError: where it cannot be read; the text says what to write.
    """
    if len(text) > LONGEST:
        raise LineError(f"more than {LONGEST} letters: one thing a line")
    words = _Words(text)
    if not words.left:
        return None
    front = 0
    if words.word("pump"):
        front = int(words.need(NUMBER, "the number of the pump").value) - 1
        if not 0 <= front < 100:
            raise LineError("pumps count from 1")
    head = words.left[0] if words.left else None
    if head is not None and head.kind == NUMBER:
        found = _load(words)
    elif head is not None and head.text in _FORMS:
        words.left.pop(0)
        found = _FORMS[head.text](words)
    else:
        raise LineError(f"nothing like it is known; lines are such as {_examples(text)}")
    _all_said(words, found)
    if found.kind == say.ALSO:  # a name keeps its capitals
        found = replace(found, why=text.split("#", 1)[0].split(None, 1)[1].strip())
    return replace(found, row=row, text=text.strip(), front=front)


def stamped(text: str, now: float) -> str:
    """The line with the clock time ``now`` (s) in it where it has none of its own.

    Raises:
        LineError: where it cannot be read, or wants a time that only its writer knows.
    """
    found = parse_line(text)
    if found is None:
        raise LineError("there is nothing to note")
    bare = " ".join(text.split("#", 1)[0].split())
    if found.kind in say.NO_TIME or not math.isnan(found.time):
        return bare
    minutes = int(now // 60.0) % (24 * 60)
    time = f"{minutes // 60}:{minutes % 60:02d}"
    words = bare.split()
    small = [word.lower() for word in words]
    verb = found.kind.split()[-1]
    after = len(words)
    if found.kind in say.OF_LOADS or found.kind in (say.STOP, say.STRIP_START, say.STRIP_FULL):
        after = small.index(verb) + 1
    return " ".join([*words[:after], time, *words[after:]])


def _load(words: _Words) -> Line:
    """What is said of a load: "7 in 8:38 loaded 8:18 7.5m3 from East"."""
    number = words.need(NUMBER, "the number of the load").text
    kind = next((k for k in say.OF_LOADS if words.word(k)), "")
    if not kind:
        got = f'"{words.left[0].text}"' if words.left else "nothing"
        raise LineError(f"load {number} is what: in, on, off, away or left? Not {got}")
    time, loaded, volume, back, plant = _time(words), None, None, None, ""
    while words.left and kind != say.AWAY:
        if words.word("loaded"):
            loaded = words.need(TIME, "the time of loading").value
        elif words.word("back"):
            back = words.need(VOLUME, "a volume with m3 or yd3").value
        elif words.word("from"):
            plant = words.rest()
        elif (found := words.take(VOLUME)) is not None:
            volume = found.value
        elif math.isnan(time) and words.left[0].kind == TIME:
            time = _time(words)
        else:
            break
    why = words.rest() if kind == say.AWAY else ""
    if back is not None and kind != say.OFF:
        raise LineError(f"concrete goes back when the load is off: {number} off ... back ...")
    said = Line(0, "", kind, time, time, number, volume=volume, back=back)
    return replace(said, loaded=loaded, why=why, plant=plant)


def _strip(words: _Words) -> Line:
    strip = int(words.need(NUMBER, "the number of the strip").value)
    if words.word("at"):
        place = words.need(PLACE, "a place in m or ft from the strip's low end").value
        return Line(0, "", say.STRIP_AT, *_when(words), strip=strip, at=place)
    for verb, kind in (("start", say.STRIP_START), ("full", say.STRIP_FULL)):
        if words.word(verb):
            return Line(0, "", kind, *_when(words), strip=strip)
    raise LineError(f"strip {strip} is what: start, full, or at ... m?")


def _stop(words: _Words) -> Line:
    if words.word("end"):
        strip = int(words.need(NUMBER, "the number of the strip").value)
        if not words.word("at"):
            raise LineError("a stop end is at a place: stop end 12 at 9.5m")
        place = words.need(PLACE, "a place in m or ft from the strip's low end").value
        return Line(0, "", say.STOP_END, *_when(words), strip=strip, at=place)
    when = _when(words)
    return Line(0, "", say.STOP, *when, why=words.rest())


def _guess(words: _Words) -> Line:
    time = words.need(TIME, "the time at which it goes on, as somebody guesses,").value
    return Line(0, "", say.GUESS, time, time)


def _plain(kind: str) -> Callable[[_Words], Line]:
    return lambda words: Line(0, "", kind, *_when(words))


def _people(words: _Words) -> Line:
    number = int(words.need(NUMBER, "how many people are there").value)
    return Line(0, "", say.PEOPLE, *_when(words), number=number)


def _moved(words: _Words) -> Line:
    words.word("to")
    place = words.left.pop(0).text if words.left and words.left[0].kind != TIME else ""
    return Line(0, "", say.MOVED, *_when(words), why=place)


def _call(words: _Words) -> Line:
    volume = words.need(VOLUME, "a volume with m3 or yd3").value
    if not words.word("for"):
        raise LineError("for when is it called? call 6m3 for 11:40")
    time = words.need(TIME, "the time for which it is called").value
    return Line(0, "", say.CALL, time, time, volume=volume)


def _wrong(words: _Words) -> Line:
    number = int(words.need(NUMBER, "the number of the line that is not true").value)
    return Line(0, "", say.WRONG, number=number)


def _also(words: _Words) -> Line:
    if not words.left:
        raise LineError("which file? also plant.csv")
    words.rest()
    return Line(0, "", say.ALSO)


def _units(words: _Words) -> Line:
    unit = words.rest().replace("³", "3")
    if unit not in ("m3", "yd3"):
        raise LineError("units are m3 or yd3")
    return Line(0, "", say.UNITS, why=unit)


_FORMS: dict[str, Callable[[_Words], Line]] = {
    "strip": _strip,
    "stop": _stop,
    "guess": _guess,
    "go": _plain(say.GO),
    "break": _plain(say.BREAK),
    "work": _plain(say.WORK),
    "hold": _plain(say.HOLD),
    "send": _plain(say.SEND),
    "people": _people,
    "moved": _moved,
    "call": _call,
    "wrong": _wrong,
    "units": _units,
    "also": _also,
}


def _time(words: _Words) -> float:
    words.word("at")
    found = words.take(TIME)
    return math.nan if found is None else found.value


def _when(words: _Words) -> tuple[float, float]:
    time = _time(words)
    return time, time


def _all_said(words: _Words, found: Line) -> None:
    if not words.left:
        return
    odd = words.left[0]
    if odd.kind == NUMBER and math.isnan(found.time) and len(odd.text) <= 2:
        hour = f", or the time {odd.text}:00" if odd.value < 24 else ""
        raise LineError(f'"{odd.text}" may be the volume {odd.text}m3 (or yd3){hour}: write which')
    if odd.kind == NUMBER:
        raise LineError(f'"{odd.text}" has no unit: a volume is {odd.text}m3 or {odd.text}yd3')
    raise LineError(f'what does "{odd.text}" say here? One thing a line')


def _examples(text: str) -> str:
    """A form or two that begin like the text, else three of all kinds."""
    first = text.split()[0].lower()[:2] if text.split() else ""
    near = [form for form in FORMS if form.startswith(first)][:2]
    return ", ".join(f'"{form}"' for form in near or (FORMS[0], FORMS[7], FORMS[10]))
