"""The inspector's packet: records, what stands behind them shown again, procedures, proofs, and the checker, in one ZIP."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from trainer.drawing import VIEWS
from trainer.drawing.paper import on_paper
from trainer.exports import carried, drawing_file, packet_index, packet_question
from trainer.exports.words import day
from trainer.records import canonical, packet_file
from trainer.records import packet as packets
from trainer.records.verify_packet import KEYS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.exports.evidence import AnsweredQuestion, InspectorPacket, RevisionShown

NAME = "inspector_packet"
TITLE = "Inspector's packet"
MEDIA_TYPE = "application/zip"
ENDING = "zip"
PERMISSION = "ledger:read"
SUBJECT = "a person, a crew or a task, with first and last day"

_WIDTH = 900
_NAME_FIGURES = 24


def write(packet: InspectorPacket, *, paper: str) -> bytes:
    """Return the packet as ZIP: the same packet and paper, the same bytes.

    Raises:
        PdfRefused: the compiler would not write a record.
        PaperUnknown: there is no such paper.
    """
    drawings = {shown.revision: _drawing(shown) for shown in packet.revisions}
    drawn = dict(_pictures(packet))
    places = {entry: {place: path for place, (path, _) in of.items()} for entry, of in drawn.items()}
    files: dict[str, bytes] = {
        "index.html": packet_index.page(
            packet, {name: tuple(found) for name, found in drawings.items()}, places
        ),
        KEYS: "".join(f"{line}\n" for line in packet.keys).encode(),
        **carried.checker(),
        **dict(found for of in drawn.values() for found in of.values()),
        **dict(_records(packet, paper)),
        **dict(_evidence(packet, places)),
        **dict(_log(packet)),
        **dict(_procedures(packet)),
    }
    for found in drawings.values():
        files |= found
    about = f"{packet.about}, {day(packet.first)} to {day(packet.last)}"
    return packet_file.written(packets.bound(files, about, packet.key))


def _records(packet: InspectorPacket, paper: str) -> Iterator[tuple[str, bytes]]:
    for proven in (*packet.records, *packet.others):
        number = proven.record.number
        yield f"records/{number}.json", canonical.written(proven.record.as_data()).encode()
        yield f"records/{number}.pdf", packet.print_record((proven,), paper=paper)
        if proven.credential:
            yield f"credentials/{number}.json", proven.credential


def _evidence(
    packet: InspectorPacket, places: Mapping[int, Mapping[str, str]]
) -> Iterator[tuple[str, bytes]]:
    for one in _answers(packet):
        told = {
            "entry": one.entry,
            "question": one.question,
            "answer": one.answer,
            "mark": one.mark,
            "pictures": dict(places.get(one.entry, {})),
        }
        yield f"answers/{one.entry}.json", canonical.written(told).encode()
    for paper in packet.papers:
        yield f"earlier/{paper.record.number}.json", canonical.written(paper.record.as_data()).encode()
    for behind in packet.behind.values():
        for shown in behind.observations:
            yield f"observations/{shown.number}.json", shown.written.encode()
            for sha256, data in shown.photographs.items():
                yield f"photographs/{sha256}.jpg", data


def _answers(packet: InspectorPacket) -> Iterator[AnsweredQuestion]:
    """Yield each answered question once, however many records it stands behind."""
    yield from {one.entry: one for behind in packet.behind.values() for one in behind.answers}.values()


def _pictures(packet: InspectorPacket) -> Iterator[tuple[int, dict[str, tuple[str, bytes]]]]:
    """Yield for each answered question its pictures by place: path and file; the same picture has one file."""
    modules = {shown.revision: shown.module for shown in packet.revisions}
    for one in _answers(packet):
        module = modules.get(str(one.question.get("revision", "")))
        if module is not None:
            drawn = packet_question.drawn(one, module)
            yield one.entry, {place: _picture(svg) for place, svg in drawn.items()}


def _picture(svg: str) -> tuple[str, bytes]:
    data = drawing_file.by_day(svg).encode()
    return f"pictures/{hashlib.sha256(data).hexdigest()[:_NAME_FIGURES]}.svg", data


def _log(packet: InspectorPacket) -> Iterator[tuple[str, bytes]]:
    for proof in packet.entries:
        yield f"log/{proof.number}.json", canonical.written(proof.as_data()).encode()
    for place, growth in enumerate(packet.growth, start=1):
        yield f"growth/{place}.json", canonical.written(growth.as_data()).encode()


def _procedures(packet: InspectorPacket) -> Iterator[tuple[str, bytes]]:
    for shown in packet.revisions:
        yield f"revisions/{shown.revision}.json", shown.canonical.encode()
        yield f"revisions/{shown.revision}.yaml", shown.source.encode()
    for numbers in packet.policies:
        yield f"policies/{numbers.sha256}.json", numbers.written.encode()


def _drawing(shown: RevisionShown) -> dict[str, bytes]:
    """Return the labelled drawing of a procedure, when it gives its parts shapes or a station."""
    module = shown.module
    has_shapes = module.geometry is not None and bool(module.geometry.shapes)
    if not has_shapes or not module.sizes:
        return {}
    drawn = VIEWS["section"].draw(module, module.sizes[0], _WIDTH, prefix="section")
    return {f"drawings/{shown.revision}.svg": on_paper(drawn).encode()}
