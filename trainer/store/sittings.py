"""Assessment sittings, kept as they were: rows ⇄ `Sitting`, `SatQuestion`, `SatAnswer`, `SittingEnd`."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, exists, func, insert, select

from trainer.records import canonical
from trainer.store import sequences
from trainer.store.answer_kept import AnswerKept
from trainer.store.attempts import Address
from trainer.store.schema.modules import current_revisions
from trainer.store.schema.people import people
from trainer.store.schema.sittings import sitting_answers, sitting_ends, sitting_questions, sittings

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from sqlalchemy import ColumnElement, Row

    from trainer.store.session import Unit


class How(StrEnum):
    """How a sitting ended."""

    DECIDED = "decided"
    FULL = "full"
    TIME_UP = "time_up"
    BROKEN_OFF = "broken_off"


@dataclass(frozen=True)
class SittingEnd:
    """How a sitting ended, when, and what each element class had come to; a reason where somebody broke it off."""

    how: How
    results: tuple[Mapping[str, Any], ...]
    because: str
    ended_by: str
    at: datetime


@dataclass(frozen=True)
class Sitting:
    """A released sitting; `end` is None while it waits or is under way. `classes` names what it is about; none means all."""

    id: int
    person_id: str
    module_id: str
    revision: str
    policy: str
    drawn_with: str
    shown: int
    skills: int
    because: str
    released_by: str
    released_at: datetime
    end: SittingEnd | None
    classes: tuple[str, ...] = ()


@dataclass(frozen=True)
class SatAnswer(AnswerKept):
    """An answer and its mark; both are kept as canonical JSON and read when they are asked for."""

    ticket: str
    answer_text: str
    mark_text: str
    right: bool
    critical: bool
    at: datetime


@dataclass(frozen=True)
class SatQuestion:
    """A question of a sitting, and its answer once there is one."""

    sitting_id: int
    position: int
    element_class: str
    series: int
    skill: str
    address: Address
    asked_at: datetime
    answer: SatAnswer | None


@dataclass(frozen=True)
class SatMark:
    """What an answered question says of an element class: the series it belongs to, the skill, and the mark.

    `policy` names the numbers that the sitting was released under.
    """

    sitting_id: int
    position: int
    policy: str
    element_class: str
    series: int
    skill: str
    right: bool
    critical: bool
    at: datetime


_WITH_END = sittings.outerjoin(sitting_ends, sitting_ends.c.sitting_id == sittings.c.id)
_ENDED = (
    sitting_ends.c.how,
    sitting_ends.c.results,
    sitting_ends.c.because.label("end_because"),
    sitting_ends.c.ended_by,
    sitting_ends.c.at.label("ended_at"),
)
_WITH_ANSWER = sitting_questions.outerjoin(
    sitting_answers,
    (sitting_answers.c.sitting_id == sitting_questions.c.sitting_id)
    & (sitting_answers.c.position == sitting_questions.c.position),
)

# Built once: they are asked with every answer.
_OPEN = (
    select(sittings, *_ENDED)
    .select_from(_WITH_END)
    .where(sittings.c.person_id == bindparam("of_person"), sitting_ends.c.sitting_id.is_(None))
    .order_by(sittings.c.id.desc())
    .limit(1)
)
_MARKS = (
    select(
        sitting_questions,
        sittings.c.policy,
        sitting_answers.c.is_right,
        sitting_answers.c.critical,
        sitting_answers.c.at,
        sitting_ends.c.at.label("ended_at"),
    )
    .select_from(
        _WITH_ANSWER.join(sittings, sittings.c.id == sitting_questions.c.sitting_id).outerjoin(
            sitting_ends, sitting_ends.c.sitting_id == sittings.c.id
        )
    )
    .where(
        sittings.c.person_id == bindparam("of_person"),
        sittings.c.revision == bindparam("at_revision"),
        sitting_answers.c.at.is_not(None)
        | (sitting_ends.c.how == How.TIME_UP.value)
        | (sitting_questions.c.sitting_id == bindparam("overdue")),
    )
    .order_by(sitting_questions.c.sitting_id, sitting_questions.c.position)
)


def release(
    unit: Unit,
    *,
    person_id: str,
    module_id: str,
    revision: str,
    policy: str,
    drawn_with: str,
    shown: int,
    skills: int,
    because: str,
    released_by: str,
    at: datetime,
    number: int | None = None,
    classes: Sequence[str] = (),
) -> Sitting:
    """Return the released sitting."""
    values = {
        "person_id": person_id,
        "module_id": module_id,
        "revision": revision,
        "policy": policy,
        "drawn_with": drawn_with,
        "classes": canonical.written(list(classes)),
        "shown": shown,
        "skills": skills,
        "because": because,
        "released_by": released_by,
        "released_at": at,
    }
    statement = insert(sittings).values(sequences.given(values, id=number))
    kept: int = unit.execute(statement.returning(sittings.c.id)).scalar_one()
    found = by_id(unit, kept)
    assert found is not None  # noqa: S101  # it was put there one line above
    return found


def by_id(unit: Unit, sitting_id: int) -> Sitting | None:
    """Return a sitting by number, or None."""
    return next(iter(_read(unit, sittings.c.id == sitting_id)), None)


def of_person(unit: Unit, person_id: str, module_id: str | None = None) -> tuple[Sitting, ...]:
    """Return a person's sittings, of one module when asked, newest first."""
    conditions: list[ColumnElement[bool]] = [sittings.c.person_id == person_id]
    if module_id is not None:
        conditions.append(sittings.c.module_id == module_id)
    return _read(unit, *conditions)


