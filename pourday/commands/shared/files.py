"""Output files: refused before anything is worked out, written when all is known."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import typer

from pourday.commands.shared.screen import complain


def check_outputs(
    files: tuple[Path | None, ...] = (), folders: tuple[Path | None, ...] = ()
) -> None:
    """Refuse paths that cannot be written before anything is worked out."""
    for path, wants_folder in [(f, False) for f in files] + [(f, True) for f in folders]:
        if path is None:
            continue
        if path.exists() and path.is_dir() != wants_folder:
            found = "a folder stands there" if path.is_dir() else "a file of that name stands there"
            complain(f"{path}: cannot be written ({found})")
            raise typer.Exit(2)
        home = path if path.is_dir() else path.parent
        # Folders are made where they are missing, so the nearest one above them counts.
        while wants_folder and not home.exists() and home != home.parent:
            home = home.parent
        if not home.is_dir() or not os.access(home, os.W_OK):
            complain(f"{path}: cannot be written (there is no such folder, or it is closed)")
            raise typer.Exit(2)


def named(path: Path | None, ending: str, what: str) -> None:
    """Refuse a file whose name does not say what it will be."""
    if path is not None and path.suffix.lower() != ending:
        complain(f"{path}: {what}; give it a name that ends in {ending}")
        raise typer.Exit(2)


def write(path: Path, write: Any) -> None:
    """Write output; a path that cannot be written is a fault of the call, not a crash."""
    try:
        write()
    except OSError as error:
        complain(f"{path}: cannot be written ({error.strerror})")
        raise typer.Exit(2) from None


def write_json(path: Path, record: dict[str, Any]) -> None:
    """Write a record as JSON, UTF-8; numbers that JSON cannot hold are a bug, not output."""
    text = json.dumps(record, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    write(path, lambda: path.write_text(text, encoding="utf-8"))
