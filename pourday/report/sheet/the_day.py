"""Page one, pinned up: the stop rule, the day's times, whom to ring, the strip plan."""

from __future__ import annotations

from pourday.report.figures.set_ups import places_of
from pourday.report.refusals import refusals
from pourday.report.sheet import amounts
from pourday.report.sheet.paper import Book, Column, Row, table
from pourday.report.sheet.strip_plan import draw_strip_plan, numbers_fit, wider_than_deep
from pourday.report.sheet.words import ABOUT_BY
from pourday.report.units import Units
from pourday.report.words import CAUTION
from pourday.scenario.model.site import AFTER_POUR, IN_TURN
from pourday.study.sheet.says import FrontTimes, Sheet

_LOW = 17.0
_STOP = "Unexpected sag or concrete use: STOP, clear the deck, prop, ask the engineer."
_LEFT = 0.57


def the_day(book: Book, sheet: Sheet) -> None:
    """The day on one page; the strip plan on its own where its numbers would not fit there."""
    page = book.page("The day on one page")
    y = page.top + 4.0
    for words in refusals(sheet, book.units):
        head, _, rest = words.partition(": ")
        y = page.boxed(y, head, [rest[0].upper() + rest[1:]]) + 4.0
    y = page.boxed(y, _STOP, [CAUTION])
    for words in _facts(sheet, book.units):
        y = page.paragraph(y + 2.0, words)
    y += 8.0
    middle = page.left + _LEFT * page.width
    times, _ = table(page, y, _TIMES, _times(sheet), (page.left, middle - 6.0))
    people, _ = table(page, y, _PEOPLE, _ring(sheet), (middle + 6.0, page.right))
    y = page.paragraph(max(times, people) + 1.0, f"{ABOUT_BY}, {sheet.days} days played.")
    if not numbers_fit(page, sheet, y, book.units):
        page = book.page("The strip plan", across=wider_than_deep(sheet))
        y = page.top
    draw_strip_plan(page, sheet, y, book.units)


_TIMES = (Column("when", 118.0), Column("about", 74.0), Column("by", 48.0), Column("real", 44.0))
_PEOPLE = (Column("ring", 85.0), Column("name, telephone", 130.0))


def _facts(sheet: Sheet, units: Units) -> list[str]:
    scenario, plan = sheet.basis.scenario, sheet.basis.plan
    count = len(sheet.loads)
    load = amounts.volume(plan.load or scenario.supply.load, units)
    last = "the last one the balance, measured on the floor"
    rain = f"; rain on {amounts.share(sheet.rain)} of days" if sheet.rain > 0 else "; no rain"
    weather = (
        f"Weather assumed: air {amounts.temperatures(*sheet.air, units)}, humidity "
        f"{amounts.share(sheet.humidity[0])} to {amounts.share(sheet.humidity[1])}, wind "
        f"{amounts.winds(*sheet.wind, units)}{rain}. Colder, hotter, windier: these times are "
        "wrong."
    )
    return [
        f"Concrete: {amounts.volume(sheet.volume, units)} in the floor, {count} loads of {load}, "
        f"{last}; 9 days in 10 take {sheet.loads_by} at most.",
        *(_who(sheet, n, units) for n in range(len(sheet.fronts))),
        weather,
    ]


def _who(sheet: Sheet, number: int, units: Units) -> str:
    """Pump and crew of a front, where the pump stands, and its breaks."""
    scenario, plan = sheet.basis.scenario, sheet.basis.plan
    front = plan.fronts[number]
    crew = scenario.crews[front.crew]
    head = f"Pump {number + 1}" if len(plan.fronts) > 1 else "Placed with"
    places = [
        f"{place.tag.replace('S', 'P')} {place.name} at x {amounts.length(place.x, units)}, "
        f"y {amounts.length(place.y, units)}"
        for place in places_of(scenario, plan, sheet.basis.layout)
        if number in place.fronts
    ]
    where = f"; stands at {', then '.join(places)}" if places else "; where it stands: ________"
    return f"{head}: {front.pump}, crew {front.crew} ({crew.persons} people){where}."


def _times(sheet: Sheet) -> list[Row]:
    rows: list[Row] = []
    several = len(sheet.fronts) > 1
    for number, front in enumerate(sheet.fronts):
        head = f"pump {number + 1}: " if several else ""
        rows += [
            _row(f"{head}set up from", amounts.clock(front.set_up), rule=several),
            _row(f"{head}first truck", amounts.clock(front.start)),
            *_breaks(sheet, number, front),
            _row(
                f"{head}last concrete",
                amounts.clock(front.last_concrete.about),
                amounts.clock(front.last_concrete.by),
            ),
            _row(
                f"{head}washed out",
                amounts.clock(front.washed_out.about),
                amounts.clock(front.washed_out.by),
            ),
        ]
    leave = sheet.finishers_leave
    rows.append(_row("finishers leave", amounts.clock(leave.about), amounts.clock(leave.by)))
    curfew = sheet.basis.scenario.site.curfew
    if curfew is not None:
        whose = " (all)" if sheet.basis.scenario.site.curfew_for == "all" else " (pump)"
        rows.append(_row(f"CURFEW{whose}", "", amounts.clock(curfew)))
    return rows


def _breaks(sheet: Sheet, number: int, front: FrontTimes) -> list[Row]:
    taken = sheet.basis.scenario.crews[sheet.basis.plan.fronts[number].crew].breaks_taken
    if taken == AFTER_POUR:
        return [_row("breaks: after the pour", "-")]
    words = "break, in turn" if taken == IN_TURN else "break, all"
    return [_row(words, amounts.from_to(*each)) for each in front.breaks]


def _row(what: str, about: str, by: str = "", rule: bool = False) -> Row:
    return Row((what, about, by, ""), rule=rule, height=_LOW)


def _ring(sheet: Sheet) -> list[Row]:
    plants = [plant.name for plant in sheet.basis.scenario.supply.plants]
    who = [*plants, "pump firm", "engineer", "deck supplier", "tester", "foreman", "emergency"]
    return [Row((each, ""), height=_LOW + 2.0) for each in who]
