"""Output files: refused before anything is worked out, written whole before anything is printed."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Callable
from fnmatch import fnmatch
from itertools import combinations
from pathlib import Path
from typing import Any

import typer

from pourday.commands.shared.screen import complain
from pourday.scenario.base.signals import answered
from pourday.scenario.base.signals import leave as leave_program

LONGEST_PATH = 1000
"""Letters of a path beyond which no file is looked for."""
# What is written into folders of figures and of time series.
_IN_FOLDERS = ("*.png", "deck_*_y*.csv", "beam_x*.csv", "concrete.csv")


def check_outputs(
    files: tuple[Path | None, ...] = (),
    folders: tuple[Path | None, ...] = (),
    source: Path | None = None,
) -> None:
    """Refuse paths that cannot be written before anything is worked out.

    Refused too: two that name one file, and one that names the scenario ``source`` or the weather
    that it reads.
    """
    named = [path for path in files if path is not None]
    wanted = [path for path in folders if path is not None]
    for path, wants_folder in [(f, False) for f in named] + [(f, True) for f in wanted]:
        fault = _unwritable(path, wants_folder)
        if fault:
            complain(f"{path}: cannot be written ({fault})")
            raise typer.Exit(2)
    _check_clashes(named, wanted, source)


def named(path: Path | None, ending: str, what: str) -> None:
    """Refuse a file whose name does not say what it will be."""
    if path is not None and path.suffix.lower() != ending:
        complain(f"{path}: {what}; give it a name that ends in {ending}")
        raise typer.Exit(2)


def save(*outputs: tuple[Path | None, Callable[[Path], object]]) -> bool:
    """Write every output that is wanted; whether all could be written, told where not.

    Whoever calls this prints its report next, so that no closed pipe costs a file and no full disk
    costs the report, and ends with :func:`leave`.
    """
    whole = True
    for path, write_to in outputs:
        if path is not None:
            try:
                # No half file is left where the program is asked to end.
                with answered(leave_program, signal.SIGTERM):
                    write_to(path)
            except OSError as error:
                complain(f"{path}: cannot be written ({error.strerror})")
                whole = False
    return whole


def leave(whole: bool) -> None:
    """End with exit code 2 where something could not be written."""
    if not whole:
        raise typer.Exit(2)


def write(path: Path, write: Callable[[], object]) -> None:
    """Write one output; a path that cannot be written is a fault of the call, not a crash."""
    leave(save((path, lambda _: write())))


def write_json(path: Path, record: dict[str, Any]) -> None:
    """Write a record as JSON; leave with exit code 2 where it cannot be written."""
    leave(save((path, json_of(lambda: record))))


def json_of(record: Callable[[], dict[str, Any]]) -> Callable[[Path], None]:
    """What writes a record as JSON, UTF-8; numbers that JSON cannot hold are a bug, not output."""
    from pourday.scenario.base.written import replaced

    def _write(path: Path) -> None:
        text = json.dumps(record(), indent=1, ensure_ascii=False, allow_nan=False) + "\n"
        with replaced(path) as file:
            file.write(text.encode("utf-8"))

    return _write


def text_of(text: Callable[[], str]) -> Callable[[Path], None]:
    """What writes a text as UTF-8, whole or not at all as :func:`json_of` does."""
    from pourday.scenario.base.written import replaced

    def _write(path: Path) -> None:
        whole = text()
        with replaced(path) as file:
            file.write(whole.encode("utf-8"))

    return _write


def _unwritable(path: Path, wants_folder: bool) -> str:
    """Why nothing can be written at a path; empty where it can."""
    if len(str(path)) > LONGEST_PATH:
        return f"a path of more than {LONGEST_PATH} letters"
    try:
        if path.exists() and path.is_dir() != wants_folder:
            folder = path.is_dir()
            return "a folder stands there" if folder else "a file of that name stands there"
        if path.exists() and not os.access(path, os.W_OK):
            return "it is closed"
        home = path if path.is_dir() else path.parent
        # Folders are made where they are missing, so the nearest one above them counts.
        while wants_folder and not home.exists() and home != home.parent:
            home = home.parent
        if not home.is_dir() or not (os.access(home, os.W_OK) or is_through(path)):
            return "there is no such folder, or it is closed"
    except OSError as error:
        return str(error.strerror)
    return ""


def is_through(path: Path) -> bool:
    """Whether a pipe or a device stands there: nothing of it can be lost."""
    return path.exists() and not path.is_file() and not path.is_dir()


def _check_clashes(files: list[Path], folders: list[Path], source: Path | None) -> None:
    """Leave with exit code 2 where an output would be lost, or something that is read."""
    from pourday.scenario.read import files_read

    read = files_read(source) if source is not None and (files or folders) else ()
    for path in files:
        if any(_same(path, each) for each in read):
            complain(f"{path}: cannot be written (it is read here, and would be lost)")
            raise typer.Exit(2)
    for one, other in combinations(files, 2):
        if _same(one, other) and not is_through(one):
            complain(f"{other}: cannot be written (two outputs would go to this file)")
            raise typer.Exit(2)
    for folder in folders:
        for path in (*files, *read):
            real = Path(os.path.realpath(path))
            inside = Path(os.path.realpath(folder)) in real.parents
            if inside and any(fnmatch(real.name, form) for form in _IN_FOLDERS):
                complain(f"{folder}: cannot be written (a file there may be called {real.name})")
                raise typer.Exit(2)


def _same(one: Path, other: Path) -> bool:
    """Whether two paths name one file, by links too, there or not yet there."""
    try:
        if one.exists() and other.exists():
            return one.samefile(other)
    except OSError:
        pass
    return os.path.realpath(one) == os.path.realpath(other)
