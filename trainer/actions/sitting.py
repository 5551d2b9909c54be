"""Taking a sitting: one question after the other, unaided, each answered once; no mark before the end."""

from __future__ import annotations

import hashlib
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.actions import changes, journal, life_steps, marks, readiness, sitting_draw, tickets
from trainer.actions import policy as policies_room
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.published import prepared
from trainer.actions.sitting_views import (
    PutQuestion,
)
from trainer.errors import TrainerError
from trainer.records import canonical
from trainer.records.life_cycle import Act, Condition
from trainer.store import people, sittings
from trainer.store.sittings import How

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.published import Prepared
    from trainer.actions.readiness import Assessed
    from trainer.drills.mark import Mark
    from trainer.drills.question import Question
    from trainer.store.session import Database, Unit
    from trainer.store.sittings import SatQuestion, Sitting


class SittingOver(TrainerError):
    """The sitting has ended."""

    def __init__(self) -> None:
        super().__init__("This sitting has ended.")


class NotOnSheet(TrainerError):
    """The module of the sitting is not assigned any more."""

    def __init__(self, title: str) -> None:
        super().__init__(
            f"{title} was taken off your sheet; a mentor assigns it again, or breaks this sitting off."
        )


class OtherQuestion(TrainerError):
    """Another question is open: there is no way back to one that was answered, and none forward."""

    def __init__(self, position: int) -> None:
        self.position = position
        super().__init__(f"Question {position} is the open one.")


def begin(db: Database, actor: Actor, sitting_id: int, *, now: datetime) -> int | None:
    """Put the first question, or come back to the open one after a lost connection.

    Returns:
        The position of the open question, None when nothing is left to decide and the sitting has ended.

    Raises:
        NotFound: the actor has no such sitting.
        SittingOver: it has ended.
        NotOnSheet: the module was taken back before the first question.
        LifeStepRefused: nobody may as things are with this person.
    """
    settle(db, actor, sitting_id, now=now)
    with db.writing() as unit:
        people.lock(unit, actor.person_id)
        sitting = _own_open(unit, actor, sitting_id)
        newest = sittings.newest_question(unit, sitting.id)
        if newest is not None:
            return newest.position
        _must_begin(unit, actor, sitting, now.date())
        # Nothing is put when what was open at the release has been decided at the bench since.
        first = _put_next(unit, sitting, (), now=now)
        follows = first or _end(unit, sitting, (), now)
        journal.note(unit, actor, "sitting:begin", at=now, sitting=sitting.id, **follows)
        if not first:
            changes.settle(unit, actor, sitting.person_id, sitting.module_id, now=now)
    return first["put"]["position"] if first else None


def _must_begin(unit: Unit, actor: Actor, sitting: Sitting, today: date) -> None:
    module = prepared(unit, sitting.revision).module
    given = life_steps.module_given(unit, actor.person_id, sitting.module_id)
    life_steps.must(
        unit,
        Act.ASSESS,
        actor,
        actor.person_id,
        module.covered_task,
        looked_at={Condition.MODULE_GIVEN: None if given else NotOnSheet(module.title)},
        today=today,
    )


def question(db: Database, actor: Actor, sitting_id: int, position: int, *, now: datetime) -> PutQuestion:
    """Return the open question, without its key.

    Raises:
        NotFound: the actor has no such sitting.
        SittingOver: it has ended.
        OtherQuestion: another one is open, or none yet.
    """
    settle(db, actor, sitting_id, now=now)
    with db.reading() as unit:
        sitting = _own_open(unit, actor, sitting_id)
        found = _open_question(unit, sitting, position)
        return PutQuestion(sitting.id, position, asked_at(prepared(unit, sitting.revision), found))


def go_on(
    db: Database, actor: Actor, sitting_id: int, position: int, picked: Sequence[str], *, now: datetime
) -> PutQuestion | None:
    """Return the open question at the moment that picks lead to; None when the run is over and can be handed in.

    Raises:
        NotFound, SittingOver, OtherQuestion: as for `question`.
        AnswerUnreadable: the picks are not those of a run.
    """
    settle(db, actor, sitting_id, now=now)
    with db.reading() as unit:
        sitting = _own_open(unit, actor, sitting_id)
        address = _open_question(unit, sitting, position).address
        module = prepared(unit, sitting.revision).module
    asked = drills.go_on(module, address.kind, address.size or None, address.seed, picked)
    return None if asked is None else PutQuestion(sitting.id, position, asked)


