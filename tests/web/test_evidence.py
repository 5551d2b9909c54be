"""The page on which an inspector asks for evidence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.people import AMA, BEN, INES

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor


def test_the_page_says_where_the_log_stands_and_leads_to_the_packet(visit: Callable[..., Visitor]) -> None:
    ines = visit(INES)
    page = ines.get("/evidence")
    assert page.status == 200
    assert "entries" in page.text
    asked = ines.client.get(f"/evidence/packet?about={BEN.id}&first=2027-01-01&last=2027-12-31")
    assert asked.status_code == 303
    assert asked.headers["Location"].endswith(f"/print/inspector_packet/{BEN.id}%202027-01-01%202027-12-31")


def test_what_is_missing_is_said_and_what_was_typed_stays(visit: Callable[..., Visitor]) -> None:
    page = visit(INES).get("/evidence/packet?about=&first=2027-02-01&last=2027-12-31")
    assert page.status == 422
    assert "Say whose evidence is wanted" in page.text
    assert page.one("#f-first")["value"] == "2027-02-01"


def test_it_is_not_for_everybody(visit: Callable[..., Visitor]) -> None:
    assert visit(AMA).get("/evidence").status == 403
