"""Plays through the day a composite steel-deck floor is poured.

Data flows one way: scenario -> floor -> day -> outcome -> study -> report.
``deck`` and ``concrete`` are pure functions over numpy arrays, below all of them.
Python programs call the names in ``__all__`` (docs/python.md); commands live in ``cli``.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pourday.api.choose import Chosen, choose
    from pourday.api.columns import DeckUse, EdgePairs, Strips, Trucks
    from pourday.api.compare import Comparison, DaysOfPlan, compare
    from pourday.api.day import Day, play
    from pourday.api.deck import DeckPeaks, deck_peaks
    from pourday.api.price import Price, price
    from pourday.api.read import ScenarioWarning, read
    from pourday.api.sheet import SiteSheet, sheet
    from pourday.api.split import FloorSplit, split
    from pourday.scenario.base.faults import Fault, ScenarioError
    from pourday.scenario.model.scenario import Scenario

__version__ = "0.1.0"
__all__ = [
    "Chosen",
    "Comparison",
    "Day",
    "DaysOfPlan",
    "DeckPeaks",
    "DeckUse",
    "EdgePairs",
    "Fault",
    "FloorSplit",
    "Price",
    "Scenario",
    "ScenarioError",
    "ScenarioWarning",
    "SiteSheet",
    "Strips",
    "Trucks",
    "__version__",
    "choose",
    "compare",
    "deck_peaks",
    "play",
    "price",
    "read",
    "sheet",
    "split",
]

_HOMES = {
    "pourday.api.choose": ("Chosen", "choose"),
    "pourday.api.columns": ("DeckUse", "EdgePairs", "Strips", "Trucks"),
    "pourday.api.compare": ("Comparison", "DaysOfPlan", "compare"),
    "pourday.api.day": ("Day", "play"),
    "pourday.api.deck": ("DeckPeaks", "deck_peaks"),
    "pourday.api.price": ("Price", "price"),
    "pourday.api.read": ("ScenarioWarning", "read"),
    "pourday.api.sheet": ("SiteSheet", "sheet"),
    "pourday.api.split": ("FloorSplit", "split"),
    "pourday.scenario.base.faults": ("Fault", "ScenarioError"),
    "pourday.scenario.model.scenario": ("Scenario",),
}
"""Module -> the names it is loaded for, when first asked, so that the command starts at once."""


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})


# Type checkers know the names from above; seeing this, they would let a misspelt one pass.
if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        for home, names in _HOMES.items():
            if name in names:
                from importlib import import_module

                return getattr(import_module(home), name)
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
