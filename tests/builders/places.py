"""Where tests find the project and its shipped scenarios."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"
