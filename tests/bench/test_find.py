"""Find and Practise in a browser: what a technician does there, at three widths, on a light and a dark sheet."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from .conftest import WIDTHS, Running, wait_js
from .test_page import AXE

if TYPE_CHECKING:
    from playwright.sync_api import Page

Opens = Callable[..., "Page"]
SLOW_MS = 60_000  # a process is started, on a machine that may be busy


def begin(page: Page, symptom: str) -> None:
    """Open Find and say what is wrong."""
    page.click('[data-go="find"]')
    page.get_by_role("button", name="Begin").click()
    wait_js(page, "document.querySelector('#symptom')", SLOW_MS)
    page.fill("#symptom", symptom)
    page.keyboard.press("Enter")


def ready(page: Page) -> None:
    """Wait until the search has answered."""
    wait_js(page, "document.querySelector('.find')?.getAttribute('aria-busy') === 'false'", SLOW_MS)


def hide(page: Page, seed: int, difficulty: str = "") -> None:
    """Hide a fault to practise on."""
    page.click('[data-go="find"]')
    page.click('[data-finding="practise"]')
    page.fill("[name=seed]", str(seed))
    page.select_option("[name=difficulty]", difficulty)
    page.get_by_role("button", name="Hide a fault").click()
    wait_js(page, "document.querySelector('.symptom')", SLOW_MS)


def test_a_fault_is_found_from_what_is_seen_and_read(bench: Running, open_page: Opens) -> None:
    """The hold-in contact of the well pump: each answer leaves fewer causes, the last one says what to mend."""
    page = open_page(bench.panel())
    begin(page, "K1 does not stay in")
    wait_js(page, "document.querySelectorAll('.tests > li').length", SLOW_MS)
    counts = [page.locator(".causes > li").count()]
    for _ in range(8):
        if page.locator(".verdict").count():
            break
        page.locator(".tests .outcomes button").first.click()
        wait_js(page, f"document.querySelectorAll('.find .row').length > {len(counts) + 1}", SLOW_MS)
        ready(page)
        counts.append(page.locator(".causes > li").count())

    assert counts == sorted(counts, reverse=True)
    assert "9-5 of K1" in page.inner_text(".verdict")


def test_the_drawing_shows_where_the_causes_lie_and_the_leads_go(bench: Running, open_page: Opens) -> None:
    """A number for each group of causes that is left, R and B at the places of the next reading."""
    page = open_page(bench.panel())
    begin(page, "K1 does not stay in")
    wait_js(page, "document.querySelectorAll('.suspect').length > 2", SLOW_MS)
    numbers = set(page.locator(".suspect-word").all_text_contents())
    inside = page.evaluate(
        """() => {
          const sheet = document.querySelector('#paper svg').getBoundingClientRect();
          const lies = (box) => box.left >= sheet.left && box.right <= sheet.right && box.top >= sheet.top
            && box.bottom <= sheet.bottom;
          return [...document.querySelectorAll('.suspect, .plug-red, .plug-black')]
            .every((one) => lies(one.getBoundingClientRect()));
        }"""
    )

    assert {str(number) for number in range(1, page.locator(".causes > li").count() + 1)} == numbers
    assert page.locator(".plug-red").count() == page.locator(".plug-black").count() == 1
    assert inside


def test_words_that_mean_nothing_get_help(bench: Running, open_page: Opens) -> None:
    """Nothing is lost, and what would be understood is said."""
    page = open_page(bench.panel())
    begin(page, "the thing is broken somehow")
    wait_js(page, "document.querySelector('.find .warns')", SLOW_MS)

    assert "K1" in page.inner_text(".find .warns")
    assert page.locator("#symptom").count() == 1


def test_a_piece_is_taken_back_and_a_value_is_typed(bench: Running, open_page: Opens) -> None:
    """What was typed wrong can be mended; a decimal comma is understood."""
    page = open_page(bench.panel())
    begin(page, "K1 does not stay in")
    wait_js(page, "document.querySelector('.value input')", SLOW_MS)
    before = page.locator(".find .row").count()
    page.locator(".value input").first.fill("23,8")
    page.get_by_role("button", name="Enter the reading").first.click()
    wait_js(page, f"document.querySelectorAll('.find .row').length > {before}", SLOW_MS)
    page.get_by_role("button", name="Take back").last.click()
    wait_js(page, f"document.querySelectorAll('.find .row').length === {before}", SLOW_MS)


def test_a_search_of_another_text_is_not_gone_on_with(bench: Running, open_page: Opens) -> None:
    """An edit of the circuit ends it, and says so."""
    page = open_page(bench.panel())
    begin(page, "K1 does not stay in")
    wait_js(page, "document.querySelectorAll('.tests > li').length", SLOW_MS)
    page.click('[data-go="text"]')
    page.locator("#text-place .cm-content").click()
    page.keyboard.press("Control+End")
    page.keyboard.type("\n# changed\n")
    page.click('[data-go="find"]')
    wait_js(page, "document.querySelector('.find').textContent.includes('has changed')", SLOW_MS)


def test_a_hidden_fault_is_not_shown_but_measured(bench: Running, open_page: Opens) -> None:
    """No conductor is drawn live and nothing is told; the meter reads, and readings are counted."""
    page = open_page(bench.panel())
    hide(page, 1)

    assert page.locator("#paper .live").count() == 0
    page.locator('[data-control="S2"]').first.click()
    page.select_option("#lead-red", "K1.13")
    page.select_option("#lead-black", "K1.14")
    wait_js(page, "document.querySelectorAll('.readings li').length >= 1")
    page.click('[data-go="try"]')
    assert page.locator(".story li").count() == 0


def test_a_guess_is_scored_and_the_fault_shown(bench: Running, open_page: Opens) -> None:
    """Afterwards the cause, the best way and the live drawing; leaving makes the panel sound again."""
    page = open_page(bench.panel())
    hide(page, 1)
    page.get_by_role("button", name="Give up").click()
    wait_js(page, "document.querySelector('.practise .verdict')", SLOW_MS)

    assert "This it was" in page.inner_text(".practise .verdict")
    wait_js(page, "document.querySelectorAll('#paper .live').length > 0")
    page.get_by_role("button", name="Leave").click()
    wait_js(page, "document.getElementById('says').textContent === 'H2 lit'")


@pytest.mark.parametrize("sheet", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_stands_in_the_way(bench: Running, open_page: Opens, width: str, sheet: str) -> None:
    """Neither of a screen reader (axe-core), nor of a gloved finger, nor of a narrow window, while a search goes on."""
    page = open_page(bench.panel(), width, color_scheme=sheet)
    page.evaluate(AXE + ";0")
    begin(page, "K1 does not stay in")
    wait_js(page, "document.querySelectorAll('.tests > li').length", SLOW_MS)
    for step in ("find", "practise"):
        if step == "practise":
            hide(page, 1)
        small = page.evaluate(
            """() => [...document.querySelectorAll('#work button, #work select, #work input, #work summary')]
            .filter(one => one.checkVisibility() && one.type !== 'checkbox')
            .map(one => [one.textContent.trim(), one.getBoundingClientRect()])
            .filter(([, box]) => box.width < 44 || box.height < 44)
            .map(([words, box]) => [words, box.width, box.height])"""
        )
        found = page.evaluate("axe.run().then(all => all.violations.map(v => [v.id, v.nodes.map(n => n.html)]))")

        assert [] == small, step
        assert [] == found, step
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), step
