"""Pictures in a real browser: thumbnails that come after the page, and the sheet of the machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.people import AMA
from tests.web import scene

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.browser.conftest import Window
    from trainer.actions.opening import Database

pytestmark = pytest.mark.browser

MACHINE = "piston-valve-overhaul"


def test_thumbnails_come_after_the_lines_can_be_moved(
    open_window: Callable[..., Window], db: Database
) -> None:
    revision = scene.with_shapes(db)
    window = open_window(390)
    window.sign_in(AMA)
    page = window.page
    page.route("**/pictures", lambda _: None)
    window.go(f"/practise/{MACHINE}/{revision}/order/DN 80/3")
    page.locator(".grip[tabindex]").first.focus()
    page.keyboard.press("End")
    expect(page.locator("#said")).to_contain_text("now ")
    assert page.locator(".thumb svg").count() == 0
    page.unroute("**/pictures")
    page.reload()
    expect(page.locator(".thumb svg").first).to_be_visible()
    assert page.locator(".thumb svg").count() == page.locator("[data-line]").count()
    accent = page.evaluate("getComputedStyle(document.querySelector('.thumb .next .face')).stroke")
    assert accent == "rgb(178, 58, 12)"
    window.must_be_quiet()


def test_without_script_the_lines_stand_without_thumbnails(
    open_window: Callable[..., Window], db: Database
) -> None:
    revision = scene.with_shapes(db)
    window = open_window(390, script=False)
    window.sign_in(AMA)
    window.go(f"/practise/{MACHINE}/{revision}/order/DN 80/3")
    assert window.page.locator(".thumb").first.is_hidden()
    first = window.page.locator(".do").first.inner_text()
    window.page.locator(".arrows button:enabled").first.click()
    assert window.page.locator(".do").nth(1).inner_text() == first
