"""Going through the whole log, beside nothing but the hashes that this takes."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.cli.measuring import Reading, slower
from trainer.records.audit import Audit
from trainer.store import events, ledger, upgrade
from trainer.store.session import Database

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring import Effort

TITLE = "Check the whole log"

_AT = datetime(2027, 1, 4, 8, 0, tzinfo=UTC)
# One entry in use holds about this much.
_PAYLOAD = {
    "answer": ["a1b2c3d4"] * 12,
    "module": "invented-valve",
    "right": True,
    "seed": 2**40,
    "size": "DN 50",
}


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how much longer the check takes than 2n - 1 hashes over the same bytes."""
    entries = 100_000 if effort.sample > 0.01 else 10_000
    with TemporaryDirectory() as folder, Database(f"sqlite:///{Path(folder) / 'log.sqlite3'}") as db:
        upgrade.to_newest(db)
        with db.writing() as unit:
            for number in range(entries):
                events.add(
                    unit, at=_AT, person_id="", action="practice:answer", payload={**_PAYLOAD, "n": number}
                )
        with db.reading() as unit:
            written = [kept.entry for kept in ledger.every(unit)]
        root = _root(written)

        def ours() -> None:
            with db.reading() as unit:
                audit = Audit({})
                if list(audit.troubles(ledger.every(unit))) or audit.root != root:
                    raise AssertionError("both sides must come to the same root")

        yield slower(
            f"{TITLE}: {entries} entries, times 2n - 1 hashes", lambda: _root(written), ours, effort, 2.5
        )


def _root(written: list[bytes]) -> bytes:
    level = [hashlib.sha256(b"\x00" + entry).digest() for entry in written]
    while len(level) > 1:
        above = [
            hashlib.sha256(b"\x01" + left + right).digest()
            for left, right in zip(level[::2], level[1::2], strict=False)
        ]
        level = above + level[len(above) * 2 :]
    return level[0]
