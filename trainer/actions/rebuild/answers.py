"""What was answered: in practice, and in sittings from the release to the end."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from trainer.store import attempts, sittings
from trainer.store.attempts import Address
from trainer.store.read_models import NO_CHANCE
from trainer.store.sittings import How

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit


def practise(unit: Unit, entry: Entry) -> None:
    """Keep an attempt; the summaries are made of all attempts at the end."""
    told = entry.told
    attempts.add(
        unit,
        ticket=told["ticket"],
        person_id=entry.by,
        module_id=told["module"],
        address=_address(told["revision"], told),
        skill=told["skill"],
        answer=told["answer"],
        mark=told["mark"],
        right=told["right"],
        critical=told["critical"],
        credit_thousandths=told["credit_thousandths"],
        counts=told["counts"],
        started_at=datetime.fromisoformat(told["started"]) if told["started"] else None,
        at=entry.at,
        number=told["attempt"],
    )


def release(unit: Unit, entry: Entry) -> None:
    """Keep a released sitting."""
    told = entry.told
    sittings.release(
        unit,
        person_id=told["person"],
        module_id=told["module"],
        revision=told["revision"],
        policy=told["policy"],
        drawn_with=NO_CHANCE,
        shown=told["shown"],
        skills=told["skills"],
        because=told["because"],
        released_by=entry.by,
        at=entry.at,
        classes=told.get("classes", ()),
        number=told["sitting"],
    )


def begin(unit: Unit, entry: Entry) -> None:
    """Keep the first question, or the end where nothing was left to decide."""
    _go_on(unit, entry)


def sit(unit: Unit, entry: Entry) -> None:
    """Keep an answer, and the question or the end that followed."""
    told = entry.told
    sittings.answer(
        unit,
        told["sitting"],
        told["position"],
        ticket=told["ticket"],
        answer=told["answer"],
        mark=told["mark"],
        right=told["right"],
        critical=told["critical"],
        credit_thousandths=told["credit_thousandths"],
        at=entry.at,
    )
    _go_on(unit, entry)


def _go_on(unit: Unit, entry: Entry) -> None:
    told = entry.told
    if "put" in told:
        put = told["put"]
        sittings.ask(
            unit,
            told["sitting"],
            put["position"],
            element_class=put["element_class"],
            series=put["series"],
            skill=put["skill"],
            # The revision is the sitting's and stands with its release.
            address=_address("", put),
            likeness=put["likeness"],
            at=entry.at,
        )
    if "ended" in told:
        sittings.end(unit, told["sitting"], how=How(told["ended"]), results=told["results"], at=entry.at)


def time_up(unit: Unit, entry: Entry) -> None:
    """Keep that a sitting ended when its time was up."""
    told = entry.told
    since = datetime.fromisoformat(told["since"])
    sittings.end(unit, told["sitting"], how=How.TIME_UP, results=told["results"], at=since)


def break_off(unit: Unit, entry: Entry) -> None:
    """Keep that a sitting was broken off, by whom and why."""
    told = entry.told
    sittings.end(
        unit,
        told["sitting"],
        how=How.BROKEN_OFF,
        results=told["results"],
        because=told["because"],
        by=entry.by,
        at=entry.at,
    )


def _address(revision: str, told: Mapping[str, Any]) -> Address:
    return Address(revision, told["kind"], told["size"], told["seed"])
