"""Many records in one file, and many cards on one sheet."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
import rfc8785

from tests.exports import conformance, reading, samples
from trainer.exports import record_files
from trainer.exports.kinds import pocket_card, qualification_record
from trainer.records import paper_code

# ISO/IEC 7810, ID-1, in millimetres; from memory.
ID_1 = (85.60, 53.98)


def outline(pdf: bytes) -> list[tuple[int, str, int]]:
    """Return what the outline lists: depth, words, page from 0."""
    reader = reading.reader(pdf)
    found: list[tuple[int, str, int]] = []

    def walk(entries: list[Any], depth: int) -> None:
        for entry in entries:
            if isinstance(entry, list):
                walk(entry, depth + 1)
            else:
                found.append((depth, entry.title, reader.get_destination_page_number(entry) or 0))

    walk(reader.outline, 0)
    return found


def test_each_record_begins_on_a_sheet_of_its_own_and_the_outline_leads_to_it_by_person() -> None:
    packets = samples.record_packets(5)
    pdf = qualification_record.write(packets, paper="a4")
    pages = reading.pages(pdf)
    assert len(pages) == len(packets)
    for number, page in zip(
        ("QR-000117", "QR-000002", "QR-000003", "QR-000004", "QR-000001"), pages, strict=True
    ):
        packet = next(one for one in packets if one.record.number == number)
        assert number in page
        assert "1 of 1" in page
        assert f"Entry {packet.entry} of {samples.key().name}" in page
    assert outline(pdf) == [
        (0, "Dagny Hollowell", 0),
        (1, "T-31 Overhaul a pilot-loaded main valve", 0),
        (0, "Dagny Hollowell 1", 1),
        (1, "T-01 Overhaul a pilot-loaded main valve", 1),
        (1, "T-02 Overhaul a pilot-loaded main valve", 2),
        (0, "Fenna Lanternby 2", 3),
        (1, "T-01 Overhaul a pilot-loaded main valve", 3),
        (0, "Jonty Brackenfold 0", 4),
        (1, "T-02 Overhaul a pilot-loaded main valve", 4),
    ]


def test_in_whichever_order_they_come_the_file_is_the_same() -> None:
    packets = samples.record_packets(3)
    assert qualification_record.write(packets, paper="a4") == qualification_record.write(
        packets[::-1], paper="a4"
    )


def test_each_record_carries_its_files_under_its_own_number() -> None:
    packets = samples.record_packets(3)
    inside = reading.reader(qualification_record.write(packets, paper="us-letter")).attachments
    assert len(inside) == 3 * len(packets)
    for packet in packets:
        number = packet.record.number
        assert inside[f"{number}.record.json"] == [rfc8785.dumps(packet.record.as_data())]
        assert inside[f"{number}.credential.json"] == [packet.credential]
        assert packet.proof is not None
        assert inside[f"{number}.entry.json"] == [rfc8785.dumps(packet.proof.as_data())]


def test_a_record_looks_the_same_alone_and_among_others() -> None:
    packets = samples.record_packets(3)
    together = reading.pages(qualification_record.write(packets, paper="a4"))
    assert sorted(together) == sorted(
        page for packet in packets for page in reading.pages(qualification_record.write([packet], paper="a4"))
    )


def test_sheets_are_numbered_within_each_record() -> None:
    long = samples.record(
        number="QR-LONG", abnormal_conditions=tuple(f"Condition number {n}" for n in range(60))
    )
    first, second = samples.record_packets(2)
    pages = reading.pages(qualification_record.write([first, type(first)(long), second], paper="a4"))
    told = [
        next(n for n in ("1 of 1", "1 of 2", "2 of 2", "1 of 3", "2 of 3", "3 of 3") if n in page)
        for page in pages
    ]
    assert told.count("1 of 1") == 2
    further = [words for words in told if words != "1 of 1"]
    assert further == [f"{n} of {len(further)}" for n in range(1, len(further) + 1)]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_cards_of_a_crew_stand_several_to_a_sheet(paper: str) -> None:
    pdf = pocket_card.write(samples.pocket_cards([1] * 9), paper=paper)
    pages = reading.pages(pdf)
    assert [page.count("May do alone on") for page in pages] == [4, 4, 1]
    assert [words for depth, words, _ in outline(pdf) if depth == 1] == [
        card.person for card in samples.pocket_cards([1] * 9).cards
    ]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_marks_cut_out_cards_of_their_size(paper: str) -> None:
    page = reading.reader(pocket_card.write(samples.pocket_cards([1] * 4), paper=paper)).pages[0]
    marks = [line for line in reading.lines(page) if reading.length(line) == pytest.approx(3, abs=0.05)]
    down = sorted({round(x, 1) for (x, _), (other, _) in marks if x == pytest.approx(other, abs=0.01)})
    across = sorted({round(y, 1) for (_, y), (_, other) in marks if y == pytest.approx(other, abs=0.01)})
    wide, high = ID_1
    assert [b - a for a, b in pairwise(down)] == pytest.approx([wide, wide], abs=0.11)
    assert [b - a for a, b in pairwise(across)] == pytest.approx([high] * 4, abs=0.11)


def test_who_holds_more_than_a_face_has_room_for_gets_further_cards() -> None:
    said = reading.text(pocket_card.write(samples.pocket_cards([13]), paper="a4"))
    for part in ("card 1 of 3", "card 2 of 3", "card 3 of 3"):
        assert part in said
    assert all(f"T-{n:02d}" in said for n in range(13))


def test_a_card_of_nothing_says_so() -> None:
    said = reading.text(pocket_card.write(samples.pocket_cards([0, 2]), paper="a4"))
    assert said.count("works only where and while somebody qualified directs and observes") == 1


def test_a_crew_of_sixty_keeps_to_the_standards() -> None:
    for kind, packet in (
        (qualification_record, samples.record_packets(60, 1)),
        (pocket_card, samples.pocket_cards([n % 8 for n in range(60)])),
    ):
        pdf = kind.write(packet, paper="us-letter")
        assert conformance.objections(pdf, "3a") == []
        assert conformance.objections(pdf, "ua1") == []


def test_what_a_code_says_is_read_back() -> None:
    for text in _codes():
        assert paper_code.read(text).text == text


def _codes() -> list[str]:
    (packet,) = samples.record_packets(1)
    found = record_files.code_of(packet)
    assert found is not None
    return [found.text, *(card.text for card, _ in pocket_card._faces(samples.pocket_cards([0, 3, 7])))]
