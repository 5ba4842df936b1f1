"""Things that go wrong at a clock time: what they are, and the plain words they are written in.

A line such as ``10:30 pump down 45 min`` says when, what, and for how long. The same words stand
in a scenario file and on the command line; ``docs/upsets.md`` shows each of them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

from pourday.scenario.base.distribution import Distribution
from pourday.scenario.base.quantities import CLOCK
from pourday.scenario.base.trade import SKIP


@dataclass(frozen=True)
class Upset:
    """Something that goes wrong. ``at`` is its clock time (s), ``length`` how long it lasts (s).

    ``kind`` is one of :data:`KINDS`. ``who`` is a plant's name or a front's number ("1", "2");
    empty means every one it can hit. ``number`` counts people missing, ``rate`` is rain (m/s).
    ``drawn`` says that chance brought it, not the user. ``length`` is ``inf`` for the rest of the
    day, and 0 for a rejected load, which has none.
    """

    at: float
    kind: str
    length: float
    who: str = ""
    number: int = 0
    rate: float = 0.0
    drawn: bool = False


PLANT_STOPPED = "plant stopped"
TRUCK_BROKEN = "truck broken"
ROAD_CLOSED = "road closed"
PUMP_DOWN = "pump down"
LOAD_REJECTED = "load rejected"
RAIN = "rain"
CREW_SHORT = "crew short"
CRANE_LOST = "crane lost"
KINDS = (
    PLANT_STOPPED, TRUCK_BROKEN, ROAD_CLOSED, PUMP_DOWN, LOAD_REJECTED, RAIN, CREW_SHORT,
    CRANE_LOST,
)  # fmt: skip

FORMS: dict[str, tuple[str, ...]] = {
    "plant": ("10:30 plant stopped 40 min", "10:30 plant Quarry Road plant stopped 40 min"),
    "truck": ("10:30 truck broken 30 min",),
    "road": ("10:30 road closed 40 min", "10:30 road from Quarry Road plant closed 40 min"),
    "pump": ("10:30 pump down 45 min", "10:30 pump 2 down 45 min"),
    "load": ("10:30 load rejected",),
    "rain": ("10:30 rain 20 min", "10:30 rain 20 min at 5 mm/h"),
    "crew": ("10:30 crew short 2", "10:30 crew short 2 for 1 h", "10:30 crew 2 short 1 for 1 h"),
    "crane": ("10:30 crane lost 30 min", "10:30 crane 2 lost 30 min"),
}
"""What may be written: the word after the clock time -> an example of every form it takes."""
DEFAULT_RAIN = 5.0
"""Rain where no rate is written (mm/h): a middling shower; chosen here, no source."""

# The second word of a kind, by its first: "stopped" of a plant. Rain has none.
_VERB = {kind.split()[0]: kind.split()[1] for kind in KINDS if kind != RAIN}
_NAMED = ("plant", "road")
_NUMBERED = ("pump", "crew", "crane")
_MOST_RAIN = 200.0  # mm/h, as in [weather] rain
_MOST_PEOPLE = 60  # as placers in [crews.NAME]
_MOST_FRONTS = 99
_DAY = 24 * 3600.0
_MM_PER_H = 1e-3 / 3600.0
_LENGTH_ALLOWED = "a length of 0 to 24 h such as 45 min, 1 h, 1.5 h or 1 h 30 min"
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})")
_NUMBER = r"[-+]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_LENGTH = re.compile(
    rf"(?:({_NUMBER}) ?(?:hours?|h)(?![a-z]))?(?: ?({_NUMBER}) ?(?:minutes?|mins?)(?![a-z]))?"
)
_RATE = re.compile(rf"({_NUMBER}) ?mm/h")
_WORD = re.compile(r"\S+")
_LONGEST = 80


class UpsetError(ValueError):
    """A line that is no upset; its text is one line: the line, what was found, what is allowed.

    ``found``, ``allowed`` and ``advice`` are its parts, as in a ``Fault``; ``advice`` may be empty.
    """

    def __init__(self, line: str, found: str, allowed: str, advice: str = "") -> None:
        super().__init__(line, found, allowed, advice)
        self.line = line
        self.found = found
        self.allowed = allowed
        self.advice = advice

    def __str__(self) -> str:
        """The error in one line."""
        end = f"; {self.advice}" if self.advice else ""
        return f"{_quoted(self.line)}: found {self.found}; allowed: {self.allowed}{end}"


@dataclass(frozen=True)
class UpsetRates:
    """How often things go wrong, and for how long.

    ``..._every`` is the mean clock time (s) from the end of one to the beginning of the next, of
    each plant, road and front, and of the whole fleet for trucks; ``None`` is never. The others
    are lengths (s). ``absent_share`` is the chance (0 to 1) that a placer does not come that day.
    """

    plant_stop_every: float | None
    truck_broken_every: float | None
    road_closed_every: float | None
    pump_down_every: float | None
    crane_lost_every: float | None
    plant_stop: Distribution
    truck_broken: Distribution
    road_closed: Distribution
    pump_down: Distribution
    crane_lost: Distribution
    absent_share: float


def parse_upset(text: str) -> Upset:
    """The upset that a line in plain words says; case and extra spaces do not matter.

    A plant's name is what stands between ``plant`` (or ``road from``) and the last ``stopped``
    (``closed``), with or without quotes round it. Lengths and rates are read to a microsecond
    and a millionth of a mm/h.

    Raises:
        UpsetError: saying what was found and what is allowed.
    """
    line = _Line(text)
    at, subject = line.clock(), line.subject()
    who = line.name() if subject in _NAMED else line.front() if subject in _NUMBERED else ""
    if subject == "rain":
        length, rate = line.rain()
        return Upset(at, RAIN, length, rate=rate)
    line.verb()
    kind = f"{subject} {_VERB[subject]}"
    if subject == "load":
        line.end()
        return Upset(at, kind, 0.0)
    if subject == "crew":
        number = line.people()
        return Upset(at, kind, line.length() if line.words else math.inf, who, number)
    return Upset(at, kind, line.length(), who)


def upset_text(upset: Upset) -> str:
    """The upset in the words :func:`parse_upset` reads.

    The clock time is to the nearest minute. One that the user wrote reads back the same; the
    length of a drawn one is to the nearest minute too, at least 1 unless it is nothing.
    """
    subject, _, verb = upset.kind.partition(" ")
    words = [_clock_text(upset.at), subject]
    if upset.who:
        words += ["from"] if subject == "road" else []
        words.append(_name_text(upset.who) if subject in _NAMED else upset.who)
    words += [verb] if verb else []
    if upset.kind == CREW_SHORT:
        words.append(str(upset.number))
        words += [f"for {_length_text(upset)}"] if math.isfinite(upset.length) else []
    elif upset.kind != LOAD_REJECTED:
        words.append(_length_text(upset))
    if upset.kind == RAIN:
        words.append(f"at {_decimal(upset.rate / _MM_PER_H)} mm/h")
    return " ".join(words)


def fitted(upset: Upset, plants: Sequence[str]) -> Upset:
    """The upset with its plant's name spelled as in ``plants``, whatever its case and spaces."""
    if upset.kind in (PLANT_STOPPED, ROAD_CLOSED) and upset.who not in plants:
        for plant in plants:
            if _plain(plant) == _plain(upset.who):
                return replace(upset, who=plant)
    return upset


