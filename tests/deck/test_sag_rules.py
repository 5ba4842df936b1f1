"""Limits of sag, worked by hand at both sides of where their two parts meet."""

from __future__ import annotations

import pytest

from pourday.deck.sag_rules import SAG_RULES, sag_limit


@pytest.mark.parametrize(
    ("word", "span", "plain", "ponded"),
    [
        # EN 1994-1-1 9.6(2): span/180 and nothing else.
        ("EN", 3.6, 0.020, None),
        ("EN", 5.4, 0.030, None),
        # UK annex: 20 mm from 3.6 m on; with ponding 30 mm from 3.9 m on.
        ("UK", 2.7, 0.015, 2.7 / 130),
        ("UK", 3.6, 0.020, 3.6 / 130),
        ("UK", 5.4, 0.020, 0.030),
        # ANSI/SDI: 3/4 in from 11.25 ft on (value from memory).
        ("SDI", 2.7, 0.015, None),
        ("SDI", 5.4, 0.01905, None),
    ],
)
def test_sag_limits_of_three_countries(word, span, plain, ponded):
    rule = SAG_RULES[word]
    assert sag_limit(span, rule.over, rule.most) == pytest.approx(plain)
    if ponded is None:
        assert rule.ponded_over is rule.ponded_most is None
    else:
        assert sag_limit(span, rule.ponded_over, rule.ponded_most) == pytest.approx(ponded)


@pytest.mark.parametrize(("span", "over", "most"), [(0, 180, None), (3, 0, None), (3, 180, 0)])
def test_a_limit_of_nothing_is_refused(span, over, most):
    with pytest.raises(ValueError, match="above 0"):
        sag_limit(span, over, most)
