"""Running numbers without gaps: a number is taken in the transaction that uses it, and given back with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.store.schema.log import sequences
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from trainer.store.session import Unit


def take(unit: Unit, name: str) -> int:
    """Return the next number of a sequence, from 1; two transactions at once wait for each other."""
    first = insert(unit.dialect.name, sequences).values(name=name, last=1)
    statement = first.on_conflict_do_update(
        index_elements=[sequences.c.name], set_={"last": sequences.c.last + 1}
    ).returning(sequences.c.last)
    number: int = unit.execute(statement).scalar_one()
    return number
