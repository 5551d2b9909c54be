"""Changes that have to be shown anew: asked with a publication, shown, found not shown, or ended by a signature.

Entries from before there were such changes tell of none.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from trainer.store import changes
from trainer.store.changes import Step

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit


def asked(unit: Unit, entry: Entry) -> None:
    """Keep what a publication asked, and what it made idle."""
    told = entry.told
    for one in told.get("asked", ()):
        changes.ask(
            unit,
            person_id=one["person"],
            task_id=one["task"],
            number=one["qualification"],
            module_id=told["module"],
            revision=told["revision"],
            signed_under=one["signed_under"],
            classes=told["classes"],
            reason=told["because"],
            due=date.fromisoformat(told["due"]),
            by=entry.by,
            by_name=told["by_name"],
            at=entry.at,
            demand_id=one["demand"],
        )
    for one in told.get("recalled", ()):
        _step(unit, one, Step.RECALLED, entry.at.date(), entry.by, told["by_name"], entry.at)


def signed_anew(unit: Unit, entry: Entry) -> None:
    """Keep which changes a signature ended."""
    signer = entry.told["record"]["supervisor"]
    for one in entry.told.get("ends_changes", ()):
        _step(unit, one, Step.SIGNED_ANEW, entry.at.date(), signer["person"], signer["name"], entry.at)


def not_shown(unit: Unit, entry: Entry) -> None:
    """Keep that a change was found not shown."""
    told, on = entry.told, date.fromisoformat(entry.told["on"])
    for one in told["steps"]:
        step = {**one, "reason": told["reason"]}
        _step(unit, step, Step.NOT_SHOWN, on, one["by"], one["by_name"], entry.at)


def shown(unit: Unit, entry: Entry) -> None:
    """Keep that a supervisor confirmed a change."""
    told, on = entry.told, date.fromisoformat(entry.told["on"])
    for one in told["steps"]:
        step = {**one, "reason": told["evidence"]["statement"]}
        _step(unit, step, Step.SHOWN, on, entry.by, told["by_name"], entry.at, told["evidence"])


def _step(
    unit: Unit,
    told: Mapping[str, Any],
    act: Step,
    on: date,
    by: str,
    by_name: str,
    at: datetime,
    evidence: Mapping[str, Any] | None = None,
) -> None:
    demand = changes.by_id(unit, told["demand"])
    if demand is not None:
        changes.add(
            unit,
            demand,
            act,
            on=on,
            reason=told["reason"],
            by=by,
            by_name=by_name,
            at=at,
            evidence=evidence,
            step_id=told["step"],
        )
