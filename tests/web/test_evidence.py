"""The page on which an inspector asks for evidence."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256
from typing import TYPE_CHECKING

from tests.people import AMA, BEN, INES
from tests.web import scene
from trainer.actions import journal, ledger, record_papers
from trainer.actions.actor import SYSTEM
from trainer.records import key_file, signed_note
from trainer.records.paper_code import CardCode

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database


def test_the_page_says_where_the_log_stands_and_leads_to_the_packet(visit: Callable[..., Visitor]) -> None:
    ines = visit(INES)
    page = ines.get("/evidence")
    assert page.status == 200
    assert "entries" in page.text
    asked = ines.client.get(f"/evidence/packet?about={BEN.id}&first=2027-01-01&last=2027-12-31")
    assert asked.status_code == 303
    assert asked.headers["Location"].endswith(f"/print/inspector_packet/{BEN.id}%202027-01-01%202027-12-31")


def test_the_page_says_how_much_of_the_log_is_under_the_checkpoint(
    visit: Callable[..., Visitor], db: Database, tmp_path: Path
) -> None:
    db.keys = tmp_path / "keys"
    key_file.make(db.keys, "shop/log")
    size = signed_note.checkpoint_in(signed_note.text_of(ledger.checkpoint(db, SYSTEM, now=scene.NOW))).size
    ines = visit(INES)
    assert "The newest checkpoint stands over all of them;" in ines.get("/evidence").text
    with db.writing() as unit:
        journal.note(unit, SYSTEM, "reminder:send", at=scene.NOW)
    assert f"The newest checkpoint stands over the first {size};" in ines.get("/evidence").text


def test_what_is_missing_is_said_and_what_was_typed_stays(visit: Callable[..., Visitor]) -> None:
    page = visit(INES).get("/evidence/packet?about=&first=2027-02-01&last=2027-12-31")
    assert page.status == 422
    assert "Say whose evidence is wanted" in page.text
    assert page.one("#f-first")["value"] == "2027-02-01"


def test_it_is_not_for_everybody(visit: Callable[..., Visitor]) -> None:
    assert visit(AMA).get("/evidence").status == 403


def test_what_a_code_says_is_held_against_the_register(visit: Callable[..., Visitor], db: Database) -> None:
    packet = record_papers.papers(db, SYSTEM, "QR-2027-0001", today=scene.NOW.date())[0]
    record = packet.record
    begins = sha256(packet.data).digest()[:6]
    card = CardCode("", record.person_id, scene.NOW.date(), ((record.number, begins),))
    ines = visit(INES)
    ines.get("/evidence")
    page = ines.post("/evidence/code", code=f" {card.text}\n")
    assert page.status == 200
    assert record.person in page.text
    assert "The register has what the paper names." in page.text
    page = ines.post("/evidence/code", code=replace(card, records=((record.number, bytes(6)),)).text)
    assert "is another than the one on the card" in page.text
    assert "The register has what the paper names." not in page.text
    page = ines.post("/evidence/code", code="<b>nothing</b>")
    assert page.status == 422
    assert "This is not what the code of a record or a pocket card says" in page.text
    assert page.one("#f-code").text == "<b>nothing</b>"