def check_upset(upset: Upset, plants: Sequence[str], means: Sequence[str]) -> str | None:
    """What does not fit a plan, in one line; ``None`` where the upset can happen there.

    Args:
        upset: as it came from :func:`parse_upset`, after :func:`fitted`.
        plants: names of the plants, spelled as in the file.
        means: "boom", "line" or "skip" of every front, in order.
    """
    if upset.kind in (PLANT_STOPPED, ROAD_CLOSED):
        if not upset.who or upset.who in plants:
            return None
        near = _near(_plain(upset.who), plants)
        there = f"the plants are: {', '.join(map(_quoted, plants))}"
        return f"no plant {_quoted(upset.who)}; {near or there}"
    if upset.kind not in (PUMP_DOWN, CREW_SHORT, CRANE_LOST):
        return None
    if upset.who and not (upset.who.isdecimal() and 1 <= int(upset.who) <= len(means)):
        there = "front 1 only" if len(means) == 1 else f"fronts 1 to {len(means)}"
        return f"no front {upset.who}; the plan has {there}"
    if upset.kind == CREW_SHORT:
        return None
    hit = [means[int(upset.who) - 1]] if upset.who else list(means)
    lost = upset.kind == CRANE_LOST
    if any(lost == (each == SKIP) for each in hit):
        return None
    where = f"front {upset.who}" if upset.who else "every front"
    has = "has a pump, no crane" if lost else "is a crane with skip, no pump"
    other = replace(upset, kind=PUMP_DOWN if lost else CRANE_LOST)
    return f"{where} {has}; did you mean {_quoted(upset_text(other))}?"


