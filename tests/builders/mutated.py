"""Scenario files broken at random: a value, a line, a byte of a shipped file changed, by seed."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

# Values that a slip of the keyboard, or of the unit, or ill will may put in.
VALUES = (
    "0", "-1", "1e-9", "0.001", "0.1", "1", "3", "17", "60", "999", "1e6", "1e300", "nan", "inf",
    "-inf",
    '""', '"x"', '"[/red]"', '"$\\\\frac{$"', '"\\u001b[2J\\n\\u202e"', '"é\u00e9\U0001f69a"',
    "true", "false", "[]", "[[]]", "{}", "[1, 2]", "[0, 0, 0]", '["a", "a"]', "1979-05-27",
    "07:32:00", '"25:00"', '"47:59"', '"24:61"', "99999999999999999999", "0x10",
    '{ dist = "exponential", mean = 0.001 }', '{ dist = "lognormal", mean = 5, sd = 50 }',
    '{ dist = "uniform", low = 0, high = 1 }', '{ dist = "gamma", mean = 1e-3, sd = 1e-2 }',
    '{ dist = "list", values = [0, 600] }', '{ dist = "normal", mean = 5, sd = 1e9 }',
)  # fmt: skip
# Keys that the shipped files do not all have, each with values from one end of its range to the
# other: legal, whatever it costs.
EXTREMES = {
    "supply": ("load_m3 = {0.5|15}", "load_step_m3 = {0.01|1}", "margin_m3 = {0|10}"),
    "site": (
        "round_the_block_min = {0|0.5|600}", "positions = {1|10}", "holding_places = {0|1000000}",
        "gate_min = {0|600}", "test_min = {0|600}", "change_min = {0|600}", "wash_min = {0|600}",
        "breaks = [{ every_h = 0.5, length_min = {0.1|240} }]", "stop_rain_mm_h = 0",
    ),
    "upsets": (
        "plant_stop_every_h = {0.1|1}", "truck_broken_every_h = {0.1|1}",
        "road_closed_every_h = {0.1|1}", "pump_down_every_h = {0.1|1}", "absent_share = {0.5|1}",
        "plant_stop_min = {0|600}", "truck_broken_min = {0|600}", "pump_down_min = {0|600}",
    ),
    "mix": ("relaxation_h = {0.1|100}", "retarder_min = {0|1440}", "reject_share = {0.5|1}",
            "slump_loss_mm_h = {100|200}"),
    "finishing": ("power_float_m2_h = {5|5000}", "bull_float_m2_h = {5|5000}", "passes = {0|6}",
                  "edge_m_h = {1|1000}"),
    "floor": ("length_y_m = {0.6|300}",),
    "beams": ("line_spacing_m = {0.5|10}",),
}  # fmt: skip
_PAIR = re.compile(r"(?m)^(\s*[A-Za-z_0-9]+\s*=\s*)([^#\n]*)")
_NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.])")


def mutated(text: str, seed: int) -> bytes:
    """The file broken once to three times; the same seed breaks it in the same way."""
    chance = random.Random(seed)
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        text = chance.choice(_WAYS)(text or "\n", chance)
    raw = text.encode("utf-8", "surrogatepass")
    if raw and chance.random() < 0.04:
        at = chance.randrange(len(raw))
        raw = raw[:at] + bytes([chance.randrange(256)]) + raw[at + 1 :]
    return raw


def _value(text: str, chance: random.Random) -> str:
    return _at_one(_PAIR, text, chance, lambda match: match[1] + chance.choice(VALUES) + "\n")


def _scaled(text: str, chance: random.Random) -> str:
    factor = chance.choice((0.001, 0.01, 0.1, 0.5, 2, 10, 100, 1000, -1))
    return _at_one(_NUMBER, text, chance, lambda match: f"{float(match[0]) * factor:.10g}")


def _extreme(text: str, chance: random.Random) -> str:
    table = chance.choice(sorted(EXTREMES))
    form = chance.choice(EXTREMES[table])
    line = re.sub(r"\{([^{}|]*(?:\|[^{}|]*)+)\}", lambda m: chance.choice(m[1].split("|")), form)
    key = line.split(" = ")[0]
    head = re.search(rf"(?m)^\[{table}\]\s*$", text)
    if head is None:
        # A new table goes before the first list of tables: after that it would belong to it.
        return f"{text}\n[{table}]\n{line}\n"
    end = re.compile(r"(?m)^\[").search(text, head.end())
    body = text[head.end() : end.start() if end else len(text)]
    body = re.sub(rf"(?m)^{key} = .*\n", "", body)
    return text[: head.end()] + f"\n{line}" + body + (text[end.start() :] if end else "")


def _lines(text: str, chance: random.Random) -> str:
    lines = text.splitlines(keepends=True)
    at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    match chance.randrange(4):
        case 0:
            del lines[at]
        case 1:
            lines.insert(other, lines[at])
        case 2:
            lines[at], lines[other] = lines[other], lines[at]
        case _:
            del lines[at:]
    return "".join(lines)


def _letter(text: str, chance: random.Random) -> str:
    at = chance.randrange(len(text))
    return text[:at] + chance.choice('"[]{}=,.#\\\n0-9a\0é') + text[at + chance.randrange(2) :]


def _at_one(
    form: re.Pattern[str], text: str, chance: random.Random, new: Callable[[re.Match[str]], str]
) -> str:
    found = list(form.finditer(text))
    if not found:  # nothing is left of the file
        return text
    match = chance.choice(found)
    return text[: match.start()] + new(match) + text[match.end() :]


_WAYS = (_value, _value, _value, _scaled, _scaled, _scaled, _extreme, _extreme, _lines, _letter)
