"""What everything kept about a person is made from: tables of plain values, and the files that go with them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date

    from trainer.exports.packets import EarlierPacket, RecordPacket
    from trainer.records.key_file import LogKey
    from trainer.records.proof import EntryProof


@dataclass(frozen=True)
class KeptTable:
    """One kind of thing that is kept: rows of plain JSON values without floats.

    `columns` are (member, words) of what a table shows; a row may hold more than that. A value of a shown member is a text,
    a number, yes or no, nothing, or a list of texts.
    """

    name: str
    title: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[Mapping[str, Any], ...]
    note: str = ""


@dataclass(frozen=True)
class PersonDataPacket:
    """Everything kept about one person, proven by the log where there is a key to sign with.

    `print_record` and `print_paper` give records or a transcribed one as PDF, `photographs` are bytes by their hash, `keys`
    the lines that others check with.
    """

    company: str
    person_id: str
    person: str
    made_on: date
    issued_by: str
    tables: tuple[KeptTable, ...]
    records: tuple[RecordPacket, ...]
    papers: tuple[EarlierPacket, ...]
    print_record: Callable[..., bytes]
    print_paper: Callable[..., bytes]
    photographs: Mapping[str, bytes]
    entries: tuple[EntryProof, ...]
    keys: tuple[str, ...]
    key: LogKey | None
