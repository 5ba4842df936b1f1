"""Questions put in a terminal, or answered by options alone."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import typer

from pourday.commands.shared.screen import columns, complain, typed, wrapped

if TYPE_CHECKING:
    from pourday.scenario.base.faults import ScenarioError
    from pourday.scenario.begin.questions import Question

T = TypeVar("T")
Texts = dict[str, str]
"""What was typed, or proposed and taken, by the name of its question."""


def in_terminal() -> bool:
    """Whether somebody sits there who can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def asked(questions: Sequence[Question], texts: Texts) -> dict[str, Any]:
    """The value of every question; put in the terminal where ``texts`` has no good answer yet.

    ``texts`` is filled with what was typed. A bad answer is refused with a sentence, and the
    question comes again.
    """
    from pourday.scenario.begin.answers import RefusedError

    values: dict[str, Any] = {}
    for question in questions:
        proposal = question.propose(values)
        if question.name not in texts:
            texts[question.name] = _typed_at(question, proposal) if question.asked else proposal
        while True:
            try:
                values[question.name] = question.read(texts[question.name], values)
                break
            except RefusedError as refusal:
                _say(f"  {refusal}")
                texts[question.name] = _typed_at(question, proposal)
    return values


def told(questions: Sequence[Question], texts: Texts, proposed: bool) -> dict[str, Any]:
    """The value of every question from options alone; leave with exit code 2 where one has none.

    With ``proposed`` a question without an option takes its proposal.
    """
    from pourday.scenario.begin.answers import RefusedError

    values: dict[str, Any] = {}
    wrong: list[str] = []
    for question in questions:
        try:
            if question.name not in texts and question.asked and not proposed:
                wrong.append(f"  --{question.name} has no answer: {question.words}")
                continue
            text = texts.setdefault(question.name, "") or question.propose(values)
            texts[question.name] = text
            values[question.name] = question.read(text, values)
        except RefusedError as refusal:
            wrong.append(f"  --{question.name} {text!r}: {refusal}")
        except KeyError:
            texts.pop(question.name)  # it rests on an answer that is not there, told above
    if wrong:
        complain("nobody was asked, and these have no answer that can be taken:")
        for line in wrong:
            complain(line)
        if not proposed:
            complain("in a terminal they are asked; --proposed takes what is proposed")
        raise typer.Exit(2)
    return values


def made(questions: Sequence[Question], texts: Texts, make: Callable[[Mapping[str, Any]], T]) -> T:
    """What the answers make; where they clash, the fault is shown and its question comes again."""
    from pourday.scenario.base.faults import ScenarioError

    while True:
        values = asked(questions, texts)
        try:
            return make(values)
        except ScenarioError as error:
            _say("  These answers do not go together:")
            for fault in error.faults[:3]:
                _say(f"  {fault.text}")
            for name in _to_ask_again(questions, error):
                texts.pop(name)


def _to_ask_again(questions: Sequence[Question], error: ScenarioError) -> list[str]:
    """Names of the questions of which the faults speak; all of the floor's where none does."""
    names = []
    for fault in error.faults:
        keys = [(len(key), each.name) for each in questions for key in each.keys
                if fault.path.startswith(key)]  # fmt: skip
        if keys:
            names.append(max(keys)[1])
    return list(dict.fromkeys(names)) or ["spans", "slab", "stiffness"]


def _say(text: str) -> None:
    """A line in as many as the terminal's columns ask for."""
    for line in wrapped(text, columns()):
        print(line)


def _typed_at(question: Question, proposal: str) -> str:
    """What the user types, or the proposal for Enter.

    Raises:
        EOFError: where nobody types any more.
    """
    _say(question.words)
    return typed(input(f"  [{proposal}] ")).strip() or proposal
