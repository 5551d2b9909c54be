"""Going through the whole log, beside nothing but the hashes that this takes."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.actions import journal, ledger, upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.measuring.timing import Reading, slower
from trainer.records import canonical
from trainer.records.log_entry import entry, moment
from trainer.settings import Settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort

TITLE = "Check the whole log"

_AT = datetime(2027, 1, 4, 8, 0, tzinfo=UTC)
_ACTION = "practice:answer"


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how much longer the check takes than 2n - 1 hashes over the same bytes."""
    entries = 100_000 if effort.sample > 0.01 else 10_000
    written = [_written(number) for number in range(1, entries + 1)]
    root = _root(written)
    with TemporaryDirectory() as folder:
        settings = Settings(instance=Path(folder))
        upkeep.upgrade(settings)
        with open_database(settings) as db:
            with db.writing() as unit:
                for number in range(1, entries + 1):
                    journal.note(unit, SYSTEM, _ACTION, at=_AT, **_payload(number))

            def ours() -> None:
                found = ledger.check(db, SYSTEM)
                if found.troubles or found.root != root:
                    raise AssertionError("both sides must come to the same root")

            name = f"{TITLE}: {entries} entries, times 2n - 1 hashes"
            yield slower(name, lambda: _root(written), ours, effort, 2.5)


def _payload(number: int) -> dict[str, object]:
    # About as much as one answer writes.
    answer = [f"{place:08x}" for place in range(12)]
    return {"answer": answer, "module": "invented-valve", "right": True, "seed": number, "size": "DN 50"}


def _written(number: int) -> bytes:
    payload = canonical.written(_payload(number))
    return entry(number=number, at=moment(_AT), person_id="", action=_ACTION, payload=payload)


def _root(written: list[bytes]) -> bytes:
    level = [hashlib.sha256(b"\x00" + entry).digest() for entry in written]
    while len(level) > 1:
        above = [
            hashlib.sha256(b"\x01" + left + right).digest()
            for left, right in zip(level[::2], level[1::2], strict=False)
        ]
        level = above + level[len(above) * 2 :]
    return level[0]
