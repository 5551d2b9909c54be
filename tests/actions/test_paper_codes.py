"""What the code on a paper names, held against the register and against files."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW
from tests.exports import samples
from tests.people import AMA, INES, SOL
from trainer.actions import paper_codes, printing, record_papers
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.actions.read_back import PaperUnreadable
from trainer.exports.kinds import pocket_card, qualification_record
from trainer.exports.record_files import code_of
from trainer.records import canonical, key_file
from trainer.records.paper_code import CardCode, RecordCode

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.actions.opening import Database
    from trainer.exports.packets import RecordPacket

TODAY = NOW.date()


@pytest.fixture(autouse=True)
def _with_a_key(request: pytest.FixtureRequest, tmp_path: Path) -> None:
    if "db" in request.fixturenames:
        database: Database = request.getfixturevalue("db")
        database.keys = tmp_path / "keys"
        key_file.make(database.keys, "invented.example/log")


def signed(db: Database) -> RecordPacket:
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, bench.enter(db, SOL), AMA).number
    return record_papers.papers(db, SYSTEM, number, today=TODAY)[0]


def said(packet: RecordPacket) -> RecordCode:
    code = code_of(packet)
    assert code is not None
    return code


def test_the_register_has_what_a_record_names(db: Database) -> None:
    packet = signed(db)
    told = paper_codes.in_register(db, bench.enter(db, INES), said(packet).text, today=TODAY)
    assert told.holds
    assert packet.record.number in told.names[0]
    assert AMA.display_name in told.names[1]
    assert told.names[2] == "It holds today."
    late = paper_codes.in_register(db, SYSTEM, said(packet).text, today=TODAY + timedelta(days=5 * 366))
    assert late.holds
    assert late.names[2] == "It does not hold today."


def test_each_thing_that_differs_in_the_register_is_told(db: Database) -> None:
    code = said(signed(db))
    for change, told in (
        ({"number": "QR-1999-0001"}, "The register has no record QR-1999-0001."),
        ({"sha256": bytes(32)}, "is another than the one on the paper"),
        ({"entry": code.entry - 1}, "is not the one that holds this record"),
        ({"log": "other/log"}, "The paper names the log other/log"),
        ({"root": bytes(32)}, f"The first {code.size} entries of the log are others"),
        ({"size": code.size + 10**6}, "the paper was printed under"),
    ):
        faults = paper_codes.in_register(db, SYSTEM, replace(code, **change).text, today=TODAY).faults
        assert len(faults) == 1, change
        assert told in faults[0]


def test_a_card_is_held_against_the_register_line_by_line(db: Database) -> None:
    packet = signed(db)
    begins = said(packet).sha256[:6]
    card = CardCode("log", AMA.id, TODAY, ((packet.record.number, begins),))
    told = paper_codes.in_register(db, SYSTEM, card.text, today=TODAY)
    assert told.holds
    assert told.names[2].endswith("Holds today.")
    other = replace(card, records=((packet.record.number, bytes(6)), ("QR-1999-0001", begins)))
    faults = paper_codes.in_register(db, SYSTEM, other.text, today=TODAY).faults
    assert "is another than the one on the card" in faults[0]
    assert "has no record QR-1999-0001 of this person" in faults[1]
    nobody = paper_codes.in_register(db, SYSTEM, replace(card, person="P-9999").text, today=TODAY)
    assert nobody.faults == ["The register has no person P-9999."]


def test_asking_is_for_who_may_read_the_log(db: Database) -> None:
    with pytest.raises(NotAllowed):
        paper_codes.in_register(db, bench.enter(db, AMA), said(signed(db)).text, today=TODAY)


def test_every_form_of_file_that_holds_a_record_is_held_against_its_code(db: Database) -> None:
    packet = signed(db)
    text = said(packet).text
    assert packet.proof is not None
    subject = f"{AMA.id} {TODAY.isoformat()} {TODAY.isoformat()}"
    packed = printing.print_sheet(db, SYSTEM, "inspector_packet", subject, paper="a4", now=NOW).data
    forms = (
        qualification_record.write([packet], paper="a4"),
        packed,
        packet.data,
        packet.credential,
        canonical.written(packet.proof.as_data()).encode(),
    )
    other = replace(said(packet), sha256=bytes(32)).text
    missing = replace(said(packet), number="QR-1999-0001").text
    for form in forms:
        assert paper_codes.in_file(form, text).faults == []
        assert any(
            "is another than the one on the paper" in fault
            for fault in paper_codes.in_file(form, other).faults
        )
        assert any(
            "holds no record QR-1999-0001" in fault for fault in paper_codes.in_file(form, missing).faults
        )


def test_entry_and_checkpoint_of_the_file_are_held_against_the_code() -> None:
    packet = samples.record_packet()
    pdf = qualification_record.write([packet], paper="a4")
    code = said(packet)
    for change, told in (
        ({"entry": 99}, "on the paper 99"),
        ({"root": bytes(32)}, "are others than those the paper was printed under"),
        ({"log": "other/log"}, "The paper names the log other/log"),
    ):
        (fault,) = paper_codes.in_file(pdf, replace(code, **change).text).faults
        assert told in fault


def test_a_card_is_held_against_the_records_of_a_file() -> None:
    packets = samples.record_packets(3)
    pdf = qualification_record.write(packets, paper="a4")
    lines = tuple((packet.record.number, said(packet).sha256[:6]) for packet in packets)
    card = CardCode("log", "P-0107", TODAY, lines)
    assert paper_codes.in_file(pdf, card.text).holds
    wrong = replace(card, records=((lines[0][0], bytes(6)), ("QR-1999-0001", bytes(6))))
    assert len(paper_codes.in_file(pdf, wrong.text).faults) == 2


def test_a_file_without_a_record_is_told_in_a_sentence() -> None:
    text = said(samples.record_packet()).text
    with pytest.raises(paper_codes.NoRecordInside):
        paper_codes.in_file(b"{}", text)
    cards = pocket_card.write(samples.pocket_card(), paper="a4")
    with pytest.raises(PaperUnreadable):
        paper_codes.in_file(cards, text)
