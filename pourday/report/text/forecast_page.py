"""The forecast as a page for a telephone: it loads itself anew, and says so when it is old."""

from __future__ import annotations

import io
from datetime import datetime
from html import escape

from pourday.report.screen import Screen
from pourday.report.text.forecast import forecast_report
from pourday.report.units import SI, Units
from pourday.study.forecast.forecast import Forecast

OLD_AFTER_MIN = 10
"""A page that nobody has rewritten for so long says OLD (minutes)."""
_RELOAD_S = 20
_WIDTH = 64

_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<noscript><meta http-equiv="refresh" content="{reload}"></noscript>
<style>
body {{ margin: 0; background: #fff; color: #000; }}
pre {{ font: min(2.4vw, 16px)/1.4 ui-monospace, monospace; margin: 1em; }}
#old {{ display: none; font: bold 12vw/1.2 sans-serif; padding: .2em; background: #000;
  color: #fff; }}
.old #old {{ display: block; }}
.old pre {{ color: #777; text-decoration: line-through; }}
</style>
</head>
<body>
<div id="old">OLD: made {made}, ask the hut</div>
<pre>made {made}, on {date}
{text}</pre>
<script>
var made = {epoch_ms}, limit = {limit_ms};
function look() {{
  document.body.className = Date.now() - made > limit ? "old" : "";
}}
look();
setInterval(look, 5000);
setTimeout(function () {{ location.reload(); }}, {reload}000);
</script>
</body>
</html>
"""


def forecast_page(found: Forecast, made: datetime, units: Units = SI) -> str:
    """The page as HTML, in one file, made at that moment, in the reader's units.

    It asks for itself every 20 s, and turns OLD where it was made over ten minutes ago by the
    clock of whoever reads it.
    """
    text = io.StringIO()
    forecast_report(Screen(text, _WIDTH, coloured=False, units=units), found)
    return _PAGE.format(
        title=escape(f"{found.basis.scenario.title}, forecast"),
        made=made.strftime("%H:%M"),
        date=made.strftime("%Y-%m-%d"),
        text=escape(text.getvalue()),
        epoch_ms=int(made.timestamp() * 1000),
        limit_ms=OLD_AFTER_MIN * 60_000,
        reload=_RELOAD_S,
    )