class _Line:
    """A line and the words of it not yet read. Each method reads on, or says what is wrong."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.words = list(_WORD.finditer(text))
        self.first = ""

    def clock(self) -> float:
        """The clock time (s)."""
        word = self._take()
        match = _CLOCK.fullmatch(word)
        if not match or int(match[1]) > 47 or int(match[2]) > 59:
            example = f"{CLOCK}, then what goes wrong: {', '.join(FORMS)}"
            raise self._error(f"{_found(word)} where the clock time should stand", example)
        return int(match[1]) * 3600.0 + int(match[2]) * 60.0

    def subject(self) -> str:
        """What goes wrong: the word after the clock time."""
        word = self._take()
        if word.lower() not in FORMS:
            what = f"{_found(word)} after the clock time"
            raise self._error(what, ", ".join(FORMS), _near(word, FORMS))
        self.first = word.lower()
        return self.first

    def verb(self) -> None:
        """The second word of the kind, which has to stand here."""
        verb, word = _VERB[self.first], self._take()
        if word.lower() != verb:
            missing = f'{_found(word)} where "{verb}" should stand'
            raise self._error(missing, advice=_near(word, [verb]))

    def front(self) -> str:
        """A front's number where one stands; else every front."""
        if not self.words or not re.fullmatch(r"[0-9]+", self.words[0][0]):
            return ""
        word = self._take()
        number = int(word) if len(word) <= 9 else 0
        if not 1 <= number <= _MOST_FRONTS:
            what = f"{_found(word)} where the front's number should stand"
            raise self._error(what, f"1 to {_MOST_FRONTS}, or no number for every front")
        return str(number)

    def name(self) -> str:
        """A plant's name, up to the last verb; none where the verb stands at once."""
        verb = _VERB[self.first]
        lower = [word[0].lower() for word in self.words]
        if verb not in lower:
            near = get_close_matches(verb, lower, n=1)
            advice = f"did you mean {_quoted(verb)} for {_quoted(near[0])}?" if near else ""
            missing = f'without the word "{verb}"' if lower else f'where "{verb}" should stand'
            raise self._error(f"{_found(self._rest())} {missing}", advice=advice)
        last = len(lower) - 1 - lower[::-1].index(verb)
        if last == 0:
            return ""
        if self.first == "road":
            word = self.words[0][0]
            if word.lower() != "from":
                what = f'{_found(word)} where "from" or "closed" should stand'
                raise self._error(what, advice=_near(word, ["from", "closed"]))
            self._take()
            last -= 1
        said = self.text[self.words[0].start() : self.words[last - 1].end()] if last else ""
        if len(said) > 1 and said[0] == said[-1] and said[0] in "\"'":
            name = said[1:-1]  # as it stands, with its own spaces
        else:
            name = " ".join(said.split())
        if not name.strip():
            raise self._error(f"{_found(name)} where the plant's name should stand")
        del self.words[:last]
        return name

    def people(self) -> int:
        """How many people are missing."""
        word = self._take()
        number = int(word) if re.fullmatch(r"[0-9]{1,9}", word) else 0
        if not 1 <= number <= _MOST_PEOPLE:
            what = f"{_found(word)} where the number of people missing should stand"
            raise self._error(what, f"1 to {_MOST_PEOPLE}, as in {_forms(self.first)}")
        return number

    def length(self) -> float:
        """How long it lasts (s): all that is left of the line."""
        return self._length(self._rest())

    def rain(self) -> tuple[float, float]:
        """Length (s) and rate (m/s)."""
        length, *after = re.split(" at ", self._rest(), maxsplit=1, flags=re.IGNORECASE)
        seconds = self._length(length)
        if not after:
            return seconds, DEFAULT_RAIN * _MM_PER_H
        said = after[0]
        match = _RATE.fullmatch(said.lower())
        rate = round(float(match[1]), 6) if match else 0.0
        if not 0 < rate <= _MOST_RAIN:
            what = f"{_found(said)} where the rate of the rain should stand"
            raise self._error(what, f"more than 0, up to {_MOST_RAIN:g} mm/h, such as 5 mm/h")
        return seconds, rate * _MM_PER_H

    def end(self) -> None:
        """Nothing more may stand in the line."""
        if self.words:
            what = f"{_found(self._rest())} after what goes wrong"
            raise self._error(what, advice="a rejected load has no length")

    def _length(self, said: str) -> float:
        said = said.lower()
        words = said.removeprefix("for ")
        if self.first == "crew" and words.removeprefix("the ") == "rest of the day":
            return math.inf
        match = _LENGTH.match(words)
        assert match is not None  # both parts may be missing
        after = words[match.end() :].strip()
        if not match[0] or after:
            what = f"{_found(after)} after {_quoted(match[0])}" if match[0] else _found(said)
            where = "" if match[0] else " where the length should stand"
            raise self._error(what + where, _LENGTH_ALLOWED)
        parts = [float(match[1] or 0), float(match[2] or 0)]
        seconds = round(parts[0] * 3600 + parts[1] * 60, 6)
        if min(parts) < 0 or seconds > _DAY:
            raise self._error(f"the length {_quoted(match[0])}", _LENGTH_ALLOWED)
        return seconds

    def _take(self) -> str:
        return self.words.pop(0)[0] if self.words else ""

    def _rest(self) -> str:
        return " ".join(word[0] for word in self.words)

    def _error(self, found: str, allowed: str = "", advice: str = "") -> UpsetError:
        return UpsetError(self.text, found, allowed or _forms(self.first), advice)


