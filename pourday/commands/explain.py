"""``pourday explain``: what a figure of the reports is."""

from __future__ import annotations

from typing import Annotated

import typer

from pourday.commands.shared.screen import complain, console, typed


def explain(
    word: Annotated[str | None, typer.Argument(help="A row of a report; all unless told.")] = None,
) -> None:
    """Print what a figure is, where it comes from, and which key of the file moves it."""
    from pourday.report.text.explain import explain_report, explained_list

    try:
        if word is None:
            explained_list(console())
        else:
            explain_report(console(), typed(word))
    except KeyError as error:
        complain(str(error.args[0]))
        raise typer.Exit(2) from None