def passed(unit: Unit) -> tuple[Sitting, ...]:
    """Return the sittings at revisions in force that came to the end of all series, of everybody still here."""
    in_force = exists().where(current_revisions.c.revision == sittings.c.revision)
    here = exists().where(people.c.id == sittings.c.person_id, people.c.retired_at.is_(None))
    whole = sittings.c.classes == "[]"
    return _read(unit, sitting_ends.c.how == How.DECIDED.value, in_force, here, whole)


def open_of(unit: Unit, person_id: str) -> Sitting | None:
    """Return the sitting of a person that is released and has not ended, or None."""
    row = unit.execute(_OPEN, {"of_person": person_id}).first()
    return None if row is None else _sitting(row)


def ask(
    unit: Unit,
    sitting_id: int,
    position: int,
    *,
    element_class: str,
    series: int,
    skill: str,
    address: Address,
    likeness: str,
    at: datetime,
) -> None:
    """Keep the next question of a sitting."""
    unit.execute(
        insert(sitting_questions).values(
            sitting_id=sitting_id,
            position=position,
            element_class=element_class,
            series=series,
            skill=skill,
            kind=address.kind,
            size=address.size,
            seed=address.seed,
            likeness=likeness,
            asked_at=at,
        )
    )


def answer(
    unit: Unit,
    sitting_id: int,
    position: int,
    *,
    ticket: str,
    answer: Any,
    mark: Mapping[str, Any],
    right: bool,
    critical: bool,
    credit_thousandths: int,
    at: datetime,
) -> None:
    """Keep the answer to a question; a second one to the same question is refused by its key."""
    unit.execute(
        insert(sitting_answers).values(
            sitting_id=sitting_id,
            position=position,
            ticket=ticket,
            answer=canonical.written(answer),
            mark=canonical.written(dict(mark)),
            is_right=right,
            critical=critical,
            credit_thousandths=credit_thousandths,
            at=at,
        )
    )


def end(
    unit: Unit,
    sitting_id: int,
    *,
    how: How,
    results: Sequence[Mapping[str, Any]],
    because: str = "",
    by: str = "",
    at: datetime,
) -> None:
    """Keep how a sitting ended; `because` and `by` belong to one that was broken off."""
    unit.execute(
        insert(sitting_ends).values(
            sitting_id=sitting_id,
            how=how.value,
            results=canonical.written([dict(item) for item in results]),
            because=because,
            ended_by=by or None,
            at=at,
        )
    )


def questions(unit: Unit, sitting_id: int) -> tuple[SatQuestion, ...]:
    """Return the questions of a sitting with their answers, in the order in which they were asked."""
    rows = unit.execute(
        _questions()
        .where(sitting_questions.c.sitting_id == sitting_id)
        .order_by(sitting_questions.c.position)
    )
    return tuple(_question(row) for row in rows)


def newest_question(unit: Unit, sitting_id: int) -> SatQuestion | None:
    """Return the question asked last in a sitting, or None before the first."""
    row = unit.execute(
        _questions()
        .where(sitting_questions.c.sitting_id == sitting_id)
        .order_by(sitting_questions.c.position.desc())
        .limit(1)
    ).one_or_none()
    return None if row is None else _question(row)


