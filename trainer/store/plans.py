"""Plans of cover: rows ⇄ `KeptPlan`. A version is never changed; a better one stands beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from trainer.records import canonical
from trainer.store.schema.people import people
from trainer.store.schema.plans import plans
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy import Row

    from trainer.store.session import Unit


@dataclass(frozen=True)
class KeptPlan:
    """A version of a plan; `sheet` holds what was asked and the lines, as plain JSON values."""

    number: int
    version: int
    crew: str
    sheet: Mapping[str, Any]
    kept_by: str
    keeper_name: str
    at: datetime


_READ = select(plans, people.c.display_name).join(people, people.c.id == plans.c.kept_by)


def add(
    unit: Unit,
    *,
    number: int,
    version: int,
    crew: str,
    sheet: Mapping[str, Any],
    by: str,
    at: datetime,
) -> bool:
    """Keep a version of a plan; return False when the plan has that version already."""
    values = {
        "number": number,
        "version": version,
        "crew": crew,
        "sheet": canonical.written(dict(sheet)),
        "kept_by": by,
        "at": at,
    }
    new = insert(unit.dialect.name, plans).values(values)
    unless_there = new.on_conflict_do_nothing(index_elements=[plans.c.number, plans.c.version])
    return unit.execute(unless_there.returning(plans.c.number)).first() is not None


def newest(unit: Unit, number: int) -> KeptPlan | None:
    """Return the newest version of a plan, or None."""
    row = unit.execute(
        _READ.where(plans.c.number == number).order_by(plans.c.version.desc()).limit(1)
    ).one_or_none()
    return None if row is None else _plan(row)


def version_of(unit: Unit, number: int, version: int) -> KeptPlan | None:
    """Return one version of a plan, or None."""
    row = unit.execute(_READ.where(plans.c.number == number, plans.c.version == version)).one_or_none()
    return None if row is None else _plan(row)


def of_crew(unit: Unit, crew: str) -> tuple[KeptPlan, ...]:
    """Return the newest version of each plan of a crew, the newest plan first."""
    last = (
        select(plans.c.number, func.max(plans.c.version).label("version"))
        .where(plans.c.crew == crew)
        .group_by(plans.c.number)
        .subquery()
    )
    rows = unit.execute(
        _READ.join(last, (last.c.number == plans.c.number) & (last.c.version == plans.c.version)).order_by(
            plans.c.number.desc()
        )
    )
    return tuple(_plan(row) for row in rows)


def naming(unit: Unit, person_id: str) -> tuple[KeptPlan, ...]:
    """Return all versions of plans that name a person, the oldest first."""
    rows = unit.execute(
        _READ.where(plans.c.sheet.contains(f'"{person_id}"', autoescape=True)).order_by(
            plans.c.number, plans.c.version
        )
    )
    return tuple(_plan(row) for row in rows)


def _plan(row: Row[Any]) -> KeptPlan:
    return KeptPlan(
        number=row.number,
        version=row.version,
        crew=row.crew,
        sheet=canonical.read(row.sheet),
        kept_by=row.kept_by,
        keeper_name=row.display_name,
        at=row.at,
    )