def answer(
    db: Database,
    actor: Actor,
    sitting_id: int,
    position: int,
    answer: object,
    *,
    ticket: str,
    now: datetime,
) -> int | None:
    """Keep the answer to the open question and put the next one; what it was worth is told at the end.

    The same answer sent twice, or by two windows at once, is kept once: the first that arrives.

    Args:
        db: the database.
        actor: who sits.
        sitting_id: the sitting.
        position: the question.
        answer: the answer in the form of the question.
        ticket: one of its own for each question shown.
        now: the time.

    Returns:
        The position of the next question, None when the sitting has ended.

    Raises:
        NotFound: the actor has no such sitting.
        AnswerUnreadable: it is not an answer to this question.
        TicketUnfit: the ticket is empty or too long.
        OtherQuestion: the question was not put yet.
        SittingOver: it had ended before this answer came, and the answer is not kept.
    """
    tickets.must_be_fit(ticket)
    settle(db, actor, sitting_id, now=now)
    with db.writing() as unit:
        people.lock(unit, actor.person_id)
        sitting = _own(unit, actor, sitting_id)
        asked = sittings.questions(unit, sitting.id)
        if 0 < position <= len(asked) and asked[position - 1].answer is not None:
            return None if sitting.end is not None else len(asked)
        if sitting.end is not None:
            raise SittingOver
        if position != len(asked):
            raise OtherQuestion(len(asked))
        return _keep(unit, actor, sitting, asked, answer, ticket, now)


def _keep(
    unit: Unit,
    actor: Actor,
    sitting: Sitting,
    asked: Sequence[SatQuestion],
    given: object,
    ticket: str,
    now: datetime,
) -> int | None:
    published = prepared(unit, sitting.revision)
    opened = asked[-1]
    address = opened.address
    question = asked_at(published, opened)
    read = question.form.read(given)
    mark = drills.mark(published.module, address.kind, address.size or None, address.seed, read)
    sittings.answer(
        unit,
        sitting.id,
        opened.position,
        ticket=ticket,
        answer=read,
        mark=marks.kept(mark),
        right=mark.right,
        critical=mark.critical,
        credit_thousandths=marks.thousandths(mark),
        at=now,
    )
    drawn = _put_next(unit, sitting, asked, now=now)
    follows = drawn or _end(unit, sitting, asked, now)
    _note(unit, actor, opened, question, read, mark, ticket, now, follows)
    if not drawn:
        changes.settle(unit, actor, sitting.person_id, sitting.module_id, now=now)
    return drawn["put"]["position"] if drawn else None


def _end(unit: Unit, sitting: Sitting, asked: Sequence[SatQuestion], now: datetime) -> dict[str, Any]:
    """End a sitting that has no further question, and return what the log says of it."""
    assessed = readiness.of_sitting(unit, sitting)
    how = How.FULL if sitting_draw.still_open(sitting, assessed, asked) else How.DECIDED
    results = results_of(assessed)
    sittings.end(unit, sitting.id, how=how, results=results, at=now)
    return {"ended": how.value, "results": results}


def _put_next(unit: Unit, sitting: Sitting, asked: Sequence[SatQuestion], *, now: datetime) -> dict[str, Any]:
    """Put the next question, and return what the log says of it; nothing when there is none to put."""
    if len(asked) >= policies_room.by_hash(unit, sitting.policy).drills_per_sitting:
        return {}
    assessed = readiness.of_sitting(unit, sitting)
    drawn = sitting_draw.draw(unit, sitting, prepared(unit, sitting.revision), assessed, asked)
    if drawn is None:
        return {}
    position = len(asked) + 1
    sittings.ask(
        unit,
        sitting.id,
        position,
        element_class=drawn.element_class,
        series=drawn.series,
        skill=drawn.skill,
        address=drawn.address,
        likeness=drawn.likeness,
        at=now,
    )
    return {"put": {"position": position, **drawn.as_data()}}


