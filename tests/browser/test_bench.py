"""A mentor marks at the bench: the connection goes and comes back, the session ends, the job is signed meanwhile."""

from __future__ import annotations

import json
import time
from typing import TYPE_CHECKING, Any

import pytest

from tests.people import BEN, KIT, MIRA
from tests.web import scene
from trainer.actions import bench, observe, people
from trainer.actions.actor import Actor
from trainer.records.observation import StepMark

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from tests.browser.conftest import Window
    from trainer.actions.opening import Database

pytestmark = pytest.mark.browser

SHEET = "/bench/1"


def press(page: Page, step: str, words: str) -> None:
    page.locator(f"#step-{step}").get_by_role("button", name=words, exact=True).click()


def kept_by_the_server(db: Database) -> dict[str, StepMark]:
    mira = Actor(MIRA.id, MIRA.sign_in_name, MIRA.display_name, frozenset(MIRA.roles), MIRA.crew)
    view = bench.observation(db, mira, 1)
    return {item.step: item.mark for item in view.seen if item.mark}


def kept_on_the_device(page: Page) -> list[dict[str, Any]]:
    text = page.evaluate(f"localStorage.getItem('bench {MIRA.id} 1')")
    found: list[dict[str, Any]] = json.loads(text or "[]")
    return found


def until(page: Page, words: str) -> None:
    page.get_by_text(words).first.wait_for()


def comes_true(page: Page, expression: str) -> None:
    """Wait until an expression is true; asked from outside each time, since the page's policy lets nothing ask within."""
    deadline = time.monotonic() + 30
    while not page.evaluate(expression):
        assert time.monotonic() < deadline, f"not true in half a minute: {expression}"
        page.wait_for_timeout(50)


def worker_has_the_sheet(page: Page) -> None:
    comes_true(
        page, "caches.open('bench-sheets').then((cache) => cache.match(location.pathname)).then(Boolean)"
    )
    comes_true(
        page,
        """Promise.all([...document.querySelectorAll('link[rel=stylesheet], script[src]')]
          .map((tag) => caches.match(tag.href || tag.src))).then((all) => all.every(Boolean))""",
    )
    comes_true(page, "Boolean(navigator.serviceWorker.controller)")


@pytest.fixture
def window(open_window: Callable[..., Window]) -> Window:
    opened = open_window(768)
    opened.sign_in(MIRA)
    opened.go(SHEET)
    until(opened.page, "All marks are kept.")
    return opened


def test_marks_made_without_a_connection_are_sent_once_when_it_is_back(window: Window, db: Database) -> None:
    page = window.page
    press(page, "relax", "Unaided")
    until(page, "All marks are kept.")
    assert kept_by_the_server(db)["relax"] is StepMark.UNAIDED
    window.lose_connection()
    press(page, "cap", "With a word")
    until(page, "No connection. 1 mark waits on this device")
    press(page, "cap", "Wrong")
    press(page, "cap_off", "Unaided")
    page.locator("#step-cap_off .noted summary").click()
    page.locator("#note-cap_off").fill("by hand")
    page.locator("#note-cap_off").blur()
    until(page, "4 marks on this device, not sent yet.")
    assert "cap" not in kept_by_the_server(db)
    sent: list[str] = []
    page.on(
        "request", lambda request: sent.append(request.post_data or "") if request.method == "POST" else None
    )
    window.find_connection()
    until(page, "All marks are kept.")
    assert kept_by_the_server(db) | {
        "cap": StepMark.WRONG,
        "cap_off": StepMark.UNAIDED,
    } == kept_by_the_server(db)
    tickets = [entry["ticket"] for body in sent for entry in json.loads(body)["entries"]]
    assert len(tickets) == len(set(tickets)) == 4
    page.reload()
    until(page, "All marks are kept.")
    assert page.locator("#step-cap [aria-pressed=true]").inner_text() == "Wrong"
    assert page.locator("#note-cap_off").input_value() == "by hand"


def test_the_sheet_opens_again_without_a_connection_with_every_mark(window: Window, db: Database) -> None:
    page = window.page
    worker_has_the_sheet(page)
    press(page, "relax", "Unaided")
    until(page, "All marks are kept.")
    window.lose_connection()
    press(page, "cap", "Unaided")
    until(page, "No connection.")
    page.reload()
    until(page, "1 mark on this device, not sent yet.")
    # One was sent before the sheet was lost, one was not: both stand there.
    for step in ("relax", "cap"):
        assert page.locator(f"#step-{step} [aria-pressed=true]").inner_text() == "Unaided"
    assert page.evaluate("getComputedStyle(document.querySelector('.four')).display") == "grid"
    window.find_connection()
    until(page, "All marks are kept.")
    assert {"relax", "cap"} <= set(kept_by_the_server(db))


