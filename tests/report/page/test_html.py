"""Whatever is not marked as markup is text, in elements, attributes and embedded JSON."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser

import pytest
from builders.hostile import CURRENCY, OPENING, PLANS, TITLE, hostile, hostile_comparison

import pourday
from pourday.report.page.html import embedded, tag

HOSTILE = "</script><img src=x onerror=alert(1)>"


class Seen(HTMLParser):
    """What a browser makes of a page: elements, ids, what refers to them, text by element."""

    def __init__(self):
        super().__init__()
        self.tags, self.ids, self.handlers, self.refers, self.opened = [], [], [], [], []
        self.texts: dict[str, list[str]] = {}

    def handle_starttag(self, name, attributes):
        self.tags.append(name)
        self.opened.append(name)
        self.ids += [value for key, value in attributes if key == "id"]
        self.handlers += [key for key, _ in attributes if key.startswith("on")]
        for key, value in attributes:
            if key in ("for", "aria-labelledby") or (key == "href" and value.startswith("#")):
                self.refers.append(value.removeprefix("#"))
            self.refers += re.findall(r"url\(#(.*?)\)", value or "")

    def handle_data(self, text):
        self.texts.setdefault(self.opened[-1] if self.opened else "", []).append(text)


def seen(page):
    reader = Seen()
    reader.feed(page)
    return reader


def test_text_and_attributes_are_escaped():
    assert tag("p", "<b>", title='"') == '<p title="&quot;">&lt;b&gt;</p>'


@pytest.mark.parametrize("text", [HOSTILE, "<!--", "]]>", "\u2028", "&amp;"])
def test_embedded_json_says_the_same_and_holds_no_markup(text):
    inside = embedded({"name": text})
    assert "<" not in inside
    assert json.loads(inside) == {"name": text}


@pytest.mark.parametrize("kind", ["day", "compare"])
def test_hostile_names_stay_text_and_every_id_is_there_once(kind):
    page = (pourday.play(hostile()) if kind == "day" else hostile_comparison()).to_html()
    found = seen(page)
    assert not {"img", "i"} & set(found.tags)
    assert f"<b>{CURRENCY[3:]}" not in page
    assert found.tags.count("script") == (2 if kind == "day" else 3)  # ours, and frames of each day
    assert found.tags.count("style") == 1
    assert not found.handlers
    assert len(found.ids) == len(set(found.ids)) > 50
    assert set(found.refers) <= set(found.ids)
    # Not a letter of an id is anybody's: names may hold blanks, quotes and each other.
    assert all(re.fullmatch(r"[a-z0-9-]+", each) for each in found.ids)
    words = " ".join(text for texts in found.texts.values() for text in texts)
    assert [name for name in (TITLE, OPENING, PLANS[0], CURRENCY) if name not in words] == []
    assert found.texts["h1"] == found.texts["title"][:1] == [TITLE]
    assert len(page.encode("utf-8")) < 2_000_000
    assert "ONE day of many, not a forecast" in page
    assert "stop, clear the deck, prop, ask the engineer" in page
