"""What was seen at the bench: observations, marks, photographs, and the evaluations that rest on them."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from trainer.actions.rebuild.entry import day
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.store import evaluations, observations, photographs
from trainer.store.read_models import NO_BYTES

if TYPE_CHECKING:
    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit


def begin(unit: Unit, entry: Entry) -> None:
    """Keep an observation begun by who watches."""
    _begin(unit, entry, entry.by, entry.at)


def transcribe(unit: Unit, entry: Entry) -> None:
    """Keep an observation that came in on a paper card, with its marks."""
    _begin(unit, entry, entry.told["evaluator"], datetime.fromisoformat(entry.told["begun"]), entry.by)
    mark(unit, entry)


def _begin(unit: Unit, entry: Entry, evaluator_id: str, begun_at: datetime, transcriber: str = "") -> None:
    told = entry.told
    observations.begin(
        unit,
        ticket=told["ticket"],
        person_id=told["person"],
        module_id=told["module"],
        revision=told["revision"],
        task_id=told["task"],
        size=told["size"],
        evaluator_id=evaluator_id,
        beside=told.get("beside") or None,
        begun_at=begun_at,
        filled_on=day(told.get("filled_on", "")),
        transcribed_by=transcriber,
        number=told["observation"],
    )


def mark(unit: Unit, entry: Entry) -> None:
    """Keep the marks that came in."""
    kept = [
        observations.Entry(
            one["ticket"],
            StepSeen(
                one["step"],
                StepMark(one["mark"]) if one["mark"] else None,
                one["note"],
                datetime.fromisoformat(one["at"]),
            ),
            one["number"],
        )
        for one in entry.told["entries"]
    ]
    observations.enter(unit, entry.told["observation"], kept, kept_at=entry.at)


def photograph(unit: Unit, entry: Entry) -> None:
    """Keep which photograph goes with a step; its bytes are not in the log."""
    told = entry.told["photograph"]
    photographs.keep(unit, told["sha256"], width=told["width"], height=told["height"], data=NO_BYTES)
    photographs.go_with(
        unit,
        entry.told["observation"],
        told["step"],
        told["sha256"],
        ticket=told["ticket"],
        at=datetime.fromisoformat(told["at"]),
        kept_at=entry.at,
        number=told["number"],
    )


def give_up(unit: Unit, entry: Entry) -> None:
    """End an observation without a signature."""
    observations.give_up(unit, entry.told["observation"], entry.told["because"], entry.at)


def close(unit: Unit, entry: Entry) -> None:
    """Close an observation with what was signed."""
    observations.close(unit, entry.told["observation"], entry.told["record"], entry.at)


def evaluate(unit: Unit, entry: Entry) -> None:
    """Keep an evaluation, and the observation that it rests on."""
    told = entry.told
    evaluations.add(
        unit,
        person_id=told["person"],
        module_id=told["module"],
        revision=told["revision"],
        task_id=told["task"],
        evaluated_on=date.fromisoformat(told["evaluated_on"]),
        methods=tuple(Method(name) for name in told["methods"]),
        abnormal_conditions=told["abnormal_conditions"],
        abnormal_passed=told["abnormal_passed"],
        passed=told["passed"],
        note=told["result"],
        evaluator_id=entry.by,
        evaluator_name=told["evaluator_name"],
        basis=told["basis"],
        meaning=told["meaning"],
        at=entry.at,
        number=told["evaluation"],
    )
    if told["observation"]:
        observations.rest_on(unit, told["evaluation"], told["observation"])
