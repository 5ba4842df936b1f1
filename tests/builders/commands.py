"""Commands run in this process, for what they print and write; JSON as they write it."""

from __future__ import annotations

import json
from pathlib import Path

from typer.testing import CliRunner, Result

from pourday.cli import app


def called(*arguments: object) -> Result:
    """What a command printed, and its exit code."""
    return CliRunner().invoke(app, [str(each) for each in arguments])


def json_written(path: Path, *arguments: object) -> str:
    """The text of the JSON that a command writes to ``path``."""
    done = called(*arguments, "--json", path)
    assert done.exit_code == 0, done.stderr
    return path.read_text(encoding="utf-8")


def as_written(record: object) -> str:
    """The whole text of the file that holds a record."""
    return json.dumps(record, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
