"""Whatever is not marked as markup is text, in elements, attributes and embedded JSON."""

from __future__ import annotations

import dataclasses
import json
from html.parser import HTMLParser

import pytest
from builders.shipped import day_of, shipped

from pourday.report.page.day import day_page
from pourday.report.page.html import embedded, tag

HOSTILE = "</script><img src=x onerror=alert(1)>"


class Seen(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags, self.ids, self.handlers = [], [], []

    def handle_starttag(self, name, attributes):
        self.tags.append(name)
        self.ids += [value for key, value in attributes if key == "id"]
        self.handlers += [key for key, _ in attributes if key.startswith("on")]


def seen(page):
    reader = Seen()
    reader.feed(page)
    return reader


def test_text_and_attributes_are_escaped():
    assert tag("p", "<b>", title='"') == '<p title="&quot;">&lt;b&gt;</p>'


@pytest.mark.parametrize("text", [HOSTILE, "<!--", "\u2028", "&amp;"])
def test_embedded_json_says_the_same_and_holds_no_markup(text):
    inside = embedded({"name": text})
    assert "<" not in inside
    assert json.loads(inside) == {"name": text}


def test_a_hostile_title_stays_text_and_every_id_is_there_once():
    scenario = dataclasses.replace(shipped("clinic_level_1"), title=HOSTILE)
    page = day_page(day_of(scenario))
    found = seen(page)
    assert "img" not in found.tags
    assert not found.handlers
    assert len(found.ids) == len(set(found.ids)) > 50
    assert "ONE day of many, not a forecast" in page
    assert "stop, clear the deck, prop, ask the engineer" in page
    assert len(page.encode("utf-8")) < 2_000_000
