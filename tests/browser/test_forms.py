"""Runs, job cards and free words in a real browser, at 360 px: they fit, and an answer arrives."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from tests.people import BEN
from tests.web import scene
from trainer import drills
from trainer.procedure import library
from trainer.procedure.shared_tables import SharedTables

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from tests.browser.conftest import Window

pytestmark = pytest.mark.browser
NARROW = 360


def _fits(page: Page, name: str) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= NARROW, name
    if os.environ.get("SHOTS"):
        page.screenshot(path=f"{os.environ['SHOTS']}/{name}.png", full_page=True)


@pytest.mark.parametrize("kind", ["find-the-slip", "what-is-missing", "say-it"])
def test_an_answer_arrives_from_a_narrow_screen(open_window: Callable[..., Window], kind: str) -> None:
    window = open_window(NARROW)
    window.sign_in(BEN)
    window.go(f"/practise/{scene.VALVE}?skill={kind}")
    _fits(window.page, kind)
    for line in window.page.locator("input[name^='say.']").all():
        line.fill("A gauge that stays at zero")
    window.page.locator("button[name=mark]").click()
    window.page.wait_for_url("**/marked/**")
    _fits(window.page, f"{kind}-marked")
    window.must_be_quiet()


def test_a_run_is_picked_through_to_its_end_with_the_keyboard(open_window: Callable[..., Window]) -> None:
    window = open_window(NARROW)
    window.sign_in(BEN)
    window.go(f"/practise/{scene.VALVE}?skill=what-now")
    _fits(window.page, "what-now")
    for _ in range(4):
        if "/marked/" in window.page.url:
            break
        window.page.locator("button[name=pick]").first.focus()
        with window.page.expect_navigation():
            window.page.keyboard.press("Enter")
        _fits(window.page, "what-now-on")
    assert "/marked/" in window.page.url
    window.must_be_quiet()


def _ask_for_the_order(window: Window) -> None:
    """Open the question about the order of eight studs."""
    window.go(f"/practise/{scene.VALVE}?skill=torque-pass:bonnet_studs")
    revision = window.page.url.split(f"/{scene.VALVE}/")[1].split("/")[0]
    module = library.read_module(scene.WITH_WAYS, "small-valve.yaml", SharedTables())
    seed = next(
        seed
        for seed in range(200)
        if (asked := drills.ask(module, "torque-pass", "DN 80", seed)).form.NAME == "arrange"
        and asked.skill.endswith("bonnet_studs")
    )
    window.go(f"/practise/{scene.VALVE}/{revision}/torque-pass/DN 80/{seed}")


def test_an_order_of_bolts_is_tapped_taken_back_kept_and_marked(open_window: Callable[..., Window]) -> None:
    window = open_window(NARROW)
    window.sign_in(BEN)
    page = window.page
    _ask_for_the_order(window)
    _fits(page, "tapped")
    places = page.locator(".taps .on-phone [data-control]")
    assert places.count() == 8
    assert [places.nth(n).get_attribute("tabindex") for n in range(8)] == ["0", *["-1"] * 7]

    def order() -> list[str]:
        return [item.get_attribute("value") or "" for item in page.locator("ol.lines [name=line]").all()]

    def tap(place: int) -> str:
        places.nth(place - 1).locator(".target").click()
        return page.locator("#said").text_content() or ""

    assert tap(5) == "Number 5 is turn 1 of 8."
    assert tap(1) == "Number 1 is turn 2 of 8."
    assert order()[:3] == ["e", "a", "b"]
    assert tap(1) == "Number 1 taken back. 1 of 8 in order."
    assert order() == ["e", "a", "b", "c", "d", "f", "g", "h"]
    tap(1)
    assert "is turn 1 already" in tap(5)
    # From number 5, where the last tap was: two on with the arrow keys, and taken with Enter.
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    assert order()[:3] == ["e", "a", "g"]
    assert places.nth(6).get_attribute("aria-label") == "Number 7, 270° from the top, turn 3"
    assert places.nth(6).evaluate("place => place === document.activeElement")
    page.reload()
    assert page.locator(".taps .on-phone .chosen").count() == 3
    for place in (3, 6, 2, 8, 4):
        tap(place)
    assert "All are in order" in (page.locator("#said").text_content() or "")
    page.locator("button[name=mark]").click()
    page.wait_for_url("**/marked/**")
    assert "comes down even" in (page.locator(".verdict").text_content() or "")
    assert page.locator(".beside figure").count() == 1
    _fits(page, "tapped-marked")
    window.must_be_quiet()


def test_without_script_the_order_of_bolts_is_made_with_the_buttons(
    open_window: Callable[..., Window],
) -> None:
    window = open_window(NARROW, script=False)
    window.sign_in(BEN)
    page = window.page
    _ask_for_the_order(window)
    assert page.locator(".taps .on-phone [data-control]").count() == 8
    assert page.locator(".taps [tabindex], .taps [role]").count() == 0
    with page.expect_navigation():
        page.locator("button[name=move][value='a down']").click()
    first = page.locator("ol.lines [name=line]").first
    assert first.get_attribute("value") == "b"
