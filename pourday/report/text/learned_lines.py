"""Lines to paste into a scenario file: each key with its new value, the old one beside it."""

from __future__ import annotations

from pourday.study.learn.found import Learned, Row, Written


def pasted(found: Learned) -> list[str]:
    """The lines, table by table; tables and old values are comments."""
    rows = found.learned
    said = f"{found.pours} pours, {found.loads} loads, plan '{found.basis.plan.name}'"
    out = [f"# pourday learn: {said}"]
    for name in dict.fromkeys(row.table for row in rows):
        out += ["", f"# {name}"]
        for row in rows:
            if row.table == name:
                out += [f"{row.key} = {in_toml(row.new)}", f"# {_was(row)}"]
    return out


def _was(row: Row) -> str:
    old = in_toml(row.old)
    return f"was {old}; {row.count} of {row.pours} pours" if len(old) < 60 else f"was {old}"


def in_toml(value: Written) -> str:
    """A quantity as TOML: a number, or a table on one line."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {in_toml(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(in_toml(each) for each in value) + "]"
    if isinstance(value, str):
        return f'"{value}"'
    text = f"{value:.10g}"
    return text.replace("e+", "e")
