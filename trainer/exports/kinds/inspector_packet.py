"""The inspector's packet: records, questions as they were asked, procedures, proofs, and the checker, in one ZIP."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing import VIEWS
from trainer.drawing.paper import on_paper
from trainer.exports import carried, packet_index
from trainer.exports.words import day
from trainer.records import canonical, packet_file
from trainer.records import packet as packets
from trainer.records.verify_packet import KEYS

if TYPE_CHECKING:
    from trainer.exports.packets import InspectorPacket, RevisionShown

NAME = "inspector_packet"
TITLE = "Inspector's packet"
MEDIA_TYPE = "application/zip"
ENDING = "zip"
PERMISSION = "ledger:read"
SUBJECT = "a person, a crew or a task, with first and last day"

_WIDTH = 900


def write(packet: InspectorPacket, *, paper: str) -> bytes:
    """Return the packet as ZIP: the same packet and paper, the same bytes.

    Raises:
        PdfRefused: the compiler would not write a record.
        PaperUnknown: there is no such paper.
    """
    drawings = {shown.revision: _drawing(shown) for shown in packet.revisions}
    files: dict[str, bytes] = {
        "index.html": packet_index.page(packet, {name: tuple(found) for name, found in drawings.items()}),
        KEYS: "".join(f"{line}\n" for line in packet.keys).encode(),
        **carried.checker(),
    }
    for found in drawings.values():
        files |= found
    for proven in packet.records:
        number = proven.record.number
        files[f"records/{number}.json"] = canonical.written(proven.record.as_data()).encode()
        files[f"records/{number}.pdf"] = packet.print_record(proven, paper=paper)
        if proven.credential:
            files[f"credentials/{number}.json"] = proven.credential
    for one in packet.answers:
        told = {"entry": one.entry, "question": one.question, "answer": one.answer, "mark": one.mark}
        files[f"answers/{one.entry}.json"] = canonical.written(told).encode()
    for proof in packet.entries:
        files[f"log/{proof.number}.json"] = canonical.written(proof.as_data()).encode()
    for place, growth in enumerate(packet.growth, start=1):
        files[f"growth/{place}.json"] = canonical.written(growth.as_data()).encode()
    for shown in packet.revisions:
        files[f"revisions/{shown.revision}.json"] = shown.canonical.encode()
        files[f"revisions/{shown.revision}.yaml"] = shown.source.encode()
    about = f"{packet.about}, {day(packet.first)} to {day(packet.last)}"
    return packet_file.written(packets.bound(files, about, packet.key))


def _drawing(shown: RevisionShown) -> dict[str, bytes]:
    """Return the labelled drawing of a procedure, when it gives its parts shapes or a station."""
    module = shown.module
    has_shapes = module.geometry is not None and bool(module.geometry.shapes)
    if not has_shapes or not module.sizes:
        return {}
    drawn = VIEWS["section"].draw(module, module.sizes[0], _WIDTH, prefix="section")
    return {f"drawings/{shown.revision}.svg": on_paper(drawn).encode()}
