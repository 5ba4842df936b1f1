"""What cannot be true together about the deck's resistance and the loads it is held against."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from pourday.scenario.base.faults import Fault
from pourday.scenario.tables.deck import DeckTable, LoadsTable

RESISTANCES = (
    "sag_moment_resistance_kNm_per_m",
    "hog_moment_resistance_kNm_per_m",
    "reaction_resistance_kN_per_m",
)
# What may stand beside which loads: (basis, kind of resistance) -> the key that brings it there.
PAIRS = {
    ("EN", "design"): (),
    ("EN", "characteristic"): ("gamma_M",),
    ("LRFD", "design"): (),
    ("LRFD", "nominal"): ("phi",),
    ("ASD", "allowable"): (),
    ("ASD", "nominal"): ("omega",),
    ("own", "design"): (),
    ("own", "characteristic"): ("gamma_M",),
    ("own", "nominal"): ("phi", "omega"),
    ("own", "allowable"): (),
}
_PARTNERS = ("gamma_M", "phi", "omega")
_OWN_FACTORS = ("permanent_factor", "concrete_factor", "working_factor")
_OWN_FAVOURABLE = ("permanent_favourable_factor", "concrete_favourable_factor")


def _resistance_is_known(deck: DeckTable) -> Iterator[Fault]:
    """A share needs every resistance, and needs to know what it is; without, none is judged."""
    missing = [key for key in RESISTANCES if getattr(deck, key) is None]
    if missing:
        found = "not given" if len(missing) == len(RESISTANCES) else "some not given"
        paths = ", ".join(f"deck.{key}" for key in missing)
        advice = (
            "no share of resistance is judged without them; take them from the supplier's table"
        )
        yield Fault(paths, found, advice=advice, severity="warning")
    elif deck.resistance_is is None:
        advice = (
            'no share of resistance is judged until it says "design", "characteristic", "nominal" '
            'or "allowable"; the supplier\'s table or the engineer knows'
        )
        yield Fault("deck.resistance_is", "not given", advice=advice, severity="warning")


def _resistance_fits_the_loads(deck: DeckTable, loads: LoadsTable) -> Iterator[Fault]:
    """A design value stands beside factored loads, an allowable one beside loads as they are."""
    kind, basis = deck.resistance_is, loads.basis
    if kind is None:
        return
    if (basis, kind) not in PAIRS:
        fits = [f'"{k}"' for b, k in PAIRS if b == basis]
        rule = f'{" or ".join(fits)} beside loads.basis "{basis}"'
        advice = "a share of it would mix loads with factors and a resistance without, or the other"
        yield Fault("deck.resistance_is", f'"{kind}"', rule, advice=f"{advice} way round")
        return
    wanted = PAIRS[basis, kind]
    given = [key for key in _PARTNERS if getattr(deck, key) is not None]
    if wanted and len([key for key in given if key in wanted]) != 1:
        paths = ", ".join(f"deck.{key}" for key in wanted)
        rule = (
            f'{"one number" if len(wanted) > 1 else "a number"}, because resistance_is is "{kind}"'
        )
        yield Fault(paths, "both given" if len(given) > 1 else "missing", rule)
    for key in given:
        if key not in wanted:
            rule = f'nothing here while resistance_is is "{kind}" and loads.basis is "{basis}"'
            yield Fault(f"deck.{key}", f"{getattr(deck, key):g}", rule, advice="leave it out")


def _own_factors(loads: LoadsTable) -> Iterator[Fault]:
    for key in (*_OWN_FACTORS, *_OWN_FAVOURABLE):
        value = getattr(loads, key)
        if loads.basis == "own" and value is None and key in _OWN_FACTORS:
            yield Fault(f"loads.{key}", "missing", 'a number, because loads.basis is "own"')
        elif loads.basis != "own" and value is not None:
            rule = f'nothing here while loads.basis is "{loads.basis}"'
            yield Fault(f"loads.{key}", f"{value:g}", rule, advice='leave it out, or basis = "own"')


def _preset_of_the_other_side(loads: LoadsTable) -> Iterator[Fault]:
    """20 psf, 150 lb/ft and 50 psf belong to LRFD and ASD, 0.75 kN/m² and heaping to EN."""
    at_home = {"us_practice": ("LRFD", "ASD"), "en_1991_1_6": ("EN",)}.get(loads.preset)
    if at_home and loads.basis not in (*at_home, "own"):
        usual = " or ".join(f'"{basis}"' for basis in at_home)
        advice = f"factors of one code on working loads of another; basis = {usual} goes with it"
        found = f'"{loads.preset}" with basis "{loads.basis}"'
        yield Fault("loads.preset", found, advice=advice, severity="warning")


Check = Callable[..., Iterator[Fault]]
DECK_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("deck",), _resistance_is_known),
    (("deck", "loads"), _resistance_fits_the_loads),
    (("loads",), _own_factors),
    (("loads",), _preset_of_the_other_side),
)
