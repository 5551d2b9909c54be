"""The station to look at: step by step, by plain links, drawn and in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.people import AMA, BEN
from tests.web import scene
from trainer.procedure import library

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

STATION = library.load("station-run-service")
AT = f"/modules/{STATION.id}/station"


def test_links_lead_from_step_to_step_and_the_words_follow(visit: Visit, db: Database) -> None:
    scene.with_station(db)
    visitor = visit(AMA)
    steps = list(STATION.steps.values())
    sheet = visitor.get(AT)
    assert sheet.status == 200
    sheet.must_be_sound()
    assert sheet.one("#moment .do").get_text() == steps[0].do
    assert not sheet.one("[data-way=back]").has_attr("href")
    assert "Open: HV-101" in sheet.words("#told")
    for done in (1, 2, 3):
        sheet = visitor.get(str(sheet.one("[data-way=on]")["href"]).partition("#")[0])
        assert sheet.one("#moment .do").get_text() == steps[done].do
    sheet = visitor.get(f"{AT}?after=vent_in")
    assert "Locked: HV-101, FV-107, HV-106." in sheet.words("#told")
    assert steps[list(STATION.steps).index("vent_in")].do in sheet.words("#now figcaption")
    assert len(sheet.soup.select("#now svg")) == 2
    sheet = visitor.get(f"{AT}?after={steps[-1].id}")
    assert not sheet.one("[data-way=on]").has_attr("href")
    ids = [str(tag["id"]) for tag in sheet.soup.select("[id]")]
    assert len(ids) == len(set(ids))


def test_the_procedure_leads_to_its_station_and_no_other_does(visit: Visit, db: Database) -> None:
    scene.with_station(db)
    scene.with_shapes(db)
    visitor = visit(BEN)
    assert visitor.get(f"/modules/{STATION.id}").soup.select(f'a[href="{AT}"]')
    assert not visitor.get(f"/modules/{STATION.id}").soup.select('a[href$="/machine"]')
    assert not visitor.get("/modules/piston-valve-overhaul").soup.select('a[href$="/station"]')


def test_what_cannot_be_shown_is_told(visit: Visit, db: Database) -> None:
    scene.with_station(db)
    visitor = visit(AMA)
    assert "says nothing of its pipes and valves" in visitor.get(f"/modules/{scene.VALVE}/station").words()
    assert "dance" in visitor.get(f"{AT}?after=dance").words()


def test_the_picture_of_a_line_up_is_as_wide_as_the_sheet_and_that_beside_the_mark_is_drawn_once(
    visit: Visit, db: Database
) -> None:
    scene.with_station(db)
    visitor = visit(AMA)
    sheet = visitor.get(f"/practise/{STATION.id}?skill=line-up:fill")
    sheet.must_be_sound()
    widths = [svg["width"] for svg in sheet.soup.select(".seen svg")]
    assert widths == ["316", "1060"]
