"""``pourday deck``: what the deck feels, order by order."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, save
from pourday.commands.shared.options import Figures, File, JsonPath, PlanName, UnitsName
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import complain, console, warn


def deck(
    file: File,
    plan: PlanName = None,
    bay: Annotated[str | None, typer.Option(help="Bay whose orders are searched.")] = None,
    props_missing: Annotated[
        bool, typer.Option("--without-props", help="Show what happens with the props missing.")
    ] = False,
    json_path: JsonPath = None,
    figures: Figures = None,
    units: UnitsName = None,
    full: Annotated[
        bool, typer.Option("--full", help="Print every check, and other orders (also with --bay).")
    ] = False,
) -> None:
    """Show what the deck feels, order by order, without playing a day."""
    from pourday.report.progress import share_bar
    from pourday.report.records.study import deck_record
    from pourday.report.text.deck import deck_report
    from pourday.report.text.first.deck import first_deck
    from pourday.study.orders.deck_study import bay_orders, plan_decks, without_props
    from pourday.study.orders.floor_orders import floor_orders
    from pourday.study.told import counted, within

    check_outputs((json_path,), (figures,), source=file)
    change = without_props if props_missing else None
    scenario, warnings, plans = prepared(file, plan, every=plan is None, change=change)
    variant = "props missing" if props_missing else ""
    full = full or bay is not None
    more = full or json_path is not None
    try:
        with share_bar("judging orders") as told:
            decks = plan_decks(plans, within(told, 0.0, 0.1 if more else 1.0))
            if more:
                at = bay or decks[0].deck.use.bay
                orders = bay_orders(plans[0], at, within(told, 0.1, 0.55))
                floor = floor_orders(plans, within(told, 0.55, 1.0))
    except KeyError as error:
        complain(str(error.args[0]))
        raise typer.Exit(2) from None

    def _draw_all(folder: Path) -> None:
        from pourday.report.figures.deck.save import save_deck_figures
        from pourday.report.units import units_named

        with share_bar("drawing") as told:
            for number, each in enumerate(counted(decks, told), start=1):
                home = folder if len(decks) == 1 else folder / f"order_{number}"
                part = within(told, (number - 1) / len(decks), number / len(decks))
                save_deck_figures(each.basis, None, home, units_named(units), part)

    record = json_of(lambda: deck_record(scenario, decks, orders, floor, variant))
    whole = save((json_path, record), (figures, _draw_all))
    out = console(units)
    if full:
        warn(out, warnings)
        deck_report(out, scenario, decks, orders, floor, variant)
    else:
        first_deck(out, scenario, decks, warnings, variant)
    leave(whole)