def _forms(subject: str) -> str:
    return ", or ".join(FORMS[subject])


def _found(word: str) -> str:
    return _quoted(word) if word else "nothing"


def _near(word: str, known: Iterable[str]) -> str:
    """``did you mean "..."?``, or nothing where none is close; case does not matter."""
    names = {_plain(name): name for name in known}
    close = get_close_matches(_plain(word), names, n=1)
    return f"did you mean {_quoted(names[close[0]])}?" if close else ""


def _plain(name: str) -> str:
    return " ".join(name.lower().split())


def _quoted(text: str) -> str:
    """Any text in quotes, cut to one short line (``faults.show`` stands above this module)."""
    cut = text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."
    return '"' + "".join(c if c.isprintable() else "?" for c in cut) + '"'


def _clock_text(seconds: float) -> str:
    minutes = math.floor(seconds / 60 + 0.5)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def _length_text(upset: Upset) -> str:
    seconds = upset.length
    if upset.drawn and seconds > 0:
        seconds = max(60.0, math.floor(seconds / 60 + 0.5) * 60.0)
    if seconds % 60:
        return f"{_decimal(seconds / 60)} min"
    hours, minutes = divmod(int(seconds) // 60, 60)
    parts = [f"{hours} h"] * (hours > 0) + [f"{minutes} min"] * (minutes > 0 or hours == 0)
    return " ".join(parts)


def _decimal(value: float) -> str:
    """A number with no more decimals than it has, at most 9, and no exponent."""
    return f"{value:.9f}".rstrip("0").rstrip(".")


def _name_text(name: str) -> str:
    """A plant's name, in quotes where it would not read back without."""
    words = name.split()
    plain = name == " ".join(words) and name[0] not in "\"'"
    return name if plain and not {"stopped", "closed"} & {*map(str.lower, words)} else f'"{name}"'
