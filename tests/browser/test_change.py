"""A change that is to be shown, on the sheets of each role in a real browser."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests.browser.test_every_page import SIDEWAYS, TOO_SMALL, found_by_axe
from tests.people import AMA, KIT, MIRA, SOL
from tests.web import scene
from trainer.actions import publish
from trainer.actions.actor import SYSTEM

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.browser.conftest import Window
    from tests.people import Someone
    from trainer.actions.opening import Database

pytestmark = pytest.mark.browser

REVISED = scene.SMALL_PILOT.replace("DN 80: 95 N·m", "DN 80: 110 N·m")
SHEETS = [
    (AMA, ["/sheet", "/changes", f"/changes/of/{scene.PILOT}"]),
    (MIRA, [f"/people/{AMA.id}", f"/people/{AMA.id}/release/{scene.PILOT}"]),
    (SOL, ["/crew", "/sign-off", f"/people/{AMA.id}/change/{scene.PILOT}"]),
]


def _publish(db: Database) -> None:
    because = "The studs are longer (invented)."
    publish.publish(
        db, SYSTEM, REVISED, file="small-pilot.yaml", now=scene.NOW, must_show=True, because=because
    )


def _must_be_fit(window: Window, path: str) -> None:
    window.must_be_quiet()
    assert window.page.evaluate(SIDEWAYS) <= 0, path
    assert window.page.evaluate(TOO_SMALL) == [], path
    if window.page.viewport_size == {"width": 390, "height": 844}:  # what the rules see does not depend on it
        assert found_by_axe(window.page) == [], path


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize(("who", "paths"), SHEETS, ids=[who.sign_in_name for who, _ in SHEETS])
def test_every_sheet_that_tells_of_a_change_fits_and_can_be_hit(
    open_window: Callable[..., Window], db: Database, who: Someone, paths: list[str], width: int
) -> None:
    _publish(db)
    at = scene.NOW + timedelta(hours=1)
    if who is SOL:
        scene.sat_once(db, scene.enter(db, MIRA), scene.enter(db, AMA), scene.PILOT, at=at, for_change=True)
    window = open_window(width)
    window.sign_in(who)
    for path in paths:
        window.go(path)
        _must_be_fit(window, path)


@pytest.mark.parametrize("width", [390, 1280])
def test_the_keeper_chooses_a_file_and_looks_at_what_it_changes(
    open_window: Callable[..., Window], tmp_path: Path, width: int
) -> None:
    file = tmp_path / "small-pilot.yaml"
    file.write_text(REVISED, encoding="utf-8")
    window = open_window(width)
    window.sign_in(KIT)
    window.go("/publish")
    _must_be_fit(window, "/publish")
    window.page.get_by_label("File of the procedure").set_input_files(file)
    window.page.get_by_role("button", name="Look at it").click()
    window.page.get_by_role("heading", name="Does it have to be shown anew?").wait_for()
    _must_be_fit(window, "/publish, looked at")
    window.page.get_by_label("Why").fill("The studs are longer (invented).")
    window.page.get_by_role("button", name="Publish this revision").click()
    window.page.get_by_text("1 person has to show the change").wait_for()
