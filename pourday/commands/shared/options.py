"""Arguments and options that several commands take."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer


def _plan_names(context: typer.Context, incomplete: str) -> list[str]:
    """Names of the plans in the file on the line, for a shell; none if it cannot be read."""
    import tomllib

    try:
        # While the line ends with an option, typer keeps what stands before it in ``args``.
        file = context.params.get("file") or context.args[0]
        raw = tomllib.loads(Path(file).read_text("utf-8-sig"))
        names = [str(plan["name"]) for plan in raw["plan"]]
    except (OSError, ValueError, LookupError, TypeError):
        return []
    return [name for name in names if name.startswith(incomplete)]


File = Annotated[Path, typer.Argument(help="Scenario file (TOML).", show_default=False)]
PlanName = Annotated[
    str | None,
    typer.Option("--plan", help="Plan by name; the first unless told.", autocompletion=_plan_names),
]
JsonPath = Annotated[Path | None, typer.Option("--json", help="Write the numbers to this file.")]
HtmlPath = Annotated[
    Path | None, typer.Option("--html", help="Write one page for a browser to this .html file.")
]
Upsets = Annotated[
    list[str] | None,
    typer.Option("--upset", help='What goes wrong, such as "10:30 pump down 45 min".'),
]
Figures = Annotated[
    Path | None, typer.Option("--figures", help="Write PNG figures to this folder.")
]
Swings = Annotated[
    list[str] | None,
    typer.Option(
        "--swing",
        help="With --sensitivity: a number of the file, low and high, such as "
        "supply.plants[1].travel_min.mean=14:24.",
    ),
]
SensitivityOf = Annotated[
    list[str] | None,
    typer.Option("--sensitivity-of", help="Of this plan, or of all, instead of the one preferred."),
]
UnitsName = Annotated[
    Literal["si", "us"] | None,
    typer.Option(
        "--units", help="Units people read: si unless told, or us. JSON, CSV stay metric."
    ),
]
Workers = Annotated[int | None, typer.Option(min=1, help="Processes; all cores unless told.")]
Cluster = Annotated[
    str | None,
    typer.Option(help="Play on a Dask cluster: address of its scheduler (docs/cluster.md)."),
]
Resume = Annotated[
    Path | None,
    typer.Option(help="Keep the study in this .npz file, and go on from it where it is there."),
]
