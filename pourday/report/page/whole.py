"""The whole page: head, style and script in one file that may ask nothing of any network."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from importlib.resources import files

from pourday.report.page.html import Html, Part, joined, part, section, tag
from pourday.report.words import CAUTION

STOP_RULE = "Unexpected sag or concrete use: stop, clear the deck, prop, ask the engineer."


def whole_page(title: str, about: Sequence[str], parts: Sequence[Part]) -> str:
    """The page as text, UTF-8 where it is written.

    Nothing but its own script runs on it (named by its SHA-256, so that no handler that a name
    might smuggle in would), and nothing is fetched: W3C Content Security Policy Level 3, as a
    ``meta`` element.
    """
    style, script = _own("page.css"), _own("page.js")
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    policy = (
        f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("title", title),
        tag("link", rel="icon", href="data:,"),
        tag("style", Html(style)),
    )
    top = tag("header", tag("h1", title), *(tag("p", each) for each in about))
    still = tag(
        "noscript", tag("p", "JavaScript is off: tables do not sort and the slider does not move.")
    )
    every = [*parts, _caution()]
    links = [tag("li", tag("a", each.title, href=f"#{each.name}")) for each in every]
    body = tag(
        "body",
        top,
        tag("nav", tag("ul", *links), aria_label="Parts of this page"),
        tag("main", still, *map(section, every)),
        tag("script", Html(script)),
    )
    return f"<!DOCTYPE html>\n{tag('html', joined([head, body]), lang='en')}\n"


def _own(name: str) -> str:
    return files("pourday.report.page").joinpath(name).read_text("utf-8")


def _caution() -> Part:
    stop = tag("p", tag("strong", STOP_RULE), class_="stop")
    return part("caution", "Caution", stop, tag("p", CAUTION))
