"""What the code on a paper says: enough to find what it speaks of, and to see whether it is the same.

On a qualification record, seven words parted by one space:

    record/1 QR-2026-0001 <hash> <log> <entry> <size> <root>

number of the record; SHA-256 of its data in canonical JSON; name of the log, which is the name of the key that signs it;
the entry of the log that holds the record, counted from 1; how many entries the printed checkpoint signs, and their root.

On a pocket card:

    card/1 <log> <person> <day> <number>=<beginning of the hash> …

name of the log (a dash without one), number of the person, the day it was printed, and each record on it with the first 48
bits of its hash. Hashes are base64url without padding (RFC 4648, 5), entry and size decimal, days as ISO 8601 writes them;
whatever a space, a per cent or an equals sign would break is written as in an address (RFC 3986, 2.1).
"""

from __future__ import annotations

import base64
import binascii
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote, unquote

from trainer.errors import TrainerError
from trainer.records.merkle import HASH_BYTES

RECORD, CARD = "record/1", "card/1"
# 48 bits tell a record apart from any other of its number; 8 letters, so that a card of six stays easy to read.
SHORT_BYTES = 6
_NO_LOG = "-"
_PLAIN = "/:._-~"


class CodeUnreadable(TrainerError):
    """A text is not what the code of a paper says."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"This is not what the code of a record or a pocket card says: {why}. Give all of it, as the reader shows it."
        )


@dataclass(frozen=True)
class RecordCode:
    """A qualification record, and where it stands: under which checkpoint of which log."""

    number: str
    sha256: bytes
    log: str
    entry: int
    size: int
    root: bytes

    @property
    def text(self) -> str:
        """What the code says."""
        words = (RECORD, _word(self.number), _coded(self.sha256), _word(self.log))
        return f"{' '.join(words)} {self.entry} {self.size} {_coded(self.root)}"


@dataclass(frozen=True)
class CardCode:
    """A pocket card: whose, of which day, and the records on it, each with the beginning of its hash."""

    log: str
    person: str
    day: date
    records: tuple[tuple[str, bytes], ...]

    @property
    def text(self) -> str:
        """What the code says."""
        head = (CARD, _word(self.log or _NO_LOG), _word(self.person), self.day.isoformat())
        return " ".join([*head, *(f"{_word(number)}={_coded(begins)}" for number, begins in self.records)])


def read(text: str) -> RecordCode | CardCode:
    """Return what the code of a paper names.

    Raises:
        CodeUnreadable: it is none, or a part of it is missing or broken.
    """
    words = text.split()
    if words[:1] == [RECORD]:
        return _record(words[1:])
    if words[:1] == [CARD]:
        return _card(words[1:])
    raise CodeUnreadable(f"it begins with neither '{RECORD}' nor '{CARD}'")


def _record(words: list[str]) -> RecordCode:
    if len(words) != 6:
        raise CodeUnreadable(f"behind '{RECORD}' stand six words, not {len(words)}")
    number, digest, log, entry, size, root = words
    return RecordCode(
        number=unquote(number),
        sha256=_hash(digest, HASH_BYTES),
        log=unquote(log),
        entry=_count(entry),
        size=_count(size),
        root=_hash(root, HASH_BYTES),
    )


def _card(words: list[str]) -> CardCode:
    if len(words) < 3:
        raise CodeUnreadable("log, person or day is missing")
    log, person, day = words[:3]
    try:
        printed = date.fromisoformat(day)
    except ValueError as problem:
        raise CodeUnreadable(f"'{day}' is no day") from problem
    records = tuple(word.partition("=") for word in words[3:])
    return CardCode(
        log="" if log == _NO_LOG else unquote(log),
        person=unquote(person),
        day=printed,
        records=tuple((unquote(number), _hash(begins, SHORT_BYTES)) for number, _, begins in records),
    )


def _word(text: str) -> str:
    return quote(text, safe=_PLAIN)


def _coded(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).decode().rstrip("=")


def _hash(text: str, length: int) -> bytes:
    try:
        found = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
    except (binascii.Error, ValueError) as problem:
        raise CodeUnreadable(f"'{text}' is no hash") from problem
    # Another way to write the same bytes is a letter that was read wrong.
    if len(found) != length or _coded(found) != text:
        raise CodeUnreadable(f"'{text}' is no hash of {length * 8} bits")
    return found


def _count(text: str) -> int:
    if not text.isascii() or not text.isdigit() or str(int(text)) != text:
        raise CodeUnreadable(f"'{text}' is no number of an entry")
    return int(text)
