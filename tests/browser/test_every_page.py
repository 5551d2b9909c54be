"""Every page in a real browser: nothing to complain about, no sideways scrolling, targets that a glove hits."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests import people
from tests.people import AMA, BEN, INES, KIT, MIRA, SOL
from tests.web import scene

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from tests.browser.conftest import Window
    from tests.people import Someone

pytestmark = pytest.mark.browser

CREW_SHEET = "/crew/" + people.CREW
SHEETS: list[tuple[Someone, list[str]]] = [
    (
        AMA,
        [
            "/sheet",
            "/record",
            "/account",
            "/modules",
            "/modules/" + scene.VALVE,
            "/drawing-language",
            "/marked/1",
            "/records/QR-2027-0001",
            "/sitting/1",
            "/sitting/1/1",
            "/nowhere",
            f"/practise/{scene.VALVE}?skill=order:rebuild",
            f"/practise/{scene.VALVE}/in-turn",
            f"/practise/{scene.VALVE}?plan=order:rebuild~what-now&at=1",
            f"/practise/{scene.VALVE}?skill=way-round",
            f"/practise/{scene.VALVE}?skill=torque-pass:bonnet_studs",
        ],
    ),
    (
        MIRA,
        [
            "/bench",
            "/bench/1",
            "/bench/1/close",
            "/bench/2",
            f"/people/{BEN.id}/observe/{scene.VALVE}",
            f"/people/{BEN.id}/card/{scene.VALVE}",
        ],
    ),
    (
        MIRA,
        [
            "/people",
            "/people/" + BEN.id,
            f"/people/{BEN.id}/evaluate/{scene.VALVE}",
            f"/people/{BEN.id}/release/{scene.VALVE}",
        ],
    ),
    (SOL, ["/crew", CREW_SHEET, "/sign-off", f"/sign-off/{AMA.id}/T-31", "/people/" + AMA.id]),
    (INES, ["/people/" + AMA.id, CREW_SHEET, "/policy", "/policy/pace"]),
    (
        SOL,
        [
            f"/modules/{scene.VALVE}/answers",
            f"/modules/{scene.VALVE}/answers/way-round",
            f"/modules/{scene.VALVE}/panel",
        ],
    ),
    (
        SOL,
        [
            f"/forecast/{people.CREW}?weeks=52",
            f"/cover/{people.CREW}?away={AMA.id}&away={BEN.id}",
            f"/plan/{people.CREW}?ask_task=T-31&weeks=13&cover=1&refresher_weeks=2&new_weeks=8",
        ],
    ),
    (KIT, ["/agreement", "/register", "/register/" + BEN.id, "/policy"]),
    (KIT, ["/tasks", "/tasks/T-31", "/tasks/T-31/change", "/tasks/changes/5"]),
]
# Targets that stand in a line of text may be as small as the text (WCAG 2.2, 2.5.8, exception "Inline").
TOO_SMALL = """() => {
  const shown = (tag) => tag.checkVisibility({ visibilityProperty: true }) && !tag.closest('.unseen, .skip');
  const inline = (tag) => tag.tagName === 'A' && getComputedStyle(tag).display === 'inline';
  const box = (tag) => (['radio', 'checkbox'].includes(tag.type) ? tag.labels[0] : tag).getBoundingClientRect();
  return [...document.querySelectorAll('a, button, input, select, textarea, summary, [role=button]')]
    .filter((tag) => tag.type !== 'hidden' && shown(tag) && !inline(tag))
    .filter((tag) => { const { width, height } = box(tag);
      const least = tag.matches('.main-button, .button, .arrows button, .four button, summary') ? 44 : 24;
      // A drawing lies on fractions of a pixel: 24 px are measured as 23.9998.
      return width < 23.9 || height < least - 0.1; })
    .map((tag) => tag.outerHTML.slice(0, 120));
}"""
LETTERING = """document.fonts.ready.then(() => document.fonts.check('16px "Barlow Semi Condensed"'))"""
# axe-core's rules for WCAG 2.2 A and AA; the size of targets is off unless its tag is asked for.
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def found_by_axe(page: Page) -> list[tuple[str, list[str]]]:
    """Return each rule that a page breaks, with the tags that break it."""
    # Of what is in order one tag a rule is enough: the list of all of them takes longer to hand over than to find.
    options = {
        "runOnly": {"type": "tag", "values": RULES},
        "resultTypes": ["violations"],
        "selectors": False,
    }
    response = Axe().run(page, options=options).response
    assert response["passes"], "axe looked at nothing"
    return [(rule["id"], [node["html"] for node in rule["nodes"]]) for rule in response["violations"]]


def must_fit(page: Page, path: str) -> None:
    assert page.evaluate(SIDEWAYS) <= 0, path
    assert page.evaluate(TOO_SMALL) == [], path


# A telephone is turned from one width to the other on the sheet itself; a desk has no touch, and is a window of its own.
@pytest.mark.parametrize("widths", [(360, 390), (1280,)], ids=["telephone", "desk"])
@pytest.mark.parametrize(
    ("who", "paths"), SHEETS, ids=[f"{who.sign_in_name}-{number}" for number, (who, _) in enumerate(SHEETS)]
)
def test_a_sheet_is_quiet_fits_and_can_be_hit(
    open_window: Callable[..., Window], who: Someone, paths: list[str], widths: tuple[int, ...]
) -> None:
    window = open_window(widths[0])
    window.sign_in(who)
    window.must_be_quiet()
    for path in paths:
        window.page.set_viewport_size({"width": widths[0], "height": 844})
        window.go(path)
        must_fit(window.page, path)
        for width in widths[1:]:
            window.page.set_viewport_size({"width": width, "height": 844})
            must_fit(window.page, path)
        if path != "/nowhere":
            window.must_be_quiet()
        assert window.page.evaluate(LETTERING), path
        if 390 in widths:  # what the rules see does not depend on the width
            assert found_by_axe(window.page) == [], path
        window.complaints.clear()


def test_what_axe_is_asked_for_it_finds(open_window: Callable[..., Window]) -> None:
    """The control: a picture without words and a pale letter are told."""
    window = open_window()
    window.sign_in(AMA)
    window.page.evaluate(
        """() => document.querySelector('main').insertAdjacentHTML('beforeend',
             '<img src="data:image/gif;base64,R0lGODlhAQABAAAAACw="><p class="pale">pale</p>')"""
    )
    window.page.evaluate("() => { document.querySelector('.pale').style.color = '#eee'; }")
    assert {rule for rule, _ in found_by_axe(window.page)} >= {"image-alt", "color-contrast"}


def hold_at(page: Page, zoom: float) -> None:
    """Zoom as a browser does: fewer CSS pixels in the same window."""
    page.set_viewport_size({"width": round(1280 / zoom), "height": round(844 / zoom)})


@pytest.mark.parametrize("zoom", [2, 4])
def test_a_sheet_reflows_when_it_is_enlarged(open_window: Callable[..., Window], zoom: float) -> None:
    """320 CSS pixels wide is what 400 % of 1280 leaves (WCAG 2.2, 1.4.10)."""
    window = open_window(1280)
    window.sign_in(AMA)
    hold_at(window.page, zoom)
    for path in ("/sheet", "/marked/1", f"/practise/{scene.VALVE}?skill=order:rebuild"):
        window.go(path)
        assert window.page.evaluate(SIDEWAYS) <= 0, path


def test_the_dark_sheet_is_dark(open_window: Callable[..., Window]) -> None:
    window = open_window()
    window.page.emulate_media(color_scheme="dark")
    window.sign_in(AMA)
    assert window.page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(14, 27, 42)"
