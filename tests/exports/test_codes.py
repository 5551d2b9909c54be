"""The codes on the papers, read from the printed sheet by a reader that shares nothing with what drew them."""

from __future__ import annotations

import base64
import hashlib
import io
from datetime import date
from typing import TYPE_CHECKING

import pytest
import rfc8785
import zxingcpp
from PIL import Image, ImageDraw

from tests.exports import reading, samples
from trainer.exports.code import made
from trainer.exports.kinds import pocket_card, qualification_record
from trainer.records import paper_code
from trainer.records.paper_code import CardCode, CodeUnreadable, RecordCode

if TYPE_CHECKING:
    from pathlib import Path


def printed(pdf: bytes, folder: Path) -> list[Image.Image]:
    """Return the sheets as a scanner of 200 dots an inch would see them, in grey."""
    (folder / "sheet.pdf").write_bytes(pdf)
    reading.run("pdftoppm", "-r", "200", "-gray", "-png", folder / "sheet.pdf", folder / "sheet")
    return [Image.open(path) for path in sorted(folder.glob("sheet*.png"))]


def read(picture: Image.Image) -> list[str]:
    """Return what the codes in a picture say."""
    return [found.text for found in zxingcpp.read_barcodes(picture)]


def recorded() -> RecordCode:
    """Return what the sample record's code has to say."""
    packet = samples.record_packet()
    assert packet.proof is not None
    log, size, root = packet.proof.checkpoint.splitlines()[:3]
    return RecordCode(
        packet.record.number,
        hashlib.sha256(rfc8785.dumps(packet.record.as_data())).digest(),
        log,
        packet.proof.number,
        int(size),
        base64.b64decode(root),
    )


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_code_of_a_record_names_record_hash_log_entry_and_checkpoint(paper: str, tmp_path: Path) -> None:
    (sheet,) = printed(qualification_record.write([samples.record_packet()], paper=paper), tmp_path)
    (said,) = read(sheet)
    assert paper_code.read(said) == recorded()


def test_every_record_of_a_crew_has_its_own_code(tmp_path: Path) -> None:
    packets = samples.record_packets(4)
    sheets = printed(qualification_record.write(packets, paper="a4"), tmp_path)
    found = [paper_code.read(said) for sheet in sheets for said in read(sheet)]
    assert [one.number for one in found if isinstance(one, RecordCode)] == [
        packet.record.number for packet in qualification_record.in_order(packets)
    ]


def test_every_card_of_a_sheet_has_its_own_code(tmp_path: Path) -> None:
    packet = samples.pocket_cards([0, 3, 6, 1])
    (sheet,) = printed(pocket_card.write(packet, paper="us-letter"), tmp_path)
    found = {one.person: one for one in map(paper_code.read, read(sheet)) if isinstance(one, CardCode)}
    assert set(found) == {card.person_id for card in packet.cards}
    for card in packet.cards:
        assert found[card.person_id] == CardCode(
            packet.log, card.person_id, packet.on, tuple((held.number, held.sha256[:6]) for held in card.held)
        )


def test_a_code_is_read_though_a_corner_of_it_is_dirty(tmp_path: Path) -> None:
    (sheet,) = printed(qualification_record.write([samples.record_packet()], paper="a4"), tmp_path)
    (found,) = zxingcpp.read_barcodes(sheet)
    a, b = found.position.bottom_right, found.position.top_left
    wide = abs(a.x - b.x)
    ImageDraw.Draw(sheet).rectangle((a.x - wide // 4, a.y - wide // 4, a.x, a.y), fill=0)
    assert [paper_code.read(said) for said in read(sheet)] == [recorded()]


@pytest.mark.parametrize("seed", range(12))
def test_any_hash_makes_a_code_that_can_be_read(seed: int) -> None:
    digest = hashlib.sha256(str(seed).encode()).digest()
    text = RecordCode(
        f"QR-2027-{seed:04d}", digest, "quillmarsh.example/log", seed + 1, 10**seed, digest[::-1]
    ).text
    drawn = io.BytesIO()
    made(text).save(drawn, kind="png", scale=4, border=4)
    assert read(Image.open(drawn)) == [text]


def test_what_a_code_says_is_read_back_as_it_is_documented() -> None:
    record = RecordCode("QR-2027 0=1%", bytes(range(32)), "a/b", 7, 9, bytes(32))
    assert record.text == (
        "record/1 QR-2027%200%3D1%25 AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8 a/b 7 9 "
        "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"
    )
    assert paper_code.read(record.text) == record
    card = CardCode("", "P-0107", date(2027, 4, 1), (("QR-1", b"\x00\x01\x02\x03\x04\x05"),))
    assert card.text == "card/1 - P-0107 2027-04-01 QR-1=AAECAwQF"
    assert paper_code.read(f"  {card.text}\n") == card


@pytest.mark.parametrize(
    "text",
    [
        "",
        "QR-2027-0001",
        "record/2 a b c 1 2 d",
        "record/1 QR-1",
        f"record/1 QR-1 {'A' * 42} log 1 2 {'A' * 43}",
        f"record/1 QR-1 {'A' * 42}B log 1 2 {'A' * 43}",
        f"record/1 QR-1 {'A' * 43} log x 2 {'A' * 43}",
        f"record/1 QR-1 {'A' * 43} log 01 2 {'A' * 43}",
        f"record/1 QR-1 {'A' * 43} log 1 2 {'*' * 43}",
        "card/1 log P-1",
        "card/1 log P-1 2027-13-01",
        "card/1 log P-1 2027-04-01 QR-1",
        "card/1 log P-1 2027-04-01 QR-1=AAAA",
    ],
)
def test_what_is_no_code_or_was_read_wrong_is_told_in_a_sentence(text: str) -> None:
    with pytest.raises(
        CodeUnreadable, match=r"^This is not what the code of a record or a pocket card says: "
    ):
        paper_code.read(text)
