"""Sheets of panels: rows ⇄ `KeptPanel`. None is ever changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import insert, select

from trainer.records import canonical
from trainer.store import sequences
from trainer.store.schema.panels import panels
from trainer.store.schema.people import people

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy import Row

    from trainer.store.session import Unit


@dataclass(frozen=True)
class KeptPanel:
    """A kept sheet; `sheet` holds items, judges and their estimates in whole per cent."""

    id: int
    module_id: str
    revision: str
    sheet: Mapping[str, Any]
    cut_thousandths: int
    spread_thousandths: int
    kept_by: str
    keeper_name: str
    at: datetime


_READ = select(panels, people.c.display_name).join(people, people.c.id == panels.c.kept_by)


def add(
    unit: Unit,
    *,
    module_id: str,
    revision: str,
    sheet: Mapping[str, Any],
    cut_thousandths: int,
    spread_thousandths: int,
    by: str,
    at: datetime,
    number: int | None = None,
) -> int:
    """Keep a sheet and return its number."""
    values = {
        "module_id": module_id,
        "revision": revision,
        "sheet": canonical.written(dict(sheet)),
        "cut_thousandths": cut_thousandths,
        "spread_thousandths": spread_thousandths,
        "kept_by": by,
        "at": at,
    }
    new = insert(panels).values(sequences.given(values, id=number))
    kept: int = unit.execute(new.returning(panels.c.id)).scalar_one()
    return kept


def of_module(unit: Unit, module_id: str) -> tuple[KeptPanel, ...]:
    """Return the sheets of a module, the newest first."""
    rows = unit.execute(
        _READ.where(panels.c.module_id == module_id).order_by(panels.c.at.desc(), panels.c.id.desc())
    )
    return tuple(_panel(row) for row in rows)


def by_id(unit: Unit, panel_id: int) -> KeptPanel | None:
    """Return a sheet by its number, or None."""
    row = unit.execute(_READ.where(panels.c.id == panel_id)).one_or_none()
    return None if row is None else _panel(row)


def _panel(row: Row[Any]) -> KeptPanel:
    return KeptPanel(
        id=row.id,
        module_id=row.module_id,
        revision=row.revision,
        sheet=canonical.read(row.sheet),
        cut_thousandths=row.cut_thousandths,
        spread_thousandths=row.spread_thousandths,
        kept_by=row.kept_by,
        keeper_name=row.display_name,
        at=row.at,
    )
