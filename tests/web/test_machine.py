"""The machine to look at: without script by plain addresses, with it piece by piece."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest

from tests.people import AMA, BEN
from tests.web import scene
from trainer.procedure import library
from trainer.web.modules import machine
from trainer.web.modules.part_told import part_told

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

VALVE = library.load("piston-valve-overhaul")
AT = f"/modules/{VALVE.id}/machine"


def test_the_sheet_of_a_machine_is_sound_and_lists_every_item(visit: Visit, db: Database) -> None:
    scene.with_shapes(db)
    sheet = visit(AMA).get(AT)
    assert sheet.status == 200
    sheet.must_be_sound()
    assert len(sheet.soup.select(".items a")) == len(VALVE.item_numbers())
    ids = [str(tag["id"]) for tag in sheet.soup.select("[id]")]
    assert len(ids) == len(set(ids))
    for width in ("phone", "desk"):
        walked = [
            str(tag["data-control"]) for tag in sheet.soup.select(f".section .on-{width} [data-control]")
        ]
        numbers = VALVE.item_numbers()
        assert walked == sorted(walked, key=numbers.__getitem__)


def test_without_script_links_lead_from_step_to_step_and_to_each_item(visit: Visit, db: Database) -> None:
    scene.with_shapes(db)
    visitor = visit(AMA)
    steps = list(VALVE.steps.values())
    sheet = visitor.get(AT)
    assert sheet.one("#moment .do").get_text() == steps[0].do
    assert not sheet.one("[data-way=back]").has_attr("href")
    for done in (1, 2):
        sheet = visitor.get(str(sheet.one("[data-way=on]")["href"]).partition("#")[0])
        assert sheet.one("#moment .do").get_text() == steps[done].do
    sheet = visitor.get(str(sheet.soup.select(".items a")[2]["href"]).partition("#")[0])
    assert sheet.words("#part h2").endswith(VALVE.name("cover"))
    assert sheet.one("#moment .do").get_text() == steps[2].do
    sheet = visitor.get(f"{AT}?after={steps[-1].id}")
    assert "All 70 steps are done" in sheet.words("#moment")
    assert not sheet.one("[data-way=on]").has_attr("href")


def test_what_cannot_be_shown_is_told_in_one_sentence(visit: Visit, db: Database) -> None:
    revision = scene.with_shapes(db)
    visitor = visit(AMA)
    assert visitor.get(f"{AT}?after=nowhere").status == 422
    assert "no size 'DN 65'" in visitor.get(f"{AT}?size=DN 65").words()
    assert visitor.get(f"{AT}?part=nothing").status == 404
    assert (
        "says nothing of what its parts look like" in visitor.get(f"/modules/{scene.VALVE}/machine").words()
    )
    assert visitor.get(f"/modules/{VALVE.id}/{revision}/state/DN 80/71/phone").status == 404
    assert visitor.get(f"/modules/{scene.VALVE}/{revision}/state/DN 80/1/phone").status == 404


def test_a_step_is_fetched_by_itself_and_asked_for_again_by_its_tag(visit: Visit, db: Database) -> None:
    revision = scene.with_shapes(db)
    client = visit(AMA).client
    at = f"/modules/{VALVE.id}/{revision}/state/DN 80/12/phone"
    first = client.get(at)
    text = first.get_data(as_text=True)
    assert list(VALVE.steps.values())[12].do in text
    svg = ET.fromstring(text[text.index("<svg xmlns") :])  # noqa: S314  # our own
    assert any("next" in e.get("class", "").split() for e in svg.iter())
    again = client.get(at, headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304
    assert len(client.get(at, headers={"Accept-Encoding": "gzip"}).data) < 12_000


def test_the_procedure_leads_to_its_machine_when_it_has_one(visit: Visit, db: Database) -> None:
    scene.with_shapes(db)
    visitor = visit(BEN)
    assert visitor.get(f"/modules/{VALVE.id}").soup.select(f'a[href="{AT}"]')
    assert not visitor.get(f"/modules/{scene.VALVE}").soup.select('a[href$="/machine"]')


@pytest.mark.parametrize("thing", sorted(VALVE.item_numbers()))
def test_of_every_item_something_is_told(thing: str) -> None:
    told = part_told(VALVE, thing, "DN 80", "N·m")
    assert told.number == VALVE.item_numbers()[thing]
    assert dict(told.rows)["Renew"]
    assert told.sentence.startswith(f"Item {told.number}, {told.name}. ")
    steps = list(VALVE.steps.values())
    for number, do, after in told.steps:
        assert (steps[number - 1].do, after) == (do, steps[number - 2].id if number > 1 else "")
        assert thing in (*steps[number - 1].targets, *steps[number - 1].along)


def test_a_nut_is_told_by_its_torque_and_a_ring_by_its_way_round() -> None:
    nut = dict(part_told(VALVE, "castle_nut", "DN 50", "N·m").rows)
    assert nut["Torque"].replace("\u202f", " ") == "30 to 38 N·m (22.1 to 28 lbf·ft)"
    assert nut["How"] == "then on to the next slot"
    ring = dict(part_told(VALVE, "backup_upper", "DN 50", "N·m").rows)
    assert (ring["Material"], ring["Way round"]) == ("PTFE", "sloping face down")
    assert ring["Renew"] == "on condition; from the kit: Backup ring, PTFE"
    cover = part_told(VALVE, "cover", "DN 80", "N·m")
    assert dict(cover.rows)["Mass"].replace("\u202f", " ") == "7 kg"
    ranks = [caution.signal.rank for caution in cover.cautions]
    assert ranks == sorted(ranks)
    assert cover.cautions


def test_small_items_are_shown_close_up_and_large_ones_are_not() -> None:
    small = machine.close_up_of(VALVE, "DN 80", "stud_oring")
    assert 'class="drawing detail"' in small
    assert machine.close_up_of(VALVE, "DN 80", "body") == ""


@pytest.mark.parametrize(
    ("size", "order"), [("DN 80", "1, 5, 3, 7, 2, 6, 4, 8"), ("DN 100", "1, 7, 4, 10, 2, 8")]
)
def test_a_set_of_bolts_is_shown_on_its_circle_with_its_order(size: str, order: str) -> None:
    """The printed cross patterns of eight and twelve: ASME PCC-1 Legacy, as transcribed in public."""
    drawn = ET.fromstring(str(machine.close_up_of(VALVE, size, "nuts")))  # noqa: S314  # our own
    told = next(e.text for e in drawn.iter() if e.tag.endswith("desc"))
    assert told is not None
    assert f"Order: {order}" in told
