"""The small complete scenario text as fixtures."""

from __future__ import annotations

import pytest
from builders.scenario_text import VALID, changed


@pytest.fixture
def valid() -> str:
    return VALID


@pytest.fixture
def change():
    return changed
