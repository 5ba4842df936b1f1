"""A page in a real browser: nothing fetched, nothing complained of, sorted, moved, printed."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from builders.shipped import day_of, shipped

from pourday.report.page.day import day_page

CHROMIUM = Path("/usr/bin/chromium")
playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(not CHROMIUM.exists(), reason="Debian's chromium is not installed")
HOSTILE = "</script><img src=x onerror=alert(1)>"


@pytest.fixture(scope="session")
def browser():
    with playwright.sync_playwright() as play:
        found = play.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
        yield found
        found.close()


@pytest.fixture(scope="session")
def file(tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "day.html"
    scenario = dataclasses.replace(shipped("clinic_level_1"), title=HOSTILE)
    path.write_text(day_page(day_of(scenario)), encoding="utf-8")
    return path


@pytest.mark.parametrize("width", [360, 1280])
def test_a_page_sorts_slides_prints_and_breaks_no_rule(browser, file, width):
    page, said, asked = browser.new_page(viewport={"width": width, "height": 800}), [], []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("dialog", lambda dialog: said.append(dialog.message))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    assert page.inner_text("h1") == HOSTILE
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.click("#cost-table th:nth-child(3) button")
    keys = page.eval_on_selector_all(
        "#cost-table tbody td:nth-child(3)", "c => c.map(x => +x.dataset.v)"
    )
    assert keys == sorted(keys)
    before = page.inner_text("#d0-clock"), page.inner_text("#d0-w1")
    page.focus("#d0-time")
    page.keyboard.press("End")
    assert (page.inner_text("#d0-clock"), page.inner_text("#d0-w1")) != before
    assert page.pdf(format="A4").startswith(b"%PDF")
    assert not said
    assert [url for url in asked if not url.startswith("data:")] == [file.as_uri()]
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    assert not axe.Axe().run(page).response["violations"]
    page.close()
