"""In a large company a list shows one crew, lets another be chosen, and finds somebody by name; by links and forms alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.people import CLEO, CREW, KIT, OTHER_CREW, SOL
from trainer.actions import chosen_people

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.people import Someone
    from tests.web.visitor import Visitor

    Visit = Callable[..., Visitor]

LISTS = [(SOL, "/people"), (KIT, "/register")]


@pytest.fixture(autouse=True)
def crowded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(chosen_people, "AT_ONCE", 3)


@pytest.mark.parametrize(("who", "path"), LISTS)
def test_another_crew_is_chosen_by_a_form(visit: Visit, who: Someone, path: str) -> None:
    visitor = visit(who)
    assert CLEO.display_name not in visitor.get(path).words("table")
    sheet = visitor.get(f"{path}?crew={OTHER_CREW.replace(' ', '+')}")
    assert OTHER_CREW in sheet.heading
    assert CLEO.display_name in sheet.words("table")
    chosen = [one for one in sheet.soup.select("#c-crew option") if one.has_attr("selected")]
    assert [one["value"] for one in chosen] == [OTHER_CREW]
    assert CREW in {one["value"] for one in sheet.soup.select("#c-crew option")}


@pytest.mark.parametrize(("who", "path"), LISTS)
def test_a_name_leads_to_its_entry_and_what_was_typed_stays(visit: Visit, who: Someone, path: str) -> None:
    sheet = visit(who).get(f"{path}?name=marl")
    (link,) = sheet.soup.select("section[aria-labelledby=named] a")
    assert link["href"] == f"{path}/{CLEO.id}"
    assert sheet.one("#c-name")["value"] == "marl"
    ids = [one["id"] for one in sheet.soup.select("[id]")]
    assert len(ids) == len(set(ids))
    assert "Nobody has it" in visit(who).get(f"{path}?name=%25").words()
