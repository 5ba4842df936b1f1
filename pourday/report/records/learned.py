"""What tickets teach as JSON, and as a file of lines to paste."""

from __future__ import annotations

import math
from typing import Any

from pourday.study.learn.found import Learned, Row
from pourday.study.learn.pours import LEVEL, Value


def learned_record(found: Learned) -> dict[str, Any]:
    """The numbers of what was learned, in the units of the keys."""
    return {
        "schema": "pourday.learn/1",
        "title": found.basis.scenario.title,
        "plan": found.basis.plan.name,
        "pours": found.pours,
        "loads": found.loads,
        "level": LEVEL,
        "rows": [_row(row) for row in found.rows],
        "not_told": list(found.untold),
        "left_out": dict(found.left_out),
        "remarks": [
            {"file": name, "line": each.row, "text": each.text}
            for name, remarks in found.remarks
            for each in remarks
        ],
    }


def _row(row: Row) -> dict[str, Any]:
    return {
        "table": row.table,
        "key": row.key,
        "what": row.what,
        "unit": row.unit,
        "old": row.old,
        "new": row.new,
        "mean": _value(row.mean),
        "sd": _value(row.sd),
        "count": row.count,
        "pours": row.pours,
        "why_it_stays": row.why,
        "note": row.note,
        "chance_of_a_worse_fit": row.worse,
    }


def _value(value: Value | None) -> dict[str, float | None] | None:
    if value is None:
        return None
    return {
        name: round(each, 6) if math.isfinite(each) else None
        for name, each in (("about", value.about), ("low", value.low), ("high", value.high))
    }
