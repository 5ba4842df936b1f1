"""Time series of a day as CSV files, one for each line of deck and each beam that moves."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path

from pourday.outcome.base.basis import Basis
from pourday.outcome.concrete.ageing import StripAge
from pourday.outcome.deck.series import BeamSeries, LineSeries
from pourday.scenario.base.written import replaced

LINE_COLUMNS = (
    "time_h", "strip", "stage", "sag_moment_kNm_per_m", "hog_moment_kNm_per_m",
    "reaction_kN_per_m", "uplift_kN_per_m", "deflection_mm", "supports_down_mm", "use",
)  # fmt: skip


def save_series(
    basis: Basis,
    lines: tuple[LineSeries, ...],
    beams: tuple[BeamSeries, ...],
    ages: tuple[StripAge, ...],
    folder: Path,
) -> list[Path]:
    """Write deck_BAY_yYY.csv for every line, beam_xXX.csv for every beam, and concrete.csv.

    Times are clock hours; a time that never came is empty. Columns of a deck file are
    :data:`LINE_COLUMNS`; of a beam file the time, then the way down (mm) at each place along y;
    concrete.csv has temperature and equivalent age of every strip until final set.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for line in lines:
        path = folder / f"deck_{line.bay}_y{line.y:.2f}.csv"
        rows = [
            [
                _hour(line.time[k]),
                basis.layout.strips[line.strip[k]].name,
                line.stage[k],
                f"{line.sag_moment[k] / 1e3:.4f}",
                f"{-line.hog_moment[k] / 1e3:.4f}",
                f"{line.reaction[k] / 1e3:.4f}",
                f"{max(0.0, -line.uplift[k]) / 1e3:.4f}",
                f"{line.deflection[k] * 1e3:.3f}",
                f"{line.down[k] * 1e3:.3f}",
                f"{line.use[k]:.4f}" if math.isfinite(line.use[k]) else "",
            ]
            for k in range(len(line.strip))
        ]
        written.append(_write(path, list(LINE_COLUMNS), rows))
    for beam in beams:
        path = folder / f"beam_x{beam.x:.2f}.csv"
        head = ["time_h", *(f"down_mm_at_y_{y:.2f}_m" for y in beam.y)]
        body = [
            [_hour(time), *(f"{d * 1e3:.3f}" for d in down)]
            for time, down in zip(beam.time, beam.down, strict=True)
        ]
        written.append(_write(path, head, body))
    if ages:
        rows = [
            [
                basis.layout.strips[each.strip].name,
                _hour(time),
                f"{warm:.2f}",
                f"{age / 3600:.4f}",
            ]
            for each in ages
            for time, warm, age in zip(each.time, each.temperature, each.age, strict=True)
        ]
        head = ["strip", "time_h", "temperature_C", "equivalent_age_h"]
        written.append(_write(folder / "concrete.csv", head, rows))
    return written


def _write(path: Path, head: list[str], rows: list[list[str]]) -> Path:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(head)
    writer.writerows(rows)
    with replaced(path) as file:
        file.write(text.getvalue().encode("utf-8"))
    return path


def _hour(seconds: float) -> str:
    return f"{seconds / 3600:.4f}" if math.isfinite(seconds) else ""
