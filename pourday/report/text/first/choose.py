"""``choose``: which candidate to take, what limits it, and what else there is, on one screen."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from pourday.report.screen import units_of
from pourday.report.text.choose import chosen_sentences, doubts, played_sentences, search_words
from pourday.report.text.first.screen import BLANK, LINES, Part, said, show, table_of, titled
from pourday.report.words import BAD_DAY, clock, money, percent
from pourday.study.search.found import Found
from pourday.study.search.study import Fresh
from pourday.study.search.trial import FIRST

_HOUR = 3600.0
_FIRST_ANSWER = 2  # lines of the first answer, which stands above
_ROWS = 4  # candidates beside the chosen of which a screen has room


def first_choose(
    console: Console, found: Found, fresh: Fresh | None, warnings: Sequence[str] = ()
) -> None:
    """Print the answer of a search, the candidates no other beats, and where to look next."""
    search = found.search
    parts = [titled(search.scenario.title, search_words(search)), BLANK]
    parts += map(Part, chosen_sentences(found, fresh, units_of(console)))
    if found.chosen is not None and len(found.front) > 1:
        parts += [BLANK, _front(console, found)]
        parts.append(Part("No other candidate beats these in all four.", 2))
    parts.append(BLANK)
    if found.prices and found.chosen is not None:
        parts.append(said("LIMITS", _limits(found), 1))
    parts += [said("NOTE", text, 1 if n else 0) for n, text in enumerate(doubts(found, fresh))]
    parts.append(said("PLAYED", played_sentences(found)[0], 1))
    if search.refused:
        parts.append(said("LEFT OUT", f"{len(search.refused)} that cannot be played: --full"))
    if warnings:
        parts.append(said("WARNING", f"the file has {len(warnings)}: --full"))
    more = "the plan for the file, each limit's price" if found.chosen is not None else "all of it"
    parts.append(said("NEXT", f"{more}: --full"))
    show(console, parts, LINES - _FIRST_ANSWER)


def _front(console: Console, found: Found) -> Part:
    length = units_of(console).length
    rows = [
        (
            found.search.candidates[each.number].name,
            (
                money(each.cost),
                clock(each.finish_h * _HOUR),
                length.figure(each.stiff_m, 1),
                length.figure(each.cold_m, 1),
            ),
        )
        for each in found.front[: _ROWS + 1]
    ]
    currency = found.search.scenario.prices.currency
    heads = (currency, "finished", f"stiff\n{length.word}", f"cold\n{length.word}")
    return table_of(f"mean of the first {FIRST} days", heads, rows)


def _limits(found: Found) -> str:
    """What relaxing a limit by a step would save, those that save anything."""
    saves = [
        f"{BAD_DAY[each.kind]} on {percent(each.relaxed)} of days, not {percent(each.limit)}, "
        f"would save {money(each.saves.value)}"
        for each in found.prices
        if each.number is not None and each.saves is not None
    ]
    return f"{'; '.join(saves)}." if saves else "relaxing any by a step would save nothing."
