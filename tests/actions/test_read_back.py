"""Printed records read back: what was altered is found, and the record it belongs to is named."""

from __future__ import annotations

import io
import random
import re
import zlib
from typing import TYPE_CHECKING, Any

import pytest
from pypdf import PdfReader, PdfWriter

from tests.exports import samples
from trainer.actions import read_back
from trainer.errors import TrainerError
from trainer.exports.kinds import qualification_record
from trainer.records import signed_note

if TYPE_CHECKING:
    from collections.abc import Callable

TRUSTED = (samples.key().verifier,)


@pytest.fixture(scope="module")
def crew() -> bytes:
    return qualification_record.write(samples.record_packets(6), paper="us-letter")


def streams(pdf: bytes) -> list[tuple[int, int, bytes]]:
    """Return where each deflated stream begins and ends, and what it holds."""
    found = []
    for head in re.finditer(rb"/Length (\d+)(?:(?!endobj).)*?stream\n", pdf, re.DOTALL):
        end = head.end() + int(head[1])
        try:
            found.append((head.end(), end, zlib.decompress(pdf[head.end() : end])))
        except zlib.error:
            continue
    return found


def rewritten(pdf: bytes, name: str, change: Callable[[bytes], bytes]) -> bytes:
    """Return the file with one of the files inside changed, as an editor of PDF would save it."""
    writer = PdfWriter(clone_from=io.BytesIO(pdf))
    for entry in writer._root_object["/AF"]:  # type: ignore[attr-defined]
        found = entry.get_object()
        if found["/UF"] == name:
            stream = found["/EF"]["/F"].get_object()
            stream.set_data(change(stream.get_data()))
    saved = io.BytesIO()
    writer.write(saved)
    return saved.getvalue()


@pytest.mark.parametrize("count", [1, 6])
def test_what_was_printed_holds(count: int) -> None:
    for paper in ("a4", "us-letter"):
        pdf = qualification_record.write(samples.record_packets(count), paper=paper)
        assert read_back.faults(pdf, TRUSTED) == ()


@pytest.mark.parametrize("what", ["record.json", "entry.json", "credential.json"])
def test_the_record_that_was_altered_is_named_and_no_other(crew: bytes, what: str) -> None:
    name = f"QR-000003.{what}"
    altered = rewritten(crew, name, lambda data: data.replace(b"Overhaul", b"Overhoul"))
    faults = read_back.faults(altered, TRUSTED)
    assert faults
    assert {fault.path for fault in faults} - {read_back.WHOLE} == {"QR-000003"}


def test_a_record_that_is_missing_a_file_is_named(crew: bytes) -> None:
    for what, told in (("record.json", "data"), ("entry.json", "proof"), ("credential.json", "credential")):
        altered = crew.replace(f"QR-000002.{what}".encode(), f"QR-000002.{'x' * len(what)}".encode())
        faults = read_back.faults(altered, TRUSTED)
        assert any(fault.path == "QR-000002" and told in fault.text for fault in faults), what


def test_a_sheet_that_says_something_else_is_named_though_the_data_hold(crew: bytes) -> None:
    ours = PdfReader(io.BytesIO(crew))
    drawn = [page.get_contents().get_data() for page in ours.pages]  # type: ignore[union-attr]
    # The third sheet of the file, in its order by person.
    third = qualification_record.in_order(samples.record_packets(6))[2].record.number
    writer = PdfWriter(clone_from=io.BytesIO(crew))
    contents: Any = writer.pages[2]["/Contents"].get_object()
    contents.set_data(drawn[2] + b" ")
    saved = io.BytesIO()
    writer.write(saved)
    faults = read_back.faults(saved.getvalue(), TRUSTED)
    assert [fault.path for fault in faults] == [third]
    assert "A sheet says something else than the data" in faults[0].text


def test_a_file_saved_by_another_program_is_not_what_was_printed(crew: bytes) -> None:
    faults = read_back.faults(rewritten(crew, "", bytes), TRUSTED)
    assert [fault.path for fault in faults] == [read_back.WHOLE]


def test_a_key_that_is_not_trusted_is_told_for_each_record(crew: bytes) -> None:
    other = signed_note.Verifier("other.example/log", samples.key().verifier.key)
    assert {fault.path for fault in read_back.faults(crew, [other])} == {
        packet.record.number for packet in samples.record_packets(6)
    }


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7\n", b"PK\x03\x04", b"{}", b"%PDF-1.7\n" + bytes(500)])
def test_what_is_no_such_file_is_told_in_a_sentence(data: bytes) -> None:
    with pytest.raises(read_back.PaperUnreadable, match=r"^This is no PDF of qualification records"):
        read_back.faults(data, TRUSTED)


def test_any_bit_flipped_is_found(crew: bytes) -> None:
    chance = random.Random(20270318)  # noqa: S311  # no secret
    for _ in range(40):
        place, bit = chance.randrange(len(crew)), chance.randrange(8)
        altered = bytearray(crew)
        altered[place] ^= 1 << bit
        try:
            found: tuple[object, ...] = read_back.faults(bytes(altered), TRUSTED)
        except TrainerError as refused:
            found = (refused,)
        assert found, (place, bit)


def test_a_bit_flipped_in_the_data_of_a_record_names_it(crew: bytes) -> None:
    begin, end, data = next(
        one for one in streams(crew) if one[2].startswith(b"{") and b"QR-000004" in one[2]
    )
    assert data
    for place in range(begin, end, max(1, (end - begin) // 8)):
        altered = bytearray(crew)
        altered[place] ^= 4
        try:
            faults = read_back.faults(bytes(altered), TRUSTED)
        except read_back.PaperUnreadable:
            continue
        assert "QR-000004" in {fault.path for fault in faults}, place
