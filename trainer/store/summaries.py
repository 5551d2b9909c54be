"""The running summary of attempts, a row for each person, revision and skill: rows ⇄ `Summary`.

It is changed in SQL and in the transaction of the attempt, so that no update is lost; `rebuild` makes it anew
from the attempts alone and must give the same rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import case, delete, func, insert, select, text

from trainer.store import upserts
from trainer.store.schema.attempts import attempts, skill_summaries
from trainer.store.schema.people import people

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from sqlalchemy import ColumnElement, Row

    from trainer.store.session import Unit

_kept = skill_summaries.c


@dataclass(frozen=True)
class Summary:
    """What attempts at one skill come to; `in_a_row` counts the right ones since the last wrong one."""

    person_id: str
    revision: str
    skill: str
    attempts: int
    clean: int
    in_a_row: int
    last_at: datetime


def count_in(
    unit: Unit, *, person_id: str, module_id: str, revision: str, skill: str, right: bool, at: datetime
) -> None:
    """Count one more attempt."""
    one = int(right)
    values = {
        "person_id": person_id,
        "revision": revision,
        "skill": skill,
        "module_id": module_id,
        "attempts": 1,
        "clean": one,
        "in_a_row": one,
        "last_at": at,
    }
    unit.execute(_count_in(unit.dialect.name), values)


@cache
def _count_in(dialect: str) -> Any:
    # Built once: it is part of every answer. A wrong answer comes with 0 and so ends the row.
    new = upserts.insert(dialect, skill_summaries)
    return new.on_conflict_do_update(
        index_elements=[_kept.person_id, _kept.revision, _kept.skill],
        set_={
            "attempts": _kept.attempts + 1,
            "clean": _kept.clean + new.excluded.clean,
            "in_a_row": (_kept.in_a_row + 1) * new.excluded.in_a_row,
            "last_at": new.excluded.last_at,
        },
    )


def of_person(unit: Unit, person_id: str, revision: str | None = None) -> dict[tuple[str, str], Summary]:
    """Return a person's summaries by (revision, skill); at one revision when asked."""
    conditions: list[ColumnElement[bool]] = [_kept.person_id == person_id]
    if revision is not None:
        conditions.append(_kept.revision == revision)
    rows = unit.execute(select(skill_summaries).where(*conditions))
    return {(row.revision, row.skill): _summary(row) for row in rows}


def newest(unit: Unit, person_id: str, module_ids: Iterable[str]) -> datetime | None:
    """Return when a person last answered a new question of one of some modules in practice, None when never."""
    asked = select(func.max(_kept.last_at)).where(
        _kept.person_id == person_id, _kept.module_id.in_(tuple(module_ids))
    )
    found: datetime | None = unit.execute(asked).scalar_one()
    return found


def shown_counts(unit: Unit, *, in_a_row: int, crew: str | None = None) -> dict[tuple[str, str], int]:
    """Return how many skills everybody still here, or a crew, has shown, by (person, revision)."""
    here = select(people.c.id).where(people.c.retired_at.is_(None))
    if crew is not None:
        here = here.where(people.c.crew == crew)
    rows = unit.execute(
        select(_kept.person_id, _kept.revision, func.count().label("shown"))
        .where(_kept.person_id.in_(here), _kept.in_a_row >= in_a_row)
        .group_by(_kept.person_id, _kept.revision)
    )
    return {(row.person_id, row.revision): row.shown for row in rows}


def every(unit: Unit) -> tuple[Summary, ...]:
    """Return all rows in the order of their keys."""
    rows = unit.execute(select(skill_summaries).order_by(_kept.person_id, _kept.revision, _kept.skill))
    return tuple(_summary(row) for row in rows)


def rebuild(unit: Unit) -> int:
    """Make all summaries anew from the attempts; return how many rows there are now."""
    if unit.dialect.name == "postgresql":
        # An attempt that is being counted meanwhile would be missed, or counted twice.
        unit.execute(text("LOCK TABLE skill_summaries IN EXCLUSIVE MODE"))
    unit.execute(delete(skill_summaries))
    unit.execute(
        insert(skill_summaries).from_select(
            [
                "person_id",
                "revision",
                "skill",
                "module_id",
                "attempts",
                "clean",
                "in_a_row",
                "last_at",
            ],
            _from_attempts(),
        )
    )
    count: int = unit.execute(select(func.count()).select_from(skill_summaries)).scalar_one()
    return count


def _from_attempts() -> Any:
    key = (attempts.c.person_id, attempts.c.revision, attempts.c.skill)
    # The number of the last wrong attempt stands beside each attempt; what comes after it is in a row.
    wrong_number = case((attempts.c.is_right, 0), else_=attempts.c.id)
    numbered = (
        select(
            *key,
            attempts.c.module_id,
            attempts.c.id,
            attempts.c.is_right,
            attempts.c.at,
            func.max(wrong_number).over(partition_by=key).label("wrong"),
            func.max(attempts.c.id).over(partition_by=key).label("newest"),
        )
        .where(attempts.c.counts)
        .subquery()
    )
    seen = numbered.c
    return select(
        seen.person_id,
        seen.revision,
        seen.skill,
        func.min(seen.module_id),
        func.count(),
        func.sum(case((seen.is_right, 1), else_=0)),
        func.sum(case((seen.id > seen.wrong, 1), else_=0)),
        func.max(case((seen.id == seen.newest, seen.at))),
    ).group_by(seen.person_id, seen.revision, seen.skill)


def _summary(row: Row[Any]) -> Summary:
    return Summary(row.person_id, row.revision, row.skill, row.attempts, row.clean, row.in_a_row, row.last_at)
