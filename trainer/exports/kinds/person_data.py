"""Everything kept about one person in one ZIP: a page to read, each table as JSON and CSV, records, photographs, proofs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports import carried, person_index
from trainer.exports.table_file import Table, as_csv
from trainer.exports.words import day
from trainer.records import canonical, packet_file
from trainer.records import packet as packets
from trainer.records.verify_packet import KEYS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.exports.person_packet import KeptTable, PersonDataPacket

NAME = "person_data"
TITLE = "Everything kept about a person"
MEDIA_TYPE = "application/zip"
ENDING = "zip"
PERMISSION = "data:read"
SUBJECT = "the number of the person"


def write(packet: PersonDataPacket, *, paper: str) -> bytes:
    """Return what is kept as ZIP: the same packet and paper, the same bytes.

    Raises:
        PdfRefused: the compiler would not write a record.
        PaperUnknown: there is no such paper.
    """
    files: dict[str, bytes] = {"index.html": person_index.page(packet)}
    for table in packet.tables:
        files[f"data/{table.name}.json"] = canonical.written([dict(row) for row in table.rows]).encode()
        files[f"tables/{table.name}.csv"] = as_csv(_table(table))
    for sha256, data in packet.photographs.items():
        files[person_index.photograph(sha256)] = data
    files.update(_records(packet, paper))
    for proof in packet.entries:
        files[f"log/{proof.number}.json"] = canonical.written(proof.as_data()).encode()
    if packet.key is not None:
        files |= {KEYS: "".join(f"{line}\n" for line in packet.keys).encode(), **carried.checker()}
        about = f"everything kept about {packet.person}, {packet.person_id}, on {day(packet.made_on)}"
        files = packets.bound(files, about, packet.key)
    return packet_file.written(files)


def _records(packet: PersonDataPacket, paper: str) -> Iterator[tuple[str, bytes]]:
    for proven in packet.records:
        number = proven.record.number
        yield f"records/{number}.json", canonical.written(proven.record.as_data()).encode()
        yield f"records/{number}.pdf", packet.print_record((proven,), paper=paper)
        if proven.credential:
            yield f"credentials/{number}.json", proven.credential
    for brought in packet.papers:
        number = brought.record.number
        yield f"records/{number}.json", canonical.written(brought.record.as_data()).encode()
        yield f"records/{number}.pdf", packet.print_paper(brought, paper=paper)


def _table(table: KeptTable) -> Table:
    rows = (
        tuple(person_index.in_words(row.get(member)) for member, _ in table.columns) for row in table.rows
    )
    return Table(table.title, tuple(words for _, words in table.columns), tuple(rows))
