"""Pages in a real browser: nothing fetched, nothing complained of, sorted, moved, printed."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from builders.hostile import PLANS, TITLE, hostile, hostile_comparison
from pypdf import PdfReader

import pourday

CHROMIUM = Path("/usr/bin/chromium")
playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(not CHROMIUM.exists(), reason="Debian's chromium is not installed")
WIDTHS = (360, 1280)


@pytest.fixture(scope="module")
def browser():
    with playwright.sync_playwright() as play:
        found = play.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
        yield found
        found.close()


class Opened:
    """A page in the browser, and all that it said and asked for from the moment it was opened."""

    def __init__(self, browser, folder, html, table):
        file = folder / "page.html"
        file.write_text(html, encoding="utf-8")
        self.address, self.table, self.said, self.asked = file.as_uri(), table, [], []
        self.page = browser.new_page(viewport={"width": WIDTHS[0], "height": 800})
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("dialog", lambda dialog: self.said.append(dialog.message))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(self.address)

    def keys(self, column):
        """What the rows of its table are sorted by, from above."""
        return self.page.eval_on_selector_all(
            f"#{self.table} tbody tr > :nth-child({column})", "c => c.map(x => +x.dataset.v)"
        )


@pytest.fixture(scope="module", params=["day", "compare"])
def opened(request, browser, tmp_path_factory):
    """The page of a day and of a comparison, of one scenario with hostile names."""
    made = pourday.play(hostile()) if request.param == "day" else hostile_comparison()
    table = "cost-table" if request.param == "day" else "plans"
    found = Opened(browser, tmp_path_factory.mktemp("page"), made.to_html(), table)
    yield found
    assert not found.said
    assert [url for url in found.asked if not url.startswith("data:")] == [found.address]
    found.page.close()


def test_a_hostile_title_is_a_heading(opened):
    assert opened.page.inner_text("h1") == TITLE
    assert opened.page.title() == TITLE
    assert opened.page.locator("img").count() == 0


@pytest.mark.parametrize("width", WIDTHS)
def test_a_page_is_as_wide_as_the_screen_and_breaks_no_rule(opened, width):
    opened.page.set_viewport_size({"width": width, "height": 800})
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= width
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    broken = axe.Axe().run(opened.page).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"]) for each in broken] == []


def test_a_table_sorts_by_tap_and_by_key_and_says_which_way(opened):
    column = 3 if opened.table == "cost-table" else 6
    head = opened.page.locator(f"#{opened.table} thead th:nth-child({column})")
    head.locator("button").click()
    rising = opened.keys(column)
    assert rising == sorted(rising)
    assert len(set(rising)) > 1
    assert head.get_attribute("aria-sort") == "ascending"
    head.locator("button").focus()
    opened.page.keyboard.press("Enter")
    assert opened.keys(column) == sorted(rising, reverse=True)
    assert head.get_attribute("aria-sort") == "descending"
    opened.page.keyboard.press("Space")
    assert opened.keys(column) == rising


def test_the_day_moves_under_slider_keys_and_buttons(opened):
    def _state():
        said = [opened.page.inner_text(f"#d0-{each}") for each in ("clock", "w1")]
        return *said, opened.page.get_attribute("#d0-s0", "width")

    opened.page.focus("#d0-time")
    opened.page.keyboard.press("Home")
    first = _state()
    opened.page.keyboard.press("End")
    last = _state()
    assert all(one != other for one, other in zip(first, last, strict=True))
    opened.page.click("#d0-less")
    assert _state()[0] < last[0]
    opened.page.click("#d0-more")
    assert _state() == last


def test_another_plan_can_be_shown(opened):
    if opened.table != "plans":
        pytest.skip("a day has one plan")
    shown = "document.querySelectorAll('div.day:not([hidden])').length"
    drawn = opened.page.eval_on_selector_all("div.day", "d => d.map(x => x.dataset.plan)")
    assert sorted(drawn) == sorted(PLANS[:2])
    for block in ("d1", "d0"):
        opened.page.select_option("#drawn", block)
        assert opened.page.is_visible(f"#{block}")
        assert opened.page.evaluate(shown) == 1


def test_a_page_prints(opened):
    printed = PdfReader(io.BytesIO(opened.page.pdf(format="A4")))
    words = " ".join(page.extract_text() for page in printed.pages)
    assert "The day hour by hour" in words
    assert "ask the engineer" in words
    assert "earlier" not in words  # no slider on paper
