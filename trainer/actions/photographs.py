"""Photographs that go with the steps of an observation: kept while it is open, read by whoever may read it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.actions import bench, observe
from trainer.actions.actor import NotFound
from trainer.actions.observe import ObservationEnded
from trainer.actions.published import prepared
from trainer.errors import TrainerError
from trainer.records import photograph as files
from trainer.records.photograph import MEDIA_TYPE, MOST_BYTES, PhotographUnfit, Pictured
from trainer.store import photographs

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.store.observations import Observation
    from trainer.store.session import Database, Unit

__all__ = ["MEDIA_TYPE", "MOST_BYTES", "MOST_PER_STEP", "Kept", "PhotographSpoilt", "keep", "read"]

# Own choice: the part, the place of it, the gauge.
MOST_PER_STEP = 3


class PhotographSpoilt(TrainerError):
    """What is stored is not what was signed for."""

    def __init__(self, sha256: str) -> None:
        super().__init__(
            f"The photograph {sha256[:8]}… is not stored as it was kept; tell the keeper of the register."
        )


@dataclass(frozen=True)
class Kept:
    """A photograph that is kept; `new` is False when it was kept before."""

    pictured: Pictured
    new: bool


def keep(
    db: Database,
    actor: Actor,
    observation_id: int,
    data: bytes,
    *,
    step: str,
    ticket: str,
    at: datetime,
    now: datetime,
) -> Kept:
    """Keep a photograph of a step; the same ticket, or the same picture of the same step, is kept once.

    Args:
        db: the database.
        actor: the evaluator whose observation it is.
        observation_id: which one.
        data: the file as the camera wrote it.
        step: the step that it shows.
        ticket: one of its own for each photograph, so that it can be sent again.
        at: when it was taken at the bench.
        now: the time.

    Raises:
        NotFound: there is no such observation of this actor.
        ObservationEnded: it was closed or given up, and this one is new.
        ObservationUnfit: the ticket or the step cannot be kept.
        PhotographUnfit: the file is no photograph, is too large, or the step has all that it takes.
    """
    observe.must_have_ticket(ticket)
    with db.reading() as unit:
        before = _before(unit, observe.own(unit, actor, observation_id, lock=False), step, ticket)
    if before is not None:
        return Kept(before, new=False)
    # Decoding takes a while: nothing is locked meanwhile.
    photograph = files.prepared(data)
    with db.writing() as unit:
        kept = observe.own(unit, actor, observation_id)
        before = _before(unit, kept, step, ticket, photograph.sha256)
        if before is not None:
            return Kept(before, new=False)
        taken_at = observe.believed(at, kept.begun_at, now)
        new, number = photographs.add(
            unit, kept.id, step, photograph, ticket=ticket, at=taken_at, kept_at=now
        )
        observe.note(unit, actor, "observation:photograph", kept, now, photograph=_told(new, number, ticket))
        return Kept(new, new=True)


def read(db: Database, actor: Actor, observation_id: int, sha256: str) -> bytes:
    """Return the file of a photograph to whoever may read the observation.

    Raises:
        NotFound: there is no such observation for this actor, or no such photograph in it.
        NotAllowed: the actor watches the same job and has not signed yet.
        PhotographSpoilt: it is not stored as it was kept.
    """
    with db.reading() as unit:
        kept = bench.readable(unit, actor, observation_id)
        photograph = photographs.of_observation_by_hash(unit, kept.id, sha256)
    if photograph is None:
        raise NotFound("photograph", sha256)
    if photograph.sha256 != sha256:
        raise PhotographSpoilt(sha256)
    return photograph.data


def _before(unit: Unit, kept: Observation, step: str, ticket: str, sha256: str = "") -> Pictured | None:
    """Return the photograph if it was kept before, or None when it can be kept now."""
    earlier = photographs.by_ticket(unit, kept.id, ticket)
    if earlier is not None:
        return earlier
    if not kept.is_open:
        raise ObservationEnded(kept)
    if step not in prepared(unit, kept.revision).module.steps:
        raise bench.ObservationUnfit(f"The procedure has no step '{step}'.")
    of_step = [one for one in photographs.of_observation(unit, kept.id) if one.step == step]
    same = next((one for one in of_step if one.sha256 == sha256), None)
    if same is None and len(of_step) >= MOST_PER_STEP:
        raise PhotographUnfit(f"A step takes {MOST_PER_STEP} photographs at most; this one has them.")
    return same


def _told(pictured: Pictured, number: int, ticket: str) -> dict[str, str | int]:
    return {
        **observe.photograph_data(pictured),
        "at": pictured.at.isoformat(),
        "number": number,
        "ticket": ticket,
        "width": pictured.width,
        "height": pictured.height,
    }
