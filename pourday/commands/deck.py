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
) -> None:
    """Show what the deck feels, order by order, without playing a day."""
    from pourday.report.records.study import deck_record
    from pourday.report.text.deck import deck_report
    from pourday.study.orders.deck_study import bay_orders, plan_decks, without_props
    from pourday.study.orders.floor_orders import floor_orders

    check_outputs((json_path,), (figures,), source=file)
    change = without_props if props_missing else None
    scenario, warnings, plans = prepared(file, plan, every=plan is None, change=change)
    variant = "props missing" if props_missing else ""
    decks = plan_decks(plans)
    try:
        orders = bay_orders(plans[0], bay or decks[0].deck.use.bay)
    except KeyError as error:
        complain(str(error.args[0]))
        raise typer.Exit(2) from None
    floor = floor_orders(plans)

    def _draw_all(folder: Path) -> None:
        from pourday.report.figures.deck.save import save_deck_figures
        from pourday.report.units import units_named

        for number, each in enumerate(decks, start=1):
            home = folder if len(decks) == 1 else folder / f"order_{number}"
            save_deck_figures(each.basis, None, home, units_named(units))

    record = json_of(lambda: deck_record(scenario, decks, orders, floor, variant))
    whole = save((json_path, record), (figures, _draw_all))
    out = console(units)
    warn(out, warnings)
    deck_report(out, scenario, decks, orders, floor, variant)
    leave(whole)
