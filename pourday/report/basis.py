"""What a share of resistance is a share of, in words: no share is printed without it."""

from __future__ import annotations

import math

from pourday.floor.lines.judging import factors_of
from pourday.report.words import percent
from pourday.scenario.model.scenario import Scenario

NOT_JUDGED = "not judged"
_MISSING = {
    "sag_moment_resistance": "sag_moment_resistance_kNm_per_m",
    "hog_moment_resistance": "hog_moment_resistance_kNm_per_m",
    "reaction_resistance": "reaction_resistance_kN_per_m",
}


def basis_of_shares(scenario: Scenario) -> str:
    """Kind of resistance and of loads: "design resistance, EN factored"."""
    deck, basis = scenario.deck, scenario.loads.basis
    loads = {"own": "own factors", "ASD": "ASD, loads unfactored"}.get(basis, f"{basis} factored")
    match deck.resistance_is:
        case "characteristic":
            kind = f"design resistance (characteristic / {deck.gamma_M:g})"
        case "nominal" if deck.phi is not None:
            kind = f"design resistance ({deck.phi:g} x nominal)"
        case "nominal":
            kind = f"allowable resistance (nominal / {deck.omega:g})"
        case "allowable":
            kind = "allowable resistance"
        case _:
            kind = "design resistance"
    return f"{kind}, {loads}"


def share_words(share: float, scenario: Scenario) -> str:
    """A share with its basis: "91 % of design resistance, EN factored"; or "not judged"."""
    if math.isnan(share):
        return NOT_JUDGED
    return f"{percent(share)} of {basis_of_shares(scenario)}"


def share_cell(share: float, scenario: Scenario) -> str:
    """The same for a cell of a table: "91 % design, EN"."""
    if math.isnan(share):
        return NOT_JUDGED
    return f"{percent(share)} {_kind(scenario)}, {scenario.loads.basis}"


def share_head(scenario: Scenario) -> str:
    """Head of a column of shares: what kind of resistance they are of."""
    if why_not_judged(scenario):
        return "of resistance>"
    return f"of {_kind(scenario)}>"


def short_share(share: float, scenario: Scenario) -> str:
    """A share below such a head, with its loads: "91 % EN"."""
    return NOT_JUDGED if math.isnan(share) else f"{percent(share)} {scenario.loads.basis}"


def _kind(scenario: Scenario) -> str:
    return "allowable" if basis_of_shares(scenario).startswith("allowable") else "design"


def why_not_judged(scenario: Scenario) -> str:
    """Which key would let shares be judged; empty where they are."""
    deck = scenario.deck
    missing = [key for name, key in _MISSING.items() if getattr(deck, name) is None]
    if missing:
        keys = ", deck.".join(missing)
    elif deck.resistance_is is None:
        keys = "resistance_is"
    else:
        return ""
    return f"Shares of resistance are not judged: the file gives no deck.{keys}."


def factor_words(scenario: Scenario) -> str:
    """The partial factors in one sentence."""
    f = factors_of(scenario.loads)
    return (
        f"{f.name}: deck and mesh {f.permanent[0]:g} or {f.permanent[1]:g}, placed concrete "
        f"{f.concrete[0]:g} or {f.concrete[1]:g}, people and gear {f.working:g} or 0, heap "
        f"{f.heap:g} or 0, whichever is worse, cell by cell"
    )
