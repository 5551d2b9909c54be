"""Photographs and the steps of observations that they go with: rows ⇄ `Photograph` and `Pictured`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from trainer.records.photograph import Photograph, Pictured
from trainer.store import sequences
from trainer.store.schema.photographs import observation_photographs, photographs
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import ColumnElement

    from trainer.store.session import Unit


def add(
    unit: Unit,
    observation_id: int,
    step: str,
    photograph: Photograph,
    *,
    ticket: str,
    at: datetime,
    kept_at: datetime,
) -> tuple[Pictured, int]:
    """Keep a photograph of a step and return it with its number; bytes that are there already are kept once."""
    sha256 = photograph.sha256
    keep(unit, sha256, width=photograph.width, height=photograph.height, data=photograph.data)
    number = go_with(unit, observation_id, step, sha256, ticket=ticket, at=at, kept_at=kept_at)
    return Pictured(step, sha256, photograph.width, photograph.height, at), number


def keep(unit: Unit, sha256: str, *, width: int, height: int, data: bytes) -> None:
    """Keep bytes under their hash, once."""
    unit.execute(
        insert(unit.dialect.name, photographs)
        .values(sha256=sha256, width=width, height=height, data=data)
        .on_conflict_do_nothing(index_elements=[photographs.c.sha256])
    )


def go_with(
    unit: Unit,
    observation_id: int,
    step: str,
    sha256: str,
    *,
    ticket: str,
    at: datetime,
    kept_at: datetime,
    number: int | None = None,
) -> int:
    """Keep which photograph goes with a step; return the number of the row."""
    values = {
        "observation_id": observation_id,
        "ticket": ticket,
        "step": step,
        "sha256": sha256,
        "at": at,
        "kept_at": kept_at,
    }
    new = insert(unit.dialect.name, observation_photographs).values(sequences.given(values, id=number))
    kept: int = unit.execute(new.returning(observation_photographs.c.id)).scalar_one()
    return kept


def of_observation(unit: Unit, observation_id: int) -> tuple[Pictured, ...]:
    """Return the photographs of an observation, in the order in which they came in."""
    return _read(unit, observation_photographs.c.observation_id == observation_id)


def by_ticket(unit: Unit, observation_id: int, ticket: str) -> Pictured | None:
    """Return the photograph that came in with a ticket, or None."""
    found = _read(
        unit,
        observation_photographs.c.observation_id == observation_id,
        observation_photographs.c.ticket == ticket,
    )
    return next(iter(found), None)


def of_observation_by_hash(unit: Unit, observation_id: int, sha256: str) -> Photograph | None:
    """Return a photograph with its bytes when it goes with an observation, or None."""
    row = unit.execute(
        select(photographs)
        .join(observation_photographs, observation_photographs.c.sha256 == photographs.c.sha256)
        .where(observation_photographs.c.observation_id == observation_id, photographs.c.sha256 == sha256)
        .limit(1)
    ).one_or_none()
    return None if row is None else Photograph(bytes(row.data), row.width, row.height)


def _read(unit: Unit, *conditions: ColumnElement[bool]) -> tuple[Pictured, ...]:
    columns: tuple[Any, ...] = (
        observation_photographs.c.step,
        photographs.c.sha256,
        photographs.c.width,
        photographs.c.height,
        observation_photographs.c.at,
    )
    rows = unit.execute(
        select(*columns)
        .join(photographs, observation_photographs.c.sha256 == photographs.c.sha256)
        .where(*conditions)
        .order_by(observation_photographs.c.id)
    )
    return tuple(Pictured(row.step, row.sha256, row.width, row.height, row.at) for row in rows)
