"""Printed qualification records read back from their PDF: the data inside, what proves them, and whether the sheets agree.

The sheets are set again from the data: the same data give the same bytes, so that nothing on paper can be changed unseen.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, field
from hashlib import sha256
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from trainer.actions.kept_record import restored
from trainer.errors import TrainerError
from trainer.exports.kinds import qualification_record
from trainer.exports.packets import RecordPacket
from trainer.exports.pdf import Paper
from trainer.exports.record_files import CREDENTIAL, DATA, ENTRY, file_name
from trainer.records import canonical, credential
from trainer.records.packet import Fault
from trainer.records.proof import EntryProof

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from pypdf import PdfReader

    from trainer.records.signed_note import Verifier

WHOLE = "The file"
_NAMES = (DATA, ENTRY, CREDENTIAL)
_A4_WIDTH = 595


class PaperUnreadable(TrainerError):
    """A file is no PDF of qualification records, or broken."""

    def __init__(self, why: str) -> None:
        super().__init__(f"This is no PDF of qualification records that can be read: {why}.")


@dataclass
class _Inside:
    """What of a record was found in the file; what cannot be used is a fault."""

    faults: list[Fault] = field(default_factory=list)
    packet: RecordPacket | None = None


def files(pdf: bytes) -> dict[str, dict[str, bytes]]:
    """Return the files of each record in a PDF, by the beginning of their names and by what they are.

    Raises:
        PaperUnreadable: it is no PDF, or carries no record.
    """
    found: dict[str, dict[str, bytes]] = {}
    for name, data in _attached(pdf):
        begins, _, what = name.partition(".")
        if what in _NAMES:
            found.setdefault(begins, {})[what] = data
    if not found:
        raise PaperUnreadable("it carries no record inside")
    return found


def faults(pdf: bytes, trusted: Sequence[Verifier]) -> tuple[Fault, ...]:
    """Return what does not hold, each with the record it is about; nothing when all of the file is as it was printed.

    Args:
        pdf: the file.
        trusted: the keys that may sign.

    Raises:
        PaperUnreadable: it is no PDF, or carries no record.
    """
    read = [_record(begins, inside, trusted) for begins, inside in files(pdf).items()]
    told = [fault for one in read for fault in one.faults]
    packets = [one.packet for one in read if one.packet is not None]
    if len(packets) == len(read):
        told += _sheets_faults(pdf, packets)
    return tuple(told)


def _attached(pdf: bytes) -> list[tuple[str, bytes]]:
    from pypdf import PdfReader

    try:
        root: Any = PdfReader(BytesIO(pdf)).root_object
        entries: list[Any] = [entry.get_object() for entry in root.get("/AF", ())]
        return [(str(entry["/UF"]), _data(entry)) for entry in entries]
    # A file from elsewhere may break the reader at any place.
    except Exception as problem:
        raise PaperUnreadable("it is broken") from problem


def _data(entry: Any) -> bytes:
    """Return what a file inside holds, nothing when it is broken: the record that it belongs to is then at fault."""
    with suppress(Exception):
        return bytes(entry["/EF"]["/F"].get_object().get_data())
    return b""


def _record(begins: str, inside: Mapping[str, bytes], trusted: Sequence[Verifier]) -> _Inside:
    found = _Inside()
    try:
        data = canonical.read(inside[DATA].decode())
        record = restored(data)
        if record.as_data() != data or file_name(record.number, DATA) != f"{begins}.{DATA}":
            raise ValueError(record.number)
    except KeyError:
        found.faults.append(Fault(begins, "Its data are missing."))
        return found
    except (TrainerError, TypeError, ValueError, AttributeError):
        found.faults.append(
            Fault(begins, "Its data were changed: they are no qualification record of this number.")
        )
        return found
    number = record.number
    proof = _proof(inside.get(ENTRY))
    if proof is None:
        found.faults.append(Fault(number, "The proof of its entry in the log is missing or broken."))
    else:
        found.faults += [Fault(number, text) for text in _unproven(proof, data, trusted)]
    found.faults += [Fault(number, text) for text in _forged(inside, trusted)]
    found.packet = RecordPacket(record, proof, inside.get(CREDENTIAL, b""))
    return found


def _proof(data: bytes | None) -> EntryProof | None:
    with suppress(TrainerError, ValueError):
        return EntryProof.read(canonical.read(data.decode())) if data else None
    return None


def _unproven(proof: EntryProof, data: Any, trusted: Sequence[Verifier]) -> Iterator[str]:
    try:
        found = [proof.faults(verifier) for verifier in trusted]
        entry = canonical.read(proof.entry)
        held = entry["payload"]["record"]
    except (TrainerError, KeyError, TypeError):
        yield "The proof of its entry in the log is broken."
        return
    if () not in found:
        yield from dict.fromkeys(text for texts in found for text in texts)
    if held != data:
        yield f"Entry {proof.number} of the log holds another record than the data in this file."


def _forged(inside: Mapping[str, bytes], trusted: Sequence[Verifier]) -> Iterator[str]:
    try:
        document = canonical.read(inside[CREDENTIAL].decode())
        yield from credential.forged(document, trusted)
        if credential.record_hash(document) != sha256(inside[DATA]).hexdigest():
            yield "Its credential speaks of another record than the data in this file."
    except KeyError:
        yield "Its credential is missing."
    except (TrainerError, ValueError):
        yield "Its credential is broken."


def _sheets_faults(pdf: bytes, packets: Sequence[RecordPacket]) -> Iterator[Fault]:
    """Yield what on the sheets is not what the data say: by setting them again, and looking where they differ."""
    from pypdf import PdfReader

    try:
        shown = PdfReader(BytesIO(pdf))
        wide = float(shown.pages[0].mediabox.width)
        paper = Paper.A4 if round(wide) == _A4_WIDTH else Paper.US_LETTER
        again = qualification_record.write(packets, paper=paper)
    except TrainerError as problem:
        yield Fault(WHOLE, str(problem))
        return
    except Exception as problem:
        raise PaperUnreadable("it is broken") from problem
    if again == pdf:
        return
    ours = PdfReader(BytesIO(again))
    wanted, seen = _drawn(ours), _drawn(shown)
    changed = [n for n in range(max(len(wanted), len(seen))) if wanted[n : n + 1] != seen[n : n + 1]]
    where = _where(ours, packets)
    named = dict.fromkeys(
        next((number for number, pages in where if page in pages), WHOLE) for page in changed
    )
    for number in named:
        yield Fault(
            number,
            "A sheet says something else than the data: it was changed, or another edition of this program printed it.",
        )
    if not named:
        yield Fault(
            WHOLE,
            "Beside sheets and data something was changed, or another edition of this program printed it.",
        )


def _drawn(reader: PdfReader) -> list[bytes]:
    """Return what draws each page, empty for one that cannot be read."""
    found = []
    for page in reader.pages:
        contents = b""
        with suppress(Exception):
            drawn = page.get_contents()
            contents = drawn.get_data() if drawn is not None else b""
        found.append(contents)
    return found


def _where(ours: PdfReader, packets: Sequence[RecordPacket]) -> list[tuple[str, range]]:
    """Return the number of each record and its pages in the file that we have set, as its outline has them."""
    below = [entry for entries in ours.outline if isinstance(entries, list) for entry in entries]
    begins = [ours.get_destination_page_number(entry) or 0 for entry in below if not isinstance(entry, list)]
    numbers = [packet.record.number for packet in qualification_record.in_order(packets)]
    ends = [*begins, len(ours.pages)]
    return [(number, range(*pages)) for number, pages in zip(numbers, pairwise(ends), strict=True)]
