"""Putting lines in order in a window: by dragging, by the arrows, by the keyboard."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from tests.web import scene
from trainer.actions.views import DrillAddress

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from trainer.actions.opening import Database


class Mover(Protocol):
    """Moves one line to a place."""

    def __call__(self, page: Page, line: str, to: int) -> None:
        """Move the line to the place, which counts from 0."""


def open_order(page: Page, address: str) -> None:
    """Open the next drill that asks for an order."""
    page.goto(f"{address}/practise/{scene.VALVE}?skill=order:rebuild")
    page.wait_for_selector(".grip[tabindex]")


def drill_in(page: Page) -> DrillAddress:
    """Return which question stands in the window."""
    pieces = page.url.split("/practise/")[1].split("/")
    module_id, revision, kind, size, seed = pieces
    return DrillAddress(module_id, revision, kind, size.replace("%20", " "), int(seed))


def right_order(db: Database, page: Page) -> list[str]:
    """Return an order that works, by the ids of the lines in the window."""
    answer = scene.right_answer(db, drill_in(page))
    assert isinstance(answer, list)
    return answer


def lines(page: Page) -> list[str]:
    """Return the ids of the lines, from the top down."""
    found = page.eval_on_selector_all("[name=line]", "tags => tags.map(tag => tag.value)")
    return [str(line) for line in found]


def put(page: Page, wanted: list[str], move: Mover) -> None:
    """Put the lines in an order, one after the other from the top."""
    for place, line in enumerate(wanted):
        if lines(page)[place] != line:
            move(page, line, place)
            assert lines(page)[place] == line
    assert lines(page) == wanted


def row(line: str) -> str:
    """Return the selector of a line's row."""
    return f"ol.lines li:has([value='{line}'])"


def drag(page: Page, line: str, to: int) -> None:
    """Drag a line by its grip, in small steps as a finger does."""
    grip = page.locator(f"{row(line)} .grip")
    target = page.locator("ol.lines li").nth(to)
    # Both ends of the way have to be on the screen: the target first, then the grip if it is further down.
    target.scroll_into_view_if_needed()
    grip.scroll_into_view_if_needed()
    start, end = grip.bounding_box(), target.bounding_box()
    assert start is not None
    assert end is not None
    x, y = start["x"] + start["width"] / 2, start["y"] + start["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, (y + end["y"]) / 2, steps=5)
    page.mouse.move(x, end["y"] + end["height"] * 0.3, steps=5)
    page.mouse.up()


def press_arrows(page: Page, line: str, to: int) -> None:
    """Move a line up by its button."""
    for _ in range(lines(page).index(line) - to):
        page.locator(f"{row(line)} .arrows button").first.click()


def press_keys(page: Page, line: str, to: int) -> None:
    """Move a line up from its grip."""
    page.locator(f"{row(line)} .grip").focus()
    for _ in range(lines(page).index(line) - to):
        page.keyboard.press("ArrowUp")