def test_a_session_that_ended_meanwhile_loses_no_mark(window: Window, db: Database) -> None:
    page = window.page
    window.lose_connection()
    press(page, "relax", "Unaided")
    until(page, "No connection.")
    people.set_password(db, scene.enter(db, KIT), MIRA.id, "another sentence of hers", now=scene.NOW)
    window.find_connection()
    until(page, "You are signed out. 1 mark waits on this device")
    page.get_by_role("link", name="Sign in").click()
    page.get_by_label("Sign-in name").fill(MIRA.sign_in_name)
    page.get_by_label("Password").fill("another sentence of hers")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**" + SHEET)
    until(page, "All marks are kept.")
    assert kept_by_the_server(db)["relax"] is StepMark.UNAIDED


def test_nobody_signed_in_leaves_no_sheet_on_the_device(window: Window) -> None:
    page = window.page
    worker_has_the_sheet(page)
    page.context.clear_cookies()
    window.go(SHEET)
    page.wait_for_url(lambda url: "/sign-in" in url)
    comes_true(page, "caches.has('bench-sheets').then((there) => !there)")


def test_a_job_signed_meanwhile_is_told_and_the_marks_stay_to_be_seen(window: Window, db: Database) -> None:
    page = window.page
    window.lose_connection()
    press(page, "relax", "Wrong")
    until(page, "No connection.")
    observe.close(
        db,
        scene.enter(db, MIRA),
        1,
        order=(),
        result="From the desk.",
        password=MIRA.password,
        now=scene.NOW,
    )
    window.find_connection()
    until(page, "This observation was signed on 2027-03-22 at 14:32 UTC")
    assert len(kept_on_the_device(page)) == 1
    page.get_by_role("link", name="Open the signed sheet").click()
    until(page, "1 mark on this device came too late")
    assert "wrong" in page.locator("#left li").inner_text()
    page.get_by_role("button", name="Throw these marks away").click()
    assert kept_on_the_device(page) == []


def test_a_note_being_written_when_the_sheet_goes_away_is_there_again(window: Window) -> None:
    page = window.page
    page.locator("#step-cap .noted summary").click()
    page.locator("#note-cap").fill("half a sentence")
    page.reload()
    until(page, "All marks are kept.")
    assert page.locator("#note-cap").input_value() == "half a sentence"


def test_one_step_at_a_time_by_keyboard_alone(window: Window, db: Database) -> None:
    page = window.page
    page.get_by_role("button", name="One step at a time").focus()
    page.keyboard.press("Enter")
    shown = page.locator(".bench-step:visible")
    assert shown.count() == 1
    # Three steps are marked; the first one that is not stands there.
    assert shown.get_attribute("id") == "step-relax"
    shown.get_by_role("button", name="Unaided").focus()
    page.keyboard.press("Space")
    until(page, "All marks are kept.")
    assert kept_by_the_server(db)["relax"] is StepMark.UNAIDED
    page.get_by_role("button", name="Next").focus()
    page.keyboard.press("Enter")
    assert page.locator(".bench-step:visible").get_attribute("id") == "step-cap"
    window.must_be_quiet()


def test_an_observation_is_begun_marked_and_signed(open_window: Callable[..., Window], db: Database) -> None:
    window = open_window(390)
    page = window.page
    window.sign_in(MIRA)
    window.go(f"/people/{BEN.id}")
    page.get_by_role("link", name="Observe at the bench").first.click()
    page.get_by_label("DN 80").check()
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/bench/*")
    press(page, "shut", "Unaided")
    press(page, "studs", "Unaided")
    press(page, "vent", "Unaided")
    page.get_by_role("link", name="To the signature").click()
    page.wait_for_url("**/close")
    until(page, "bonnet is thrown")
    page.locator(".arrows button[value='vent up']").click()
    until(page, "The order was changed; look at it again.")
    page.get_by_role("button", name="Look at this order again").click()
    until(page, "The order in which it was done works.")
    page.get_by_label("What you saw").fill("At the bench valve.")
    page.get_by_label("Your password, as signature").fill(MIRA.password)
    page.get_by_role("button", name="Sign this observation").click()
    until(page, "Signed. Nothing of it changes any more.")
    window.must_be_quiet()
    number = int(page.url.rpartition("/")[2])
    view = bench.observation(db, scene.enter(db, MIRA), number)
    assert [item.step for item in view.seen] == ["shut", "vent", "studs"]
