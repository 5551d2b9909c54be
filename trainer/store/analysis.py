"""What many attempts come to, added up in SQL: for who looks after a procedure, never for one person.

Everything is about one revision, and in practice about attempts that count: the first answer of a person to a question.
What has to be read answer by answer is bounded by the newest answers or the people who practised last, so that a page
takes no longer however many there are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import Float, String, case, cast, false, func, select, true, union_all
from sqlalchemy.dialects.postgresql import JSONB

from trainer.records import canonical
from trainer.store.attempts import Address
from trainer.store.schema.attempts import attempts, skill_summaries
from trainer.store.schema.sittings import sitting_answers, sitting_questions, sittings

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sqlalchemy import ColumnElement

    from trainer.store.session import Unit

_SECONDS_A_DAY = 86_400


@dataclass(frozen=True)
class Answered:
    """How one skill was answered: how often, how often rightly, by how many people."""

    skill: str
    times: int
    right: int
    people: int


@dataclass(frozen=True)
class Broken:
    """How often one relation of an order was broken: `after` came before `before`, in how many answers, of how many people.

    `text` and `signal` are as they stood in the marks; `signal` is "" where nothing would have hurt.
    """

    before: str
    after: str
    text: str
    signal: str
    times: int
    people: int


@dataclass(frozen=True)
class Try:
    """How the nth answers of everybody at one skill went."""

    skill: str
    number: int
    times: int
    right: int


@dataclass(frozen=True)
class AfterGap:
    """How answers went that were given some days after their skill had been shown; `mean_days` of them."""

    bucket: int
    times: int
    right: int
    mean_days: float


@dataclass(frozen=True)
class Given:
    """One answer with the question it was given to."""

    person_id: str
    address: Address
    answer: Any
    right: bool


def answered(unit: Unit, revision: str) -> tuple[Answered, ...]:
    """Return how each skill of a revision was answered; skills that nobody answered are missing."""
    kept = skill_summaries.c
    rows = unit.execute(
        select(
            kept.skill,
            func.sum(kept.attempts).label("times"),
            func.sum(kept.clean).label("right"),
            func.count().label("people"),
        )
        .where(kept.revision == revision)
        .group_by(kept.skill)
    )
    return tuple(Answered(row.skill, int(row.times), int(row.right), row.people) for row in rows)


def assessed(unit: Unit, revision: str) -> dict[str, tuple[int, int]]:
    """Return for each skill how many answers were given in sittings, and how many of them were right."""
    rows = unit.execute(
        select(
            sitting_questions.c.skill,
            func.count().label("times"),
            func.sum(case((sitting_answers.c.is_right, 1), else_=0)).label("right"),
        )
        .select_from(sitting_answers.join(sitting_questions).join(sittings))
        .where(sittings.c.revision == revision)
        .group_by(sitting_questions.c.skill)
    )
    return {row.skill: (row.times, int(row.right)) for row in rows}


def broken(unit: Unit, revision: str, *, skills: Sequence[str], newest: int) -> tuple[Broken, ...]:
    """Return how often each relation was broken, the most frequent first.

    Args:
        unit: the transaction.
        revision: the revision.
        skills: where to look: those about orders.
        newest: how many answers to each skill are looked at, the newest.
    """
    marks = _newest_marks(revision, skills, newest)
    remark = _elements(unit, marks.c.mark, "remarks").alias("remark")
    before, after, text, signal = (
        _text(unit, remark.c.value, *path)
        for path in (("relation", "0"), ("relation", "1"), ("text",), ("signal",))
    )
    rows = unit.execute(
        select(
            before.label("before"),
            after.label("after"),
            text.label("text"),
            func.coalesce(signal, "").label("signal"),
            func.count().label("times"),
            func.count(marks.c.person_id.distinct()).label("people"),
        )
        .select_from(marks.join(remark, true()))
        .where(~marks.c.is_right, before.is_not(None))
        .group_by("before", "after", "text", "signal")
        .order_by(func.count().desc(), "before", "after")
    )
    return tuple(Broken(row.before, row.after, row.text, row.signal, row.times, row.people) for row in rows)


def lines_shown(unit: Unit, revision: str, *, skills: Sequence[str], newest: int) -> dict[str, int]:
    """Return in how many of the same answers each line stood, by its words."""
    marks = _newest_marks(revision, skills, newest)
    line = _elements(unit, marks.c.mark, "lines").alias("line")
    words = _text(unit, line.c.value, "text").label("words")
    rows = unit.execute(
        select(words, func.count().label("times")).select_from(marks.join(line, true())).group_by(words)
    )
    return {row.words: row.times for row in rows}


def first_answers(unit: Unit, revision: str, *, people: int) -> tuple[tuple[str, str, bool], ...]:
    """Return person, skill and whether it was right for first answers to each skill, of those who practised last."""
    first = (
        select(func.min(attempts.c.id).label("id"))
        .where(*_counted(revision), _of_newest_people(revision, people))
        .group_by(attempts.c.person_id, attempts.c.skill)
        .subquery()
    )
    rows = unit.execute(
        select(attempts.c.person_id, attempts.c.skill, attempts.c.is_right)
        .join(first, first.c.id == attempts.c.id)
        .order_by(attempts.c.person_id, attempts.c.skill)
    )
    return tuple((row.person_id, row.skill, row.is_right) for row in rows)


def by_try(unit: Unit, revision: str, *, most: int, people: int) -> tuple[Try, ...]:
    """Return how first, second and further answers at each skill went, up to the `most`-th, of who practised last."""
    numbered = (
        select(
            attempts.c.skill,
            attempts.c.is_right,
            func.row_number()
            .over(partition_by=(attempts.c.person_id, attempts.c.skill), order_by=attempts.c.id)
            .label("number"),
        )
        .where(*_counted(revision), _of_newest_people(revision, people))
        .subquery()
    )
    rows = unit.execute(
        select(
            numbered.c.skill,
            numbered.c.number,
            func.count().label("times"),
            func.sum(case((numbered.c.is_right, 1), else_=0)).label("right"),
        )
        .where(numbered.c.number <= most)
        .group_by(numbered.c.skill, numbered.c.number)
        .order_by(numbered.c.skill, numbered.c.number)
    )
    return tuple(Try(row.skill, row.number, row.times, row.right) for row in rows)


def after_gaps(
    unit: Unit, revision: str, *, edges: Sequence[int], in_a_row: int, people: int
) -> tuple[AfterGap, ...]:
    """Return how answers went that were given some days after their skill had been shown.

    Args:
        unit: the transaction.
        revision: the revision.
        edges: days that part the buckets, ascending; what is below the first is left out, bucket n lies between edge n and
            edge n + 1, and the last one is open.
        in_a_row: how many right in a row, up to the answer before, show a skill.
        people: how many people are looked at, those who practised last.
    """
    key = (attempts.c.person_id, attempts.c.skill)
    follows = (
        select(
            attempts.c.is_right,
            func.sum(case((attempts.c.is_right, 1), else_=0))
            .over(partition_by=key, order_by=attempts.c.id, rows=(-in_a_row, -1))
            .label("right_before"),
            (
                _days(unit, attempts.c.at)
                - func.lag(_days(unit, attempts.c.at)).over(partition_by=key, order_by=attempts.c.id)
            ).label("days"),
        )
        .where(*_counted(revision), _of_newest_people(revision, people))
        .subquery()
    )
    bucket = case(
        *((follows.c.days >= edge, number) for number, edge in reversed(list(enumerate(edges)))), else_=-1
    ).label("bucket")
    rows = unit.execute(
        select(
            bucket,
            func.count().label("times"),
            func.sum(case((follows.c.is_right, 1), else_=0)).label("right"),
            func.avg(follows.c.days).label("mean_days"),
        )
        .where(follows.c.right_before == in_a_row, follows.c.days >= edges[0])
        .group_by(bucket)
        .order_by(bucket)
    )
    return tuple(AfterGap(row.bucket, row.times, row.right, float(row.mean_days)) for row in rows)


def newest_at(unit: Unit, revision: str, skill: str, *, limit: int) -> tuple[Given, ...]:
    """Return the newest answers at one skill."""
    rows = unit.execute(
        select(attempts)
        .where(*_counted(revision), attempts.c.skill == skill)
        .order_by(attempts.c.id.desc())
        .limit(limit)
    )
    return tuple(
        Given(
            row.person_id,
            Address(row.revision, row.kind, row.size, row.seed),
            canonical.read(row.answer),
            row.is_right,
        )
        for row in rows
    )


def shares_elsewhere(unit: Unit, revision: str, skill: str, people: Iterable[str]) -> dict[str, float]:
    """Return for each of these people the share of right answers at every other skill of the revision."""
    kept = skill_summaries.c
    rows = unit.execute(
        select(kept.person_id, cast(func.sum(kept.clean), Float) / func.sum(kept.attempts))
        .where(kept.revision == revision, kept.skill != skill, kept.person_id.in_(sorted(set(people))))
        .group_by(kept.person_id)
    )
    return {row[0]: float(row[1]) for row in rows}


def _newest_marks(revision: str, skills: Sequence[str], most: int) -> Any:
    """Return person, mark and whether it was right for the newest answers to each skill, in practice and in sittings."""
    sat = sitting_answers.join(sitting_questions).join(sittings)
    each = []
    for skill in skills:
        practised = (
            select(attempts.c.person_id, attempts.c.mark, attempts.c.is_right)
            .where(*_counted(revision), attempts.c.skill == skill)
            .order_by(attempts.c.id.desc())
            .limit(most)
        )
        assessed = (
            select(sittings.c.person_id, sitting_answers.c.mark, sitting_answers.c.is_right)
            .select_from(sat)
            .where(sittings.c.revision == revision, sitting_questions.c.skill == skill)
            .order_by(sitting_answers.c.sitting_id.desc(), sitting_answers.c.position.desc())
            .limit(most)
        )
        # In a subquery each: neither database takes a limit inside a union as it stands.
        each += [select(one.subquery()) for one in (practised, assessed)]
    none = select(attempts.c.person_id, attempts.c.mark, attempts.c.is_right).where(false())
    return union_all(*(each or [none])).subquery()


def _of_newest_people(revision: str, most: int) -> ColumnElement[bool]:
    """Return the condition to be of one of the people who practised last."""
    kept = skill_summaries.c
    newest = (
        select(kept.person_id)
        .where(kept.revision == revision)
        .group_by(kept.person_id)
        .order_by(func.max(kept.last_at).desc(), kept.person_id)
        .limit(most)
        .subquery()
    )
    return attempts.c.person_id.in_(select(newest.c.person_id))


def _counted(revision: str) -> tuple[ColumnElement[bool], ...]:
    return attempts.c.revision == revision, attempts.c.counts


def _elements(unit: Unit, mark: ColumnElement[str], field: str) -> Any:
    """Return the elements of a list in a kept mark as rows with a `value`."""
    if unit.dialect.name == "postgresql":
        return func.jsonb_array_elements(cast(mark, JSONB)[field]).table_valued("value")
    return func.json_each(mark, f"$.{field}").table_valued("value")


def _text(unit: Unit, value: Any, *path: str) -> ColumnElement[str]:
    """Return a text inside a JSON value; a figure in the path is a place in a list."""
    if unit.dialect.name == "postgresql":
        return func.jsonb_extract_path_text(cast(value, JSONB), *path, type_=String)
    steps = "".join(f"[{part}]" if part.isdigit() else f".{part}" for part in path)
    return func.json_extract(value, f"${steps}", type_=String)


def _days(unit: Unit, moment: ColumnElement[Any]) -> ColumnElement[Any]:
    """Return a moment as a number of days."""
    if unit.dialect.name == "postgresql":
        return cast(func.extract("epoch", moment), Float) / _SECONDS_A_DAY
    return func.julianday(moment, type_=Float)
