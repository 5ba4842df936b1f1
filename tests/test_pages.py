"""README.md and docs/: every command on them is run, and prints what the page shows below it."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from builders.pages import (
    blocks,
    missing,
    not_run,
    outside_blocks,
    pages,
    run_all,
    text_of,
)
from builders.places import ROOT
from builders.repaste import pasted

PAGES = [
    pytest.param(page, slow, marks=[pytest.mark.slow] if slow else [], id=f"{page}{' slow' * slow}")
    for page in pages()
    for slow in (False, True)
    if any(block.slow == slow for block in blocks(text_of(page)))
]


@pytest.mark.parametrize(("page", "slow"), PAGES)
def test_the_commands_of_a_page_print_what_stands_below_them(page, slow):
    for block, found in run_all(page, slow):
        lines = missing(block.printed, found)
        if lines is not None:
            shown, printed = "\n".join(lines), "\n".join(found)
            pytest.fail(f"$ pourday {block.command}\nshown:\n{shown}\nprinted:\n{printed}")


@pytest.mark.parametrize("page", pages())
def test_a_command_is_run_or_the_page_says_why_not(page):
    text = text_of(page)
    assert outside_blocks(text) == []
    for block in blocks(text):
        assert block.printed != "...\n", f"nothing of {block.command!r} is shown"
    for body, why in not_run(text):
        assert len(why.split()) >= 3, body
    every = re.findall(r"^```\w*\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    calls = [body for body in every if re.search(r"^(\$ |.*/)?pourday [a-z]", body, re.MULTILINE)]
    assert len(calls) == len(blocks(text)) + len(not_run(text))


@pytest.mark.parametrize(
    ("text", "runs", "reasons"),
    [
        ("```\n$ pourday check a.toml\nfine\n```\n", ["check a.toml"], []),
        ("```\npourday check a.toml\n```\n", [], [""]),
        ("```\n$ pourday check a.toml\n$ pourday day a.toml\n```\n", ["check a.toml"], [""]),
        ("<!-- not run: it asks -->\n```\n$ pourday new a.toml\n```\n", [], ["it asks"]),
        ("<!-- slow: many days -->\n\n```\n$ pourday day a\n```\n", ["day a"], []),
        ("<!-- exit 2: a fault -->\n```\n$ pourday day a\n```\n", ["day a"], []),
        ("```toml\n# pourday reads it\n```\n", [], []),
        ("```\n.venv/bin/pourday day a\n```\n", [], [""]),
    ],
)
def test_what_is_run_of_a_page(text, runs, reasons):
    assert [block.command for block in blocks(text)] == runs
    assert [why for _, why in not_run(text)] == reasons


FOUND = ["head 12", "", "a 1", "b 2", "end 3"]


@pytest.mark.parametrize(
    ("shown", "lost"),
    [
        ("head 12\n\na 1\nb 2\nend 3\n", None),
        ("head 12\n...\n", None),
        ("...\nb 2\n...\n", None),
        ("...\nend 3\n", None),
        ("head 12\n...\na 1\n...\nend 3\n", None),
        ("head 12\n", ["head 12"]),
        ("", []),
        ("a 1\n...\n", ["a 1"]),
        ("...\nb 2\n", ["b 2"]),
        ("...\nb 2\n...\na 1\n...\n", ["a 1"]),
        ("...\na 1\nend 3\n...\n", ["a 1", "end 3"]),
    ],
)
def test_what_a_page_shows_and_a_command_does_not_print_is_found(shown, lost):
    assert missing(shown, FOUND) == lost


@pytest.mark.parametrize(
    ("shown", "new"),
    [
        ("old\n", "head 12\n\na 1\nb 2\nend 3\n"),
        ("head 7\n...\n", "head 12\n\na 1\nb 2\nend 3\n"),
        ("head 7\n...\na 9\n...\n", "head 12\n...\na 1\n...\n"),
        ("...\nb 9\nend 9\n", "...\nb 2\nend 3\n"),
        ("...\na 9\nmore\nb 7\n...\nend 1\n", "...\na 1\nb 2\n...\nend 3\n"),
        ("...\nquite another line\n...\n", None),
    ],
)
def test_a_page_is_written_anew_with_as_much_of_the_output_as_it_showed(shown, new):
    assert pasted(shown, FOUND) == new


PATH = ("begin", "describe", "check", "compare", "choose", "price", "print", "rehearse")
LINK = re.compile(r"\]\(([^)#\s]*)(?:#([^)\s]*))?\)")


def test_the_path_leads_from_page_to_page_and_the_readme_lists_it_in_order():
    steps = [*PATH, "understand"]
    listed = re.findall(r"^\| \d (\w+) \| \[docs/(\w+)\.md\]", text_of("README.md"), re.MULTILINE)
    assert listed == [(step, step) for step in steps]
    for page, after in pairwise(steps):
        last = text_of(f"docs/{page}.md").rstrip().splitlines()[-1]
        assert re.fullmatch(rf"Next: \[.+\]\({after}\.md\)", last), page


def test_the_readme_leads_to_every_page():
    readme = text_of("README.md")
    assert [page for page in pages()[1:] if f"]({page})" not in readme] == []


@pytest.mark.parametrize("page", pages())
def test_what_a_page_links_to_is_there(page):
    text = re.sub(r"^```.*?^```$", "", text_of(page), flags=re.MULTILINE | re.DOTALL)
    for path, place in LINK.findall(text):
        if path.startswith(("http:", "https:")):
            continue
        found = (ROOT / page).parent / path if path else ROOT / page
        assert found.exists(), f"{page}: {path}"
        assert not place or place in anchors(found.read_text("utf-8")), f"{path}#{place}"


def anchors(text: str) -> set[str]:
    """The places of a page that a link may name: its headings, as they stand in an address."""
    heads = re.findall(r"^#+ (.*)$", text, re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}
