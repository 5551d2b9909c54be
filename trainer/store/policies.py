"""The policies that were ever in force: rows ⇄ `KeptPolicy`. None is ever changed; a new one stands beside it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import insert, select

from trainer.records import canonical
from trainer.store import sequences
from trainer.store.schema.people import people
from trainer.store.schema.policies import policies

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy import Row

    from trainer.store.session import Unit


@dataclass(frozen=True)
class KeptPolicy:
    """A policy as it was set; `set_by` is "" for the numbers that the program brings along."""

    number: int
    sha256: str
    written: str
    because: str
    set_by: str
    setter_name: str
    at: datetime

    @property
    def values(self) -> Mapping[str, Any]:
        """The numbers as plain JSON values."""
        kept: Mapping[str, Any] = canonical.read(self.written)
        return kept


_NEWEST_FIRST = (
    select(policies, people.c.display_name)
    .select_from(policies.outerjoin(people, people.c.id == policies.c.set_by))
    .order_by(policies.c.number.desc())
)


def digest(values: Mapping[str, Any]) -> str:
    """Return the hash that names a policy: SHA-256 of its canonical JSON."""
    return hashlib.sha256(canonical.written(dict(values)).encode()).hexdigest()


def add(
    unit: Unit,
    values: Mapping[str, Any],
    *,
    because: str,
    by: str,
    at: datetime,
    number: int | None = None,
) -> tuple[str, int]:
    """Put a policy in force and return its hash and number; `by` is "" for the numbers that the program brings along."""
    sha256 = digest(values)
    row = {
        "sha256": sha256,
        "written": canonical.written(dict(values)),
        "because": because,
        "set_by": by or None,
        "at": at,
    }
    new = insert(policies).values(sequences.given(row, number=number))
    kept: int = unit.execute(new.returning(policies.c.number)).scalar_one()
    return sha256, kept


def in_force(unit: Unit) -> KeptPolicy | None:
    """Return the policy that was set last, or None when none ever was."""
    row = unit.execute(_NEWEST_FIRST.limit(1)).one_or_none()
    return None if row is None else _policy(row)


def by_hash(unit: Unit, sha256: str) -> KeptPolicy | None:
    """Return the policy with these numbers as it was set last, or None."""
    row = unit.execute(_NEWEST_FIRST.where(policies.c.sha256 == sha256).limit(1)).one_or_none()
    return None if row is None else _policy(row)


def every(unit: Unit) -> tuple[KeptPolicy, ...]:
    """Return all of them, the one in force first."""
    return tuple(_policy(row) for row in unit.execute(_NEWEST_FIRST))


def _policy(row: Row[Any]) -> KeptPolicy:
    return KeptPolicy(
        number=row.number,
        sha256=row.sha256,
        written=row.written,
        because=row.because,
        set_by=row.set_by or "",
        setter_name=row.display_name or "",
        at=row.at,
    )
