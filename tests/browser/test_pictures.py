"""Pictures in a real browser: thumbnails that come after the page, and the sheet of the machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.test_every_page import SIDEWAYS, TOO_SMALL, must_fit
from tests.people import AMA
from tests.web import scene
from trainer import drills
from trainer.drills.answer_forms import Point
from trainer.procedure import library

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.browser.conftest import Window
    from trainer.actions.opening import Database

pytestmark = pytest.mark.browser

MACHINE = "piston-valve-overhaul"
STATION = "station-run-service"


def test_thumbnails_come_after_the_lines_can_be_moved(
    open_window: Callable[..., Window], db: Database
) -> None:
    revision = scene.with_shapes(db)
    window = open_window(390)
    window.sign_in(AMA)
    page = window.page
    page.route("**/pictures", lambda route: route.abort())
    window.go(f"/practise/{MACHINE}/{revision}/order/DN 80/3")
    page.locator(".grip[tabindex]").first.focus()
    page.keyboard.press("End")
    expect(page.locator("#said")).to_contain_text("now ")
    assert page.locator(".thumb svg").count() == 0
    page.unroute("**/pictures")
    window.complaints.clear()
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
    expect(window.page.locator(".do").nth(1)).to_have_text(first)


def _machine(open_window: Callable[..., Window], db: Database, width: int, *, script: bool = True) -> Window:
    scene.with_shapes(db)
    window = open_window(width, script=script)
    window.sign_in(AMA)
    window.go(f"/modules/{MACHINE}/machine?size=DN 80")
    return window


@pytest.mark.parametrize("width", [360, 1280])
def test_the_slider_and_the_arrow_keys_go_from_step_to_step(
    open_window: Callable[..., Window], db: Database, width: int
) -> None:
    window = _machine(open_window, db, width)
    page = window.page
    steps = list(library.load(MACHINE).steps.values())
    slider = page.locator("#at")
    slider.focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    expect(page.locator("#moment .do")).to_have_text(steps[3].do)
    assert slider.get_attribute("aria-valuetext") == f"3 of {len(steps)} steps done"
    picture = page.locator(".moment-picture svg").filter(visible=True)
    expect(picture.locator("title")).to_contain_text(steps[3].do[1:])
    page.keyboard.press("ArrowLeft")
    expect(page.locator("#moment .do")).to_have_text(steps[2].do)
    page.get_by_role("link", name="On", exact=True).click()
    expect(page.locator("#moment .do")).to_have_text(steps[3].do)
    assert page.url.endswith(f"after={steps[2].id}")
    page.keyboard.press("Tab")
    slider.focus()
    page.keyboard.press("End")
    expect(page.locator("#moment .do")).to_have_text(f"All {len(steps)} steps are done.")
    page.reload()
    expect(page.locator("#moment .do")).to_have_text(f"All {len(steps)} steps are done.")
    for turned in (width, 390) if width == 360 else (width,):
        page.set_viewport_size({"width": turned, "height": 844})
        must_fit(page, page.url)
    window.must_be_quiet()


def test_balloons_are_one_tab_stop_walked_in_item_order_and_told_aloud(
    open_window: Callable[..., Window], db: Database
) -> None:
    window = _machine(open_window, db, 1280)
    page = window.page
    controls = page.locator(".section .on-desk [data-control]")
    assert page.locator(".section .on-desk [tabindex='0']").count() == 1
    controls.first.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.dataset.control") == "cover"
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_have_text("Item 3, Cover. Material: cast steel; renew: no; quantity: 1.")
    expect(page.locator("#part h2")).to_contain_text("Cover")
    page.keyboard.press("Home")
    page.keyboard.press("ArrowLeft")
    assert page.evaluate("document.activeElement.dataset.control") == "tube_nut"
    page.keyboard.press(" ")
    expect(page.locator("#part h2")).to_contain_text("Tube nut")
    assert page.locator(".chosen").first.get_attribute("data-control") == "tube_nut"
    window.must_be_quiet()


def test_an_item_is_learnt_by_a_tap_and_its_step_opened(
    open_window: Callable[..., Window], db: Database
) -> None:
    window = _machine(open_window, db, 390)
    page = window.page
    page.locator(".section .on-phone [data-control=soft_disc]").tap()
    expect(page.locator("#part h2")).to_contain_text("Soft disc")
    expect(page.locator("#part .close-up svg")).to_be_visible()
    page.locator(".items a[data-part=cover]").tap()
    expect(page.locator("#part h2")).to_contain_text("Cover")
    expect(page.locator("#part")).to_be_in_viewport()
    number = page.locator(".steps-of a").first
    wanted = number.get_attribute("title")
    number.tap()
    expect(page.locator("#moment .do")).to_have_text(wanted or "")
    page.locator("#exploded").scroll_into_view_if_needed()
    expect(page.locator("#exploded svg")).to_be_visible()
    window.must_be_quiet()


def test_a_step_that_cannot_be_fetched_is_said_and_comes_when_it_is_asked_for_again(
    open_window: Callable[..., Window], db: Database
) -> None:
    window = _machine(open_window, db, 390)
    page = window.page
    first = page.locator("#moment .do").inner_text()
    window.lose_connection()
    page.get_by_role("link", name="On", exact=True).click()
    expect(page.locator("#lost")).to_contain_text("could not be fetched")
    assert page.locator("#moment .do").inner_text() == first
    window.find_connection()
    page.get_by_role("link", name="On", exact=True).click()
    expect(page.locator("#lost")).to_be_hidden()
    assert page.locator("#moment .do").inner_text() != first


def test_without_script_the_machine_is_walked_by_links(
    open_window: Callable[..., Window], db: Database
) -> None:
    window = _machine(open_window, db, 390, script=False)
    page = window.page
    steps = list(library.load(MACHINE).steps.values())
    page.get_by_role("link", name="On", exact=True).click()
    expect(page.locator("#moment .do")).to_have_text(steps[1].do)
    assert page.locator("#at").is_hidden()
    page.locator(".items a").nth(2).click()
    expect(page.locator("#part h2")).to_contain_text("Cover")
    page.get_by_role("link", name="Show all sub-assemblies").click()
    expect(page.locator("#exploded svg").filter(visible=True)).to_have_count(1)


@pytest.mark.parametrize("width", [360, 390, 1280])
def test_the_station_fits_can_be_walked_and_lined_up(
    open_window: Callable[..., Window], db: Database, width: int
) -> None:
    revision = scene.with_station(db)
    window = open_window(width, script=width != 390)
    window.sign_in(AMA)
    page = window.page
    module = library.load(STATION)
    key = drills.key(module, "line-up", "DN 100", 1)
    window.go(f"/modules/{STATION}/station?after=trip_ss")
    page.get_by_role("link", name="On", exact=True).click()
    expect(page.locator("figcaption")).to_contain_text(module.steps["vent_mid"].do)
    sheets = [
        f"/modules/{STATION}/station",
        f"/practise/{STATION}/{revision}/line-up/DN 100/1",
        f"/modules/{STATION}",
    ]
    for path in sheets:
        window.go(path)
        if width != 390:  # there it works without script
            window.must_be_quiet()
        assert page.evaluate(SIDEWAYS) <= 0, path
        assert page.evaluate(TOO_SMALL) == [], path
    window.go(sheets[1])
    for pick in list(key):
        expect(page.locator(".seen svg").filter(visible=True)).to_have_count(1)
        page.locator(f"button[name=pick][value={pick}]").click()
    expect(page.locator(".verdict")).to_contain_text("Right")
    expect(page.locator(".beside svg").filter(visible=True)).to_have_count(1)
    assert page.evaluate(SIDEWAYS) <= 0


def _pointing(window: Window, db: Database) -> tuple[str, dict[str, str]]:
    """Open a question that asks to point; return its path and the number of each name, by the key."""
    revision = scene.with_shapes(db)
    module = library.load(MACHINE)
    window.sign_in(AMA)
    for seed in range(40):
        form, key = (
            drills.ask(module, "name-it", "DN 80", seed).form,
            drills.key(module, "name-it", "DN 80", seed),
        )
        if isinstance(form, Point) and isinstance(key, dict):
            path = f"/practise/{MACHINE}/{revision}/name-it/DN 80/{seed}"
            window.go(path)
            return path, {row.text: str(key[row.id]) for row in form.rows}
    raise AssertionError("no question asks to point")


@pytest.mark.parametrize("width", [360, 1280])
def test_a_tap_on_the_drawing_answers_what_is_asked_for(
    open_window: Callable[..., Window], db: Database, width: int
) -> None:
    window = open_window(width)
    path, numbers = _pointing(window, db)
    page = window.page
    assert page.evaluate(SIDEWAYS) <= 0
    assert page.evaluate(TOO_SMALL) == []
    drawing = page.locator(".points svg").filter(visible=True)
    for name, number in numbers.items():
        expect(page.locator("#point-at")).to_contain_text(f"Point at: {name}")
        drawing.locator(f"[data-control='{number}']").click()
    expect(page.locator("#point-at")).to_contain_text("All are placed.")
    last = list(numbers.values())[-1]
    taken = drawing.locator(f"[data-control='{last}']")
    taken.click()
    expect(page.locator("#point-at")).to_have_text(f"Point at: {list(numbers)[-1]}")
    taken.click()
    window.go(path)
    expect(page.locator("#point-at")).to_contain_text("All are placed.")
    page.get_by_role("button", name="Mark my places").click()
    page.wait_for_url("**/marked/*")
    expect(page.locator("h1")).to_contain_text("Right")
    expect(page.locator(".beside svg").filter(visible=True)).to_be_visible()
    window.must_be_quiet()


def test_pointing_goes_by_the_keyboard_alone_and_says_what_stands_at_a_number(
    open_window: Callable[..., Window], db: Database
) -> None:
    window = open_window(1280)
    _, numbers = _pointing(window, db)
    page = window.page
    controls = page.locator(".points .on-desk [data-control]")
    assert page.locator(".points .on-desk [tabindex='0']").count() == 1
    controls.first.focus()
    name, number = next(iter(numbers.items()))
    for _ in range(int(number) - 1):
        page.keyboard.press("ArrowRight")
    label = page.evaluate("document.activeElement.getAttribute('aria-label')")
    assert label.startswith(f"Number {number}: ")
    assert name.casefold() not in label.casefold()
    page.keyboard.press("Enter")
    expect(page.locator("#point-at")).to_contain_text(f"{name}: {number}. Point at: ")
    assert page.locator(f".point-row input[value='{number}']:checked").count() == 1
    window.must_be_quiet()


def test_pointing_works_without_script(open_window: Callable[..., Window], db: Database) -> None:
    window = open_window(390, script=False)
    _, numbers = _pointing(window, db)
    page = window.page
    assert page.locator("#point-at").is_hidden()
    for name, number in numbers.items():
        row = page.locator(".point-row").filter(has=page.locator("legend", has_text=name))
        row.locator(f"input[value='{number}']").check()
    page.get_by_role("button", name="Mark my places").click()
    expect(page.locator("h1")).to_contain_text("Right")
