"""Answers taken from a scenario that there is: what it says on each question, as it would be typed.

Resistances are never among them: they belong to the deck of that floor.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Any

from pourday.scenario.base.distribution import parse
from pourday.scenario.base.faults import Fault, nearest
from pourday.scenario.begin.answers import NONE
from pourday.scenario.weather_rows import with_rows


def shipped() -> dict[str, Path]:
    """Short name -> path of the scenarios that come with the program: "clinic", "depot", ..."""
    root = Path(str(files("pourday")))
    for folder in (root / "scenarios", root.parent / "scenarios"):
        if folder.is_dir():
            return {path.stem.split("_")[0]: path for path in sorted(folder.glob("*.toml"))}
    return {}


def found(name: str) -> Path:
    """The file that is meant: a path, or the short name of a shipped scenario.

    Raises:
        KeyError: where there is neither; the text names what there is.
    """
    known = shipped()
    if name in known:
        return known[name]
    path = Path(name)
    if path.is_file():
        return path
    raise KeyError(
        f"{name!r} is no file, and no shipped scenario; {nearest(name, known, 'they are')}"
    )


def like(path: Path) -> tuple[dict[str, str], tuple[Mapping[str, Any], ...]]:
    """What a readable scenario says on each question, and the rows of its weather.

    Questions on which it says nothing that could be typed are left out.
    """
    raw = tomllib.loads(path.read_text("utf-8-sig"))
    floor, slab, site = raw["floor"], raw["slab"], raw.get("site", {})
    supports = floor.get("supports_m")
    spans = floor.get("spans_m") or [high - low for low, high in pairwise(sorted(supports))]
    first = sorted(supports)[0] if supports else 0.0
    texts = {
        "spans": " ".join(f"{round(each, 3):g}" for each in spans),
        "sheets": " ".join(map(str, floor["sheet_runs"])),
        "width": f"{floor['length_y_m']:g}",
        "holes": _holes(floor, first),
        "slab": f"{slab['depth_mm']:g} {raw['deck'].get('void_volume_m3_per_m2', 0):g}",
        "props": str(_props(raw.get("props", {}), [first, *_sums(first, spans)])),
        "stiffness": f"{raw['deck']['bending_stiffness_kNm2_per_m']:g}",
        "height": f"{site.get('floor_height_m', 0):g}",
        "trucks": _trucks(raw["supply"]),
        "start": raw["plan"][0]["start"],
        "curfew": site.get("curfew", NONE),
        **_presets(raw),
        **_prices(raw.get("prices", {})),
    }
    faults: list[Fault] = []
    rows = with_rows(dict(raw["weather"]), path.parent, faults).get("hours", ())
    return texts, tuple(rows)


def _sums(first: float, spans: list[float]) -> list[float]:
    out = []
    for span in spans:
        first += span
        out.append(first)
    return out


def _holes(floor: Mapping[str, Any], first: float) -> str:
    return (
        "; ".join(
            f"{round(x0 - first, 3):g}-{round(x1 - first, 3):g} by {y0:g}-{y1:g}"
            for (x0, x1), (y0, y1) in (
                (hole["x_m"], hole["y_m"]) for hole in floor.get("openings", ())
            )
        )
        or NONE
    )


def _props(props: Mapping[str, Any], supports: list[float]) -> int:
    """The most lines of props in any span."""
    lines: list[float] = props.get("lines_x_m", [])
    return max(sum(1 for x in lines if low < x < high) for low, high in pairwise(supports))


def _trucks(supply: Mapping[str, Any]) -> str:
    plants = supply["plants"]
    travel = parse(plants[0]["travel_min"]).mean
    return f"{sum(plant['trucks'] for plant in plants)} {supply['load_m3']:g} {travel:.4g}"


def _presets(raw: Mapping[str, Any]) -> dict[str, str]:
    plan = raw["plan"][0]
    named = {
        "mix": raw["mix"].get("preset"),
        "pump": raw["pumps"][plan["pump"]].get("preset"),
        "crew": raw["crews"][plan["crew"]].get("preset"),
        "weather": raw["weather"].get("sample"),
    }
    return {key: name for key, name in named.items() if name}


def _prices(prices: Mapping[str, Any]) -> dict[str, str]:
    keys = ("concrete_per_m3", "labour_per_person_h", "waiting_per_min")
    texts = {"currency": prices["currency"]} if "currency" in prices else {}
    if any(key in prices for key in keys):
        texts["prices"] = " ".join(f"{prices.get(key, 0):g}" for key in keys)
    return texts
