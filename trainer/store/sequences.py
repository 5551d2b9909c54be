"""Running numbers: taken without gaps in the transaction that uses them, or given again to a row that had its number before."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

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


def reach(unit: Unit, name: str, number: int) -> None:
    """Let a sequence stand at a number that it gave, where it does not stand further."""
    first = insert(unit.dialect.name, sequences).values(name=name, last=number)
    unit.execute(
        first.on_conflict_do_update(
            index_elements=[sequences.c.name],
            set_={"last": number},
            where=sequences.c.last < number,
        )
    )


def given(values: dict[str, Any], **number: int | None) -> dict[str, Any]:
    """Return the values of a new row with the number it had before; with None the database gives the next one."""
    return values | {name: one for name, one in number.items() if one is not None}
