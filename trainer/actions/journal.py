"""The log line that every change carries, written in the same transaction."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.store import events

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.store.session import Unit


def note(unit: Unit, actor: Actor, action: str, *, at: datetime, **payload: Any) -> int:
    """Return the number of the log entry that says who did what and when.

    Args:
        unit: the transaction of the change; nothing should be written in it afterwards.
        actor: who does it.
        action: what is done, as `resource:verb`.
        at: when.
        payload: plain JSON values without floats; dates and times as text. How somebody showed again who they are, for
            a signature, is added as `means`.
    """
    if actor.means:
        payload["means"] = actor.means
    return events.add(unit, at=at, person_id=actor.person_id, action=action, payload=payload)
