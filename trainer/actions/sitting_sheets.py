"""Reading sittings: where one stands, what it came to, what was asked in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.actions import marks
from trainer.actions import policy as policies_room
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.published import prepared
from trainer.actions.sitting import asked_at, settle
from trainer.actions.sitting_views import AskedLine, ClassResult, SatView, SittingLine, SittingSheet
from trainer.actions.unaided import must_not_sit
from trainer.store import modules, people, sittings
from trainer.store.sittings import How

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.published import Prepared
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit
    from trainer.store.sittings import SatQuestion, Sitting


def sheet(db: Database, actor: Actor, sitting_id: int, *, now: datetime) -> SittingSheet:
    """Return a sitting: the actor's own, or one of somebody they look after.

    Raises:
        NotFound: there is none for this actor.
    """
    with db.reading() as unit:
        _seen(unit, actor, sitting_id)
    settle(db, actor, sitting_id, now=now)
    with db.reading() as unit:
        sitting, person = _seen(unit, actor, sitting_id)
        asked = sittings.questions(unit, sitting.id)
        published = prepared(unit, sitting.revision)
        numbers = policies_room.by_hash(unit, sitting.policy)
        releaser = people.by_id(unit, sitting.released_by)
        ended = sitting.end is not None
        return SittingSheet(
            sitting=sitting,
            person_name=person.display_name,
            module_title=published.module.title,
            document=published.module.document,
            task_id=published.module.covered_task,
            released_by=releaser.display_name if releaser else sitting.released_by,
            answered=sum(one.answer is not None for one in asked),
            most=numbers.drills_per_sitting,
            minutes=numbers.sitting_minutes,
            state=state_of(sitting, begun=bool(asked)),
            position=asked[-1].position if asked and not ended else None,
            begun_at=asked[0].asked_at if asked else None,
            results=tuple(_result(item) for item in sitting.end.results) if sitting.end else (),
            asked=tuple(_line(published, one) for one in asked) if ended else (),
            may_break_off=not ended
            and actor.person_id != person.id
            and actor.may_for(Permission.SITTING_RELEASE, crew=person.crew),
        )


def view(db: Database, actor: Actor, sitting_id: int, position: int) -> SatView:
    """Return a question of an ended sitting as it was asked, answered and marked.

    Raises:
        NotFound: there is no such sitting for this actor, no such question in it, or it has not ended.
        SittingUnderWay: it is the actor's own, and they sit again.
    """
    with db.reading() as unit:
        sitting, person = _seen(unit, actor, sitting_id)
        asked = sittings.questions(unit, sitting.id)
        if sitting.end is None or not 0 < position <= len(asked):
            raise NotFound("question", f"{sitting_id}/{position}")
        if person.id == actor.person_id:
            must_not_sit(unit, actor)
        published = prepared(unit, sitting.revision)
    found = asked[position - 1]
    skill = published.skill(found.skill)
    return SatView(
        sitting_id=sitting.id,
        position=position,
        person_id=person.id,
        person_name=person.display_name,
        question=asked_at(published, found),
        answer=found.answer.answer if found.answer else None,
        mark=marks.restored(found.answer.mark) if found.answer else None,
        skill_title=skill.title if skill else found.skill,
        at=found.answer.at if found.answer else None,
        document=published.module.document,
    )


def newest_of(db: Database, actor: Actor, person_id: str, module_id: str) -> int | None:
    """Return the number of a person's newest sitting of a module, or None.

    Raises:
        NotFound: there is one, but not for this actor.
    """
    with db.reading() as unit:
        found = next(iter(sittings.of_person(unit, person_id, module_id)), None)
        return None if found is None else _seen(unit, actor, found.id)[0].id


def lines_of(unit: Unit, person_id: str) -> tuple[SittingLine, ...]:
    """Return a person's sittings in a line each, newest first."""
    titles = {revision.module_id: revision.title for revision in modules.in_force(unit)}
    return tuple(
        SittingLine(
            sitting_id=one.id,
            module_id=one.module_id,
            module_title=titles.get(one.module_id, one.module_id),
            revision=one.revision,
            released_at=one.released_at,
            state=state_of(one, begun=sittings.newest_question(unit, one.id) is not None),
            is_open=one.end is None,
        )
        for one in sittings.of_person(unit, person_id)
    )


def state_of(sitting: Sitting, *, begun: bool) -> str:
    """Return where a sitting stands, in a few words."""
    if sitting.end is None:
        return "under way" if begun else "released, not begun"
    if sitting.end.how is How.BROKEN_OFF:
        return f"broken off: {sitting.end.because.rstrip('.')}"
    failed = [str(item["title"]) for item in sitting.end.results if item["decision"] == "not-ready"]
    undecided = sum(item["decision"] == "go-on" for item in sitting.end.results)
    if failed:
        return f"not ready: {'; '.join(failed)}"
    if undecided:
        late = "time up, " if sitting.end.how is How.TIME_UP else ""
        return f"{late}{undecided} of {len(sitting.end.results)} classes undecided, the series go on"
    return f"passed in all {len(sitting.end.results)} classes"


def _seen(unit: Unit, actor: Actor, sitting_id: int) -> tuple[Sitting, Person]:
    found = sittings.by_id(unit, sitting_id)
    person = people.by_id(unit, found.person_id) if found else None
    if found is None or person is None:
        raise NotFound("sitting", sitting_id)
    own = person.id == actor.person_id and actor.may(Permission.SITTING_TAKE)
    if not own and not actor.may_for(Permission.ATTEMPT_READ, crew=person.crew):
        raise NotFound("sitting", sitting_id)
    return found, person


def _result(item: Mapping[str, Any]) -> ClassResult:
    return ClassResult(
        title=item["title"],
        skill_class=item["skill_class"],
        series=item["series"],
        attempts=item["attempts"],
        failures=item["failures"],
        decision=item["decision"],
        sentence=item["sentence"],
    )


def _line(published: Prepared, one: SatQuestion) -> AskedLine:
    skill = published.skill(one.skill)
    return AskedLine(
        position=one.position,
        skill_title=skill.title if skill else one.skill,
        size=one.address.size,
        right=one.answer.right if one.answer else None,
        critical=one.answer.critical if one.answer else False,
        headline=str(one.answer.mark["headline"]) if one.answer else "Not answered.",
    )
