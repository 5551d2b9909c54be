"""Runs, job cards and free words in a real browser, at 360 px: they fit, and an answer arrives."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from tests.people import BEN
from tests.web import scene

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
