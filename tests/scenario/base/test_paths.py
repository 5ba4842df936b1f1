"""Paths of keys: read as messages write them, put into a copy that shares the rest."""

from __future__ import annotations

import pytest

from pourday.scenario.base.paths import NoPlaceError, place_of, value_at, with_value


@pytest.mark.parametrize(
    ("path", "place"),
    [
        ("plan.spacing_min", ("plan", "spacing_min")),
        ("supply.plants[1].trucks", ("supply", "plants", 0, "trucks")),
        ('pumps."big boom".hire_per_h', ("pumps", "big boom", "hire_per_h")),
        ("plan.stages[12].until_share", ("plan", "stages", 11, "until_share")),
        ("weather", ("weather",)),
    ],
)
def test_a_path_is_read_as_messages_write_it(path, place):
    assert place_of(path) == place


@pytest.mark.parametrize(
    "path", ["", ".a", "a.", "a..b", "a b", "[1].a", "a[0]", "a[x]", "a[1", 'a."b', "a[1]b", "ä"]
)
def test_what_is_no_path_is_refused(path):
    with pytest.raises(NoPlaceError):
        place_of(path)


def test_a_value_is_put_into_a_copy_that_shares_what_was_not_touched():
    raw = {"a": {"b": [{"c": 1}, {"c": 2}]}, "d": {"e": 3}}
    new = with_value(raw, place_of("a.b[2].c"), 9)
    assert value_at(new, place_of("a.b[2].c")) == 9
    assert raw["a"]["b"][1]["c"] == 2
    assert new["d"] is raw["d"]
    assert new["a"]["b"][0] is raw["a"]["b"][0]


def test_a_table_that_is_missing_is_made_and_a_list_is_not_made_longer():
    assert with_value({}, place_of("site.positions"), 2) == {"site": {"positions": 2}}
    with pytest.raises(NoPlaceError, match="no item 2; the list has 1"):
        with_value({"a": [{}]}, place_of("a[2].b"), 1)
    with pytest.raises(NoPlaceError, match="no table with a key b"):
        with_value({"a": 1}, place_of("a.b"), 1)
