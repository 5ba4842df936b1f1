"""``pourday.read``: a scenario file as a frozen value."""

from __future__ import annotations

import warnings
from os import PathLike, fspath

from pourday.scenario.model.scenario import Scenario
from pourday.scenario.read import read_scenario


class ScenarioWarning(UserWarning):
    """Something in a scenario file that runs, but is worth a look: key, value found, what to do."""


def read(path: str | PathLike[str]) -> Scenario:
    """The scenario in the file at ``path``, SI inside.

    What ``pourday check`` prints as a warning is warned of with :mod:`warnings`, one
    :class:`ScenarioWarning` each: the scenario can be used, so the call returns it, and a program
    can show, collect or refuse them as it does with any other warning.

    Raises:
        ScenarioError: with every fault of the file at once, in ``faults``; its text is one line
            for each. Orders and reaches that do not work show later, when a floor is laid out.
    """
    scenario, found = read_scenario(fspath(path))
    for warning in found:
        warnings.warn(warning.text, ScenarioWarning, stacklevel=2)
    return scenario
