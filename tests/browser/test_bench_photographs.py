"""A mentor photographs at the bench: with and without a connection, a file that is none, a job signed meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests import pictures
from tests.browser.test_bench import SHEET, press, until, worker_has_the_sheet
from tests.people import MIRA
from tests.web import scene
from trainer.actions import bench, observe, photographs

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import FilePayload, Page

    from tests.browser.conftest import Window
    from trainer.actions.observation_views import PhotographShown
    from trainer.actions.opening import Database

pytestmark = pytest.mark.browser

KEPT = ".photographs a img"
WAITS = ".photographs canvas"


def file(data: bytes, name: str = "IMG_0001.JPG", media_type: str = "image/jpeg") -> FilePayload:
    return {"name": name, "mimeType": media_type, "buffer": data}


def take(page: Page, step: str, data: bytes) -> None:
    fold = page.locator(f"#step-{step} .pictured")
    if fold.get_attribute("open") is None:
        fold.locator("summary").click()
    page.locator(f"#photograph-{step}").set_input_files(file(data))


def kept(db: Database) -> list[PhotographShown]:
    return list(bench.observation(db, scene.enter(db, MIRA), 1).photographs)


def on_the_device(page: Page) -> int:
    found: int = page.evaluate(
        """new Promise((resolve) => {
          const asked = indexedDB.open('bench-photographs', 1);
          asked.onsuccess = () => {
            const all = asked.result.transaction('photographs').objectStore('photographs').getAll();
            all.onsuccess = () => { asked.result.close(); resolve(all.result.length); };
          };
        })"""
    )
    return found


@pytest.fixture
def window(open_window: Callable[..., Window]) -> Window:
    opened = open_window(768)
    opened.sign_in(MIRA)
    opened.go(SHEET)
    until(opened.page, "All marks are kept.")
    return opened


def test_a_photograph_is_sent_at_once_and_stands_upright_beside_its_step(
    window: Window, db: Database
) -> None:
    page = window.page
    take(page, "vent", pictures.from_camera(orientation=6))
    page.locator(f"#step-vent {KEPT}").wait_for()
    (one,) = kept(db)
    assert (one.step, one.width, one.height) == ("vent", 300, 400)
    assert (
        page.locator(f"#step-vent {KEPT}").evaluate("(img) => img.decode().then(() => img.naturalWidth)")
        == 300
    )
    assert "Vent the body" in str(page.locator(f"#step-vent {KEPT}").get_attribute("alt"))
    assert on_the_device(page) == 0
    # Choosing a file is no mark and no note.
    assert page.locator("#kept").inner_text() == "All marks are kept."
    assert not [item for item in bench.observation(db, scene.enter(db, MIRA), 1).seen if item.note]
    window.must_be_quiet()


def test_one_taken_without_a_connection_is_sent_once_when_it_is_back(window: Window, db: Database) -> None:
    page = window.page
    worker_has_the_sheet(page)
    window.lose_connection()
    take(page, "cap", pictures.from_camera())
    until(page, "No connection. 1 photograph waits on this device")
    page.locator(f"#step-cap {WAITS}").wait_for()
    page.reload()
    # The sheet opens again without a connection, and the photograph is still there.
    page.locator(f"#step-cap {WAITS}").wait_for()
    assert on_the_device(page) == 1
    assert kept(db) == []
    sent: list[str] = []
    page.on(
        "request",
        lambda request: sent.append(request.url) if request.url.endswith("/photographs") else None,
    )
    window.find_connection()
    page.locator(f"#step-cap {KEPT}").wait_for()
    assert [one.step for one in kept(db)] == ["cap"]
    assert len(sent) == 1
    page.locator("#photographs-wait").wait_for(state="hidden")
    assert on_the_device(page) == 0
    page.reload()
    until(page, "All marks are kept.")
    assert page.locator(f"#step-cap {KEPT}").count() == 1


def test_what_is_no_photograph_is_told_and_goes_by_hand(window: Window, db: Database) -> None:
    page = window.page
    take(page, "vent", b"a text that calls itself a picture")
    until(page, "This file is no photograph that can be read: JPEG, PNG and WebP are.")
    page.locator("#step-vent").get_by_role("button", name="Throw it away").click()
    assert page.locator("#step-vent .photographs li").count() == 0
    page.locator("#photographs-wait").wait_for(state="hidden")
    assert on_the_device(page) == 0
    assert kept(db) == []


def test_too_many_bytes_and_too_many_of_a_step_are_told_before_they_are_sent(
    window: Window, db: Database
) -> None:
    page = window.page
    take(page, "vent", bytes(photographs.MOST_BYTES + 1))
    until(page, "A photograph holds 12 MB at most; this file has more.")
    for count in (1, 2, 3):
        take(page, "vent", pictures.from_camera(100 + count, 100))
        page.locator(f"#step-vent {KEPT}").nth(count - 1).wait_for()
    take(page, "vent", pictures.from_camera(200, 100))
    until(page, "A step takes 3 photographs at most; this one has them.")
    assert len(kept(db)) == 3


def test_a_job_signed_meanwhile_is_told_and_the_photograph_stays_to_be_seen(
    window: Window, db: Database
) -> None:
    page = window.page
    window.lose_connection()
    take(page, "relax", pictures.from_camera())
    until(page, "No connection. 1 photograph waits")
    mira = scene.enter(db, MIRA)
    observe.close(db, mira, 1, order=(), result="From the desk.", password=MIRA.password, now=scene.NOW)
    window.find_connection()
    until(page, "This observation was signed on 2027-03-22 at 14:32 UTC")
    assert on_the_device(page) == 1
    page.get_by_role("link", name="Open the signed sheet").click()
    until(page, "1 photograph on this device came too late")
    assert page.locator("#left-photographs canvas").count() == 1
    page.get_by_role("button", name="Throw these photographs away").click()
    page.locator("#left-photographs").wait_for(state="hidden")
    assert on_the_device(page) == 0


def test_the_way_to_the_signature_waits_for_the_photograph(window: Window, db: Database) -> None:
    page = window.page
    window.lose_connection()
    take(page, "cap", pictures.from_camera())
    until(page, "No connection. 1 photograph waits")
    window.find_connection()
    page.get_by_role("link", name="To the signature").click()
    page.wait_for_url("**/close")
    until(page, "Photographs that you sign for")
    assert [one.step for one in kept(db)] == ["cap"]


def test_it_is_kept_without_script(open_window: Callable[..., Window], db: Database) -> None:
    window = open_window(390, script=False)
    page = window.page
    window.sign_in(MIRA)
    window.go(SHEET)
    page.locator("#step-vent .pictured summary").click()
    page.locator("#photograph-vent").set_input_files(file(pictures.from_camera()))
    press(page, "relax", "Unaided")
    page.wait_for_url("**/bench/1#step-relax")
    assert page.locator(f"#step-vent {KEPT}").count() == 1
    page.locator("#photograph-vent").set_input_files(file(pictures.from_camera(90, 60)))
    page.locator("#step-vent").get_by_role("button", name="Keep the photograph").click()
    page.locator(f"#step-vent {KEPT}").nth(1).wait_for()
    assert [one.width for one in kept(db)] == [400, 90]