def marks(
    unit: Unit, person_id: str, revision: str, *, late: tuple[int, datetime] | None = None
) -> tuple[SatMark, ...]:
    """Return what a person's sittings at a revision say, in the order in which the questions were asked.

    A question that stood open when the time was up counts as failed, so that waiting is no way past it; one that
    stood open when the sitting was broken off counts for nothing.

    Args:
        unit: the transaction.
        person_id: whose sittings.
        revision: the revision.
        late: number of a sitting whose time is up, and since when; it is about to be ended so.
    """
    asked = {"of_person": person_id, "at_revision": revision, "overdue": late[0] if late else 0}
    rows = unit.execute(_MARKS, asked)
    return tuple(
        SatMark(
            row.sitting_id,
            row.position,
            row.policy,
            row.element_class,
            row.series,
            row.skill,
            bool(row.is_right),
            bool(row.critical),
            row.at or row.ended_at or (late[1] if late else row.asked_at),
        )
        for row in rows
    )


def was_asked(unit: Unit, person_id: str, address: Address) -> bool:
    """Return whether a person was asked this very question in a sitting."""
    q = sitting_questions.c
    asked = exists().where(
        sittings.c.id == q.sitting_id,
        sittings.c.person_id == person_id,
        sittings.c.revision == address.revision,
        q.kind == address.kind,
        q.size == address.size,
        q.seed == address.seed,
    )
    return bool(unit.execute(select(asked)).scalar_one())


def asked_in_series(
    unit: Unit,
    person_id: str,
    revision: str,
    element_class: str,
    series: int,
    *,
    since: datetime | None = None,
) -> tuple[tuple[str, str], ...]:
    """Return the skill and size of every question that a person was asked in one series of an element class.

    The numbers of series begin anew after a signature; `since` leaves out what was asked before.
    """
    rows = unit.execute(
        select(sitting_questions.c.skill, sitting_questions.c.size)
        .select_from(sitting_questions.join(sittings, sittings.c.id == sitting_questions.c.sitting_id))
        .where(
            sittings.c.person_id == person_id,
            sittings.c.revision == revision,
            sitting_questions.c.element_class == element_class,
            sitting_questions.c.series == series,
            *(() if since is None else (sitting_questions.c.asked_at > since,)),
        )
    )
    return tuple((row.skill, row.size) for row in rows)


def people_asked(unit: Unit, likeness: str) -> int:
    """Return to how many people a question of this likeness was put."""
    found = (
        select(func.count(sittings.c.person_id.distinct()))
        .select_from(sitting_questions.join(sittings, sittings.c.id == sitting_questions.c.sitting_id))
        .where(sitting_questions.c.likeness == likeness)
    )
    number: int = unit.execute(found).scalar_one()
    return number


def likenesses_of(unit: Unit, person_id: str, revision: str) -> frozenset[str]:
    """Return the likenesses of all questions that a person was asked at a revision."""
    rows = unit.execute(
        select(sitting_questions.c.likeness)
        .distinct()
        .select_from(sitting_questions.join(sittings, sittings.c.id == sitting_questions.c.sitting_id))
        .where(sittings.c.person_id == person_id, sittings.c.revision == revision)
    )
    return frozenset(row[0] for row in rows)


def _questions() -> Any:
    return select(
        sitting_questions,
        sittings.c.revision,
        sitting_answers.c.ticket,
        sitting_answers.c.answer,
        sitting_answers.c.mark,
        sitting_answers.c.is_right,
        sitting_answers.c.critical,
        sitting_answers.c.at,
    ).select_from(_WITH_ANSWER.join(sittings, sittings.c.id == sitting_questions.c.sitting_id))


def _question(row: Row[Any]) -> SatQuestion:
    return SatQuestion(
        sitting_id=row.sitting_id,
        position=row.position,
        element_class=row.element_class,
        series=row.series,
        skill=row.skill,
        address=Address(row.revision, row.kind, row.size, row.seed),
        asked_at=row.asked_at,
        answer=None
        if row.at is None
        else SatAnswer(row.ticket, row.answer, row.mark, row.is_right, row.critical, row.at),
    )


def _read(unit: Unit, *conditions: ColumnElement[bool]) -> tuple[Sitting, ...]:
    rows = unit.execute(
        select(sittings, *_ENDED).select_from(_WITH_END).where(*conditions).order_by(sittings.c.id.desc())
    )
    return tuple(_sitting(row) for row in rows)


def _sitting(row: Row[Any]) -> Sitting:
    return Sitting(
        id=row.id,
        person_id=row.person_id,
        module_id=row.module_id,
        revision=row.revision,
        policy=row.policy,
        drawn_with=row.drawn_with,
        shown=row.shown,
        skills=row.skills,
        because=row.because,
        released_by=row.released_by,
        released_at=row.released_at,
        end=None
        if row.how is None
        else SittingEnd(
            How(row.how),
            tuple(canonical.read(row.results)),
            row.end_because,
            row.ended_by or "",
            row.ended_at,
        ),
        classes=tuple(canonical.read(row.classes)),
    )