def _note(
    unit: Unit,
    actor: Actor,
    opened: SatQuestion,
    question: Question,
    given: Any,
    mark: Mark,
    ticket: str,
    now: datetime,
    follows: Mapping[str, Any],
) -> None:
    address = opened.address
    journal.note(
        unit,
        actor,
        "sitting:answer",
        at=now,
        sitting=opened.sitting_id,
        position=opened.position,
        ticket=ticket,
        element_class=opened.element_class,
        series=opened.series,
        revision=address.revision,
        kind=address.kind,
        skill=opened.skill,
        size=address.size,
        seed=address.seed,
        # As it was asked: a later program may put the same seed into other words.
        question=question.as_data(),
        answer=given,
        right=mark.right,
        critical=mark.critical,
        credit_thousandths=marks.thousandths(mark),
        mark=marks.kept(mark),
        mark_sha256=hashlib.sha256(canonical.written(marks.kept(mark)).encode()).hexdigest(),
        **follows,
    )


def _own(unit: Unit, actor: Actor, sitting_id: int) -> Sitting:
    actor.must(Permission.SITTING_TAKE)
    found = sittings.by_id(unit, sitting_id)
    if found is None or found.person_id != actor.person_id:
        raise NotFound("sitting", sitting_id)
    return found


def _own_open(unit: Unit, actor: Actor, sitting_id: int) -> Sitting:
    found = _own(unit, actor, sitting_id)
    if found.end is not None:
        raise SittingOver
    return found


def settle(db: Database, actor: Actor, sitting_id: int, *, now: datetime) -> None:
    """End a sitting whose time is up, in a transaction of its own: whatever is refused afterwards, that stays."""
    with db.reading() as unit:
        if _late_since(unit, sittings.by_id(unit, sitting_id), now) is None:
            return
    with db.writing() as unit:
        sitting = sittings.by_id(unit, sitting_id)
        assert sitting is not None  # noqa: S101  # nobody deletes one
        people.lock(unit, sitting.person_id)
        sitting = sittings.by_id(unit, sitting_id)
        since = _late_since(unit, sitting, now)
        if sitting is None or since is None:
            return
        assessed = readiness.of_sitting(unit, sitting, late=since)
        results = results_of(assessed)
        sittings.end(unit, sitting.id, how=How.TIME_UP, results=results, at=since)
        left = sittings.newest_question(unit, sitting.id)
        journal.note(
            unit,
            actor,
            "sitting:time_up",
            at=now,
            sitting=sitting.id,
            since=since.isoformat(),
            results=results,
            # The question that stood open has failed.
            failed=None if left is None or left.answer else _failed(left),
        )
        changes.settle(unit, actor, sitting.person_id, sitting.module_id, now=now)


def settle_open(db: Database, actor: Actor, person_id: str, *, now: datetime) -> None:
    """End the open sitting of a person, if its time is up, as `settle` does."""
    with db.reading() as unit:
        waiting = sittings.open_of(unit, person_id)
    if waiting is not None:
        settle(db, actor, waiting.id, now=now)


def _failed(left: SatQuestion) -> dict[str, Any]:
    return {
        "position": left.position,
        "element_class": left.element_class,
        "series": left.series,
        "skill": left.skill,
    }


def _late_since(unit: Unit, sitting: Sitting | None, now: datetime) -> datetime | None:
    """Return when the time of a sitting that has not ended was up, None while it is not."""
    if sitting is None or sitting.end is not None:
        return None
    minutes = policies_room.by_hash(unit, sitting.policy).sitting_minutes
    first = sittings.questions(unit, sitting.id)[:1] if minutes else ()
    if not first:
        return None
    last = first[0].asked_at + timedelta(minutes=minutes)
    return last if now > last else None


def results_of(assessed: Assessed) -> list[dict[str, Any]]:
    """Return what each element class has come to, as it is kept at the end of a sitting; without floats."""
    return [
        {
            "element_class": item.element.id,
            "title": item.element.title,
            "skill_class": item.element.skill_class.value,
            "series": item.series,
            "attempts": item.attempts,
            "failures": item.failures,
            "decision": item.decision.value,
            "sentence": item.sentence,
            "policy": assessed.policies[item.element.id].sha256,
        }
        for item in assessed.readiness.classes
    ]


def _open_question(unit: Unit, sitting: Sitting, position: int) -> SatQuestion:
    newest = sittings.newest_question(unit, sitting.id)
    if newest is None:
        raise OtherQuestion(0)
    if newest.position != position:
        raise OtherQuestion(newest.position)
    return newest


def asked_at(published: Prepared, found: SatQuestion) -> Question:
    """Return a question of a sitting, without its key."""
    address = found.address
    return drills.ask(published.module, address.kind, address.size or None, address.seed)
