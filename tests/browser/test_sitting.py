"""A sitting in a real browser: the connection breaks, nothing is lost, and the answer counts once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.people import BEN, MIRA
from tests.web import scene
from trainer.actions import sitting_release, sitting_sheets
from trainer.store import sittings

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.browser.conftest import Window
    from trainer.actions.opening import Database

pytestmark = pytest.mark.browser


@pytest.fixture
def number(db: Database) -> int:
    """Ben is released; the first question is an order, by the chance of this release."""
    mira = scene.enter(db, MIRA)
    return sitting_release.release(
        db, mira, BEN.id, scene.VALVE, because="He is ready.", drawn_with="3", now=scene.NOW
    )


def test_an_answer_waits_on_the_device_while_the_connection_is_gone(
    open_window: Callable[..., Window], db: Database, number: int
) -> None:
    window = open_window()
    window.sign_in(BEN)
    window.go("/sheet")
    window.page.get_by_role("link", name="Go to the sitting").click()
    window.page.get_by_role("button", name="Begin the sitting").click()
    window.page.wait_for_url(f"**/sitting/{number}/1")
    window.must_be_quiet()
    _fill(window)
    window.lose_connection()
    window.page.locator("button[name=mark]").click()
    window.page.locator(".waits:not([hidden])").wait_for()
    assert "kept on this device" in window.page.locator(".waits").inner_text()
    assert _answered(db, number) == 0
    window.find_connection()
    window.page.wait_for_url(f"**/sitting/{number}/2")
    assert _answered(db, number) == 1
    window.go(f"/sitting/{number}/1")
    assert window.page.url.endswith(f"/sitting/{number}/2")


def test_the_window_is_closed_and_the_open_question_waits(
    open_window: Callable[..., Window], db: Database, number: int
) -> None:
    window = open_window()
    window.sign_in(BEN)
    window.go(f"/sitting/{number}")
    window.page.get_by_role("button", name="Begin the sitting").click()
    window.page.wait_for_url(f"**/sitting/{number}/1")
    asked = window.page.locator("h1").inner_text()
    window.page.close()
    other = open_window(1280)
    other.sign_in(BEN)
    other.go(f"/sitting/{number}")
    other.page.get_by_role("button", name="Go on with question 1").click()
    other.page.wait_for_url(f"**/sitting/{number}/1")
    assert other.page.locator("h1").inner_text() == asked
    assert _answered(db, number) == 0


def test_it_is_taken_with_the_keyboard_alone_and_without_script(
    open_window: Callable[..., Window], db: Database, number: int
) -> None:
    window = open_window(360, script=False)
    window.sign_in(BEN)
    window.go(f"/sitting/{number}")
    window.page.get_by_role("button", name="Begin the sitting").focus()
    window.page.keyboard.press("Enter")
    window.page.wait_for_url(f"**/sitting/{number}/1")
    _fill(window)
    window.page.locator("button[name=mark]").focus()
    window.page.keyboard.press("Enter")
    window.page.wait_for_url(f"**/sitting/{number}/2")
    assert _answered(db, number) == 1


def _fill(window: Window) -> None:
    """Whatever is asked, answer something that can be handed in."""
    for group in window.page.locator("fieldset.choice").all():
        group.locator("input[type=radio]").first.check()
    for field in window.page.locator("input[name^='value.'], input[name^='say.']").all():
        field.fill("1")
    for group in window.page.locator("fieldset.units").all():
        group.locator("input[type=radio]").first.check()


def _answered(db: Database, number: int) -> int:
    with db.reading() as unit:
        return sum(question.answer is not None for question in sittings.questions(unit, number))


def test_the_pages_of_a_sitting_fit_a_phone(
    open_window: Callable[..., Window], db: Database, number: int
) -> None:
    window = open_window(360)
    window.sign_in(MIRA)
    for path in (f"/people/{BEN.id}", f"/people/{BEN.id}/release/{scene.VALVE}", f"/sitting/{number}"):
        window.go(path)
        assert window.page.evaluate("document.documentElement.scrollWidth") <= 360, path
        window.must_be_quiet()
    assert sitting_sheets.sheet(db, scene.enter(db, MIRA), number, now=scene.NOW).answered == 0
