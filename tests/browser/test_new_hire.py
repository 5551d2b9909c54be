"""A new hire signs in, orders by dragging, by buttons and by keyboard, is told what happens, then does it right."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser import order
from tests.people import BEN, KIT, SOL
from tests.web import scene
from trainer import drills
from trainer.actions import mentor, people, publish

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from tests.browser.conftest import Window
    from tests.browser.order import Mover
    from trainer.actions.opening import Database

pytestmark = pytest.mark.browser

MOVERS = [order.drag, order.press_arrows, order.press_keys]


def mark(page: Page) -> None:
    """Have the answer marked."""
    page.get_by_role("button", name="Mark my order").click()
    page.wait_for_url("**/marked/*")


@pytest.mark.parametrize("move", MOVERS, ids=lambda move: move.__name__)
def test_an_order_is_put_wrong_then_right(
    open_window: Callable[..., Window], address: str, db: Database, move: Mover
) -> None:
    window = open_window()
    page = window.page
    window.sign_in(BEN)
    order.open_order(page, address)
    asked = order.drill_in(page)
    wrong = order.right_order(db, page)[::-1]
    order.put(page, wrong, move)
    mark(page)
    told = drills.mark(publish.module_at(db, asked.revision), asked.kind, asked.size, asked.seed, wrong)
    text = " ".join(page.inner_text("main").replace("\xa0", " ").split())
    assert " ".join(told.headline.split()) in text
    assert " ".join(told.instead.split()) in text
    if told.incident:
        assert " ".join(told.incident.text.split()) in text
        assert page.locator(f"section.signal.{told.incident.signal}").is_visible()
    page.get_by_role("link", name="Order it again").click()
    page.wait_for_selector(".grip[tabindex]")
    assert order.drill_in(page).seed != asked.seed
    order.put(page, order.right_order(db, page), move)
    mark(page)
    assert page.locator(".cells b").last.inner_text() == "0"
    assert page.locator(".verdict path").get_attribute("d", timeout=1000) == "M3 10.500 8 15.500 17 4.500"
    window.must_be_quiet()


def test_every_move_is_announced(open_window: Callable[..., Window], address: str) -> None:
    window = open_window()
    page = window.page
    window.sign_in(BEN)
    order.open_order(page, address)
    first = order.lines(page)[0]
    words = page.locator(f"{order.row(first)} .do").inner_text()
    count = len(order.lines(page))
    said = page.locator("#said")
    page.locator(f"{order.row(first)} .grip").focus()
    page.keyboard.press("End")
    assert said.text_content() == f"{words}, now {count} of {count}."
    assert (
        page.evaluate("document.activeElement.getAttribute('aria-label')") == f"{words}, {count} of {count}"
    )
    page.keyboard.press("Home")
    assert said.text_content() == f"{words}, now 1 of {count}."
    page.locator(f"{order.row(first)} .arrows button").last.click()
    assert said.text_content() == f"{words}, now 2 of {count}."
    assert said.get_attribute("role") == "status"


def test_a_drag_that_is_given_up_changes_nothing(open_window: Callable[..., Window], address: str) -> None:
    window = open_window()
    page = window.page
    window.sign_in(BEN)
    order.open_order(page, address)
    before = order.lines(page)
    box = page.locator(".grip").first.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 10, box["y"] + 20)
    page.mouse.down()
    page.mouse.move(box["x"] + 10, box["y"] + 240, steps=6)
    page.keyboard.press("Escape")
    page.mouse.up()
    assert order.lines(page) == before
    assert page.locator(".lifted").count() == 0


def test_an_answer_outlives_a_lost_connection_and_is_sent_once(
    open_window: Callable[..., Window], address: str, db: Database
) -> None:
    window = open_window()
    page = window.page
    window.sign_in(BEN)
    order.open_order(page, address)
    put = order.right_order(db, page)
    order.put(page, put, order.press_keys)
    window.lose_connection()
    page.get_by_role("button", name="Mark my order").click()
    page.get_by_text("No connection.").wait_for()
    window.find_connection()
    page.wait_for_url("**/marked/*")
    number = page.url.rpartition("/")[2]
    sol = scene.enter(db, SOL)
    attempts = mentor.person(db, sol, BEN.id, now=scene.NOW).attempts
    assert [str(one.attempt_id) for one in attempts if one.at == scene.NOW] == [number]
    assert page.evaluate("Object.keys(localStorage).length") == 0


def test_an_unsent_order_is_there_again_when_the_sheet_is_opened_again(
    open_window: Callable[..., Window], address: str
) -> None:
    window = open_window()
    page = window.page
    window.sign_in(BEN)
    order.open_order(page, address)
    before = order.lines(page)
    ticket = page.input_value("[name=ticket]")
    page.locator(f"{order.row(before[0])} .grip").focus()
    page.keyboard.press("End")
    window.go("/sheet")
    order.open_order(page, address)
    assert order.lines(page) == [*before[1:], before[0]]
    assert page.input_value("[name=ticket]") == ticket


def test_an_order_outlives_a_session_that_is_over(
    open_window: Callable[..., Window], address: str, db: Database
) -> None:
    window = open_window()
    page = window.page
    window.sign_in(BEN)
    order.open_order(page, address)
    order.put(page, order.right_order(db, page), order.press_keys)
    # A new password ends every open session of a person.
    people.set_password(db, scene.enter(db, KIT), BEN.id, "another sentence of his", now=scene.NOW)
    page.get_by_role("button", name="Mark my order").click()
    page.get_by_label("Sign-in name").fill(BEN.sign_in_name)
    page.get_by_label("Password").fill("another sentence of his")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("button", name="Send it now").click()
    page.wait_for_url("**/marked/*")
    assert page.locator(".cells b").last.inner_text() == "0"
    assert page.evaluate("Object.keys(localStorage).length") == 0


def test_unsent_choices_and_figures_are_there_again(open_window: Callable[..., Window], address: str) -> None:
    window = open_window()
    page = window.page
    window.sign_in(BEN)
    choose, figures = "?skill=way-round", "?skill=torque-pass:bonnet_studs"
    page.goto(f"{address}/practise/{scene.VALVE}{choose}")
    page.locator(".picks .pick").nth(1).click()
    page.goto(f"{address}/practise/{scene.VALVE}{figures}")
    page.locator("input[inputmode=decimal]").first.fill("42")
    page.locator(".units .pick").nth(1).click()
    page.goto(f"{address}/practise/{scene.VALVE}{choose}")
    page.locator(".picks .pick").nth(1).locator("input:checked").wait_for(state="attached")
    page.goto(f"{address}/practise/{scene.VALVE}{figures}")
    page.locator(".units .pick").nth(1).locator("input:checked").wait_for(state="attached")
    assert page.locator("input[inputmode=decimal]").first.input_value() == "42"
    window.must_be_quiet()


def test_it_all_works_without_script(open_window: Callable[..., Window], address: str) -> None:
    window = open_window(script=False)
    page = window.page
    window.sign_in(BEN)
    page.goto(f"{address}/practise/{scene.VALVE}?skill=order:rebuild")
    values = [str(tag.get_attribute("value")) for tag in page.locator("[name=line]").all()]
    page.locator(f"{order.row(values[-1])} .arrows button").first.click()
    moved = [str(tag.get_attribute("value")) for tag in page.locator("[name=line]").all()]
    assert moved == [*values[:-2], values[-1], values[-2]]
    page.get_by_role("button", name="Mark my order").click()
    page.wait_for_url("**/marked/*")
    assert page.locator(".order li").count() == len(values)
