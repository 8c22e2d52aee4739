"""The page of a comparison: in headless Chromium, with hostile texts, and figures that are those of the comparison."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from chromium import chromium
from comparisons import hostile_comparison, plain_comparison
from playwright.sync_api import Browser, Page

from equipsel.compare.comparison import Comparison
from equipsel.compare.page import comparison_html
from equipsel.report.html import visible

CASES = {"plain": plain_comparison, "hostile": hostile_comparison}
A4_CSS_PX = 688
"""182 mm between the margins of a sheet of A4, at 96 pixels an inch."""

OUTSIDE = """() => Array.from(document.querySelectorAll("table, svg"))
  .filter((one) => one.getClientRects().length && one.getBoundingClientRect().right > document.documentElement.clientWidth + 0.5)
  .map((one) => one.textContent.slice(0, 60))"""

CUT = """() => Array.from(document.querySelectorAll("svg text")).filter((one) => {
    const size = one.getBBox(), frame = one.ownerSVGElement.viewBox.baseVal;
    return size.x < -0.5 || size.x + size.width > frame.width + 0.5;
  }).map((one) => one.lastChild.textContent)"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture(params=CASES)
def shown(request: pytest.FixtureRequest, browser: Browser, tmp_path: Path) -> Iterator[tuple[Page, Comparison]]:
    """The page of a comparison, opened without a sound, a request or a dialog."""
    found = CASES[request.param]()
    path = tmp_path / "compare.html"
    path.write_bytes(comparison_html(found))
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    trouble: list[str] = []
    page.on("console", lambda message: trouble.append(message.text))
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("dialog", lambda dialog: (trouble.append(dialog.message), dialog.dismiss()))
    page.on("request", lambda request: trouble.append(request.url) if request.url != path.as_uri() else None)
    page.goto(path.as_uri())
    yield page, found
    context.close()
    assert trouble == []


def test_it_fits_both_screens_and_paper(shown: tuple[Page, Comparison]) -> None:
    page, _ = shown
    for width in (1280, 390, A4_CSS_PX):
        page.set_viewport_size({"width": width, "height": 900})
        if width == A4_CSS_PX:
            page.emulate_media(media="print")
            assert page.evaluate(OUTSIDE) == []
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    assert page.evaluate(CUT) == []


def test_an_accessibility_checker_has_nothing_to_say(shown: tuple[Page, Comparison]) -> None:
    """axe-core (the package axe-playwright-python carries it), all its rules."""
    found = Axe().run(shown[0]).response
    assert [(one["id"], one["nodes"][0]["html"][:200]) for one in found["violations"]] == []
    assert len(found["passes"]) > 20


def test_a_text_stays_text(shown: tuple[Page, Comparison]) -> None:
    page, found = shown
    assert page.locator("script").count() == page.locator("style").count() == 1
    assert page.locator("img, iframe, object, embed, form, svg svg").count() == 0
    names = page.evaluate("Array.from(document.querySelectorAll('*')).flatMap(one => one.getAttributeNames())")
    assert [name for name in names if name.startswith("on")] == []
    text = page.evaluate("document.body.textContent")
    for option in found.options:
        assert visible(option.name) in text
    assert found.near
    for name in [one.model for one in found.break_even.values()] + [name for one in found.near.kits for name in one.bought]:
        assert visible(name) in text


def test_the_picture_says_what_the_table_says(shown: tuple[Page, Comparison]) -> None:
    page, found = shown
    spare, models = found.trade_offs()
    for key, curve in (("spare", spare), ("models", models)):
        told = page.locator(f"#{key}-desc").text_content()
        cells = page.eval_on_selector_all(
            f"#trade-off-{key} tbody tr", "rows => rows.map(row => Array.from(row.cells, one => one.textContent))"
        )
        assert [row[:2] for row in cells] == [[f"{point.shown:g}", f"{point.cost:,.2f}"] for point in curve.points]
        assert told == "; ".join(": ".join(row[:2]) for row in cells)
    assert cells[-1][2] == "60.00"


def test_the_best_are_marked_by_a_word_and_every_figure_is_there(shown: tuple[Page, Comparison]) -> None:
    page, found = shown
    costs = page.eval_on_selector_all("#side-by-side tbody tr:first-child td", "cells => cells.map(one => one.textContent)")
    leaders = found.best()["cost"]
    wanted = [f"{'best ' if at in leaders else ''}{found.kits[at].cost:,.2f}" for at in found.built()]
    assert costs == wanted
    assert page.locator("#side-by-side table").count() == -(-len(wanted) // 6)


def test_it_can_be_read_without_scripts_and_is_the_same_twice() -> None:
    page = comparison_html(plain_comparison())
    assert page == comparison_html(plain_comparison())
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', page.decode())
    assert policy
    assert policy[1].startswith("default-src 'none'; style-src 'sha256-")
    assert "unsafe" not in policy[1]
    assert b"<button" not in page.split(b"<script>")[0]
