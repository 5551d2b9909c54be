"""What many attempts come to, added up in SQL: for who looks after a procedure, never for one person.

Everything is about one revision, and about attempts that count: the first answer of a person to a question.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import Float, String, case, cast, func, select, true
from sqlalchemy.dialects.postgresql import JSONB

from trainer.records import canonical
from trainer.store.attempts import Address
from trainer.store.schema.attempts import attempts

if TYPE_CHECKING:
    from collections.abc import Sequence

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
    """How answers went that followed a right one at the same skill after some days; `mean_days` of them."""

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
    rows = unit.execute(
        select(
            attempts.c.skill,
            func.count().label("times"),
            _right().label("right"),
            func.count(attempts.c.person_id.distinct()).label("people"),
        )
        .where(*_counted(revision))
        .group_by(attempts.c.skill)
    )
    return tuple(Answered(row.skill, row.times, row.right, row.people) for row in rows)


def broken(unit: Unit, revision: str) -> tuple[Broken, ...]:
    """Return how often each relation was broken in answers to orders, the most frequent first."""
    remark = _elements(unit, "remarks").alias("remark")
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
            func.count(attempts.c.person_id.distinct()).label("people"),
        )
        .select_from(attempts.join(remark, true()))
        .where(*_counted(revision), ~attempts.c.is_right, before.is_not(None))
        .group_by("before", "after", "text", "signal")
        .order_by(func.count().desc(), "before", "after")
    )
    return tuple(Broken(row.before, row.after, row.text, row.signal, row.times, row.people) for row in rows)


def lines_shown(unit: Unit, revision: str) -> dict[str, int]:
    """Return in how many answers to orders each line stood, by its words."""
    line = _elements(unit, "lines").alias("line")
    words = _text(unit, line.c.value, "text").label("words")
    rows = unit.execute(
        select(words, func.count().label("times"))
        .select_from(attempts.join(line, true()))
        .where(*_counted(revision))
        .group_by(words)
    )
    return {row.words: row.times for row in rows}


def first_answers(unit: Unit, revision: str) -> tuple[tuple[str, str, bool], ...]:
    """Return person, skill and whether it was right for everybody's first answer to each skill."""
    first = (
        select(func.min(attempts.c.id).label("id"))
        .where(*_counted(revision))
        .group_by(attempts.c.person_id, attempts.c.skill)
        .subquery()
    )
    rows = unit.execute(
        select(attempts.c.person_id, attempts.c.skill, attempts.c.is_right)
        .join(first, first.c.id == attempts.c.id)
        .order_by(attempts.c.person_id, attempts.c.skill)
    )
    return tuple((row.person_id, row.skill, row.is_right) for row in rows)


def by_try(unit: Unit, revision: str, *, most: int) -> tuple[Try, ...]:
    """Return how first, second and further answers at each skill went, up to the `most`-th."""
    numbered = (
        select(
            attempts.c.skill,
            attempts.c.is_right,
            func.row_number()
            .over(partition_by=(attempts.c.person_id, attempts.c.skill), order_by=attempts.c.id)
            .label("number"),
        )
        .where(*_counted(revision))
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


def after_gaps(unit: Unit, revision: str, *, edges: Sequence[int]) -> tuple[AfterGap, ...]:
    """Return how answers went that followed a right one at the same skill after some days.

    Args:
        unit: the transaction.
        revision: the revision.
        edges: days that part the buckets, ascending; what is below the first is left out, bucket n lies between edge n and
            edge n + 1, and the last one is open.
    """
    key = (attempts.c.person_id, attempts.c.skill)
    follows = (
        select(
            attempts.c.is_right,
            func.lag(case((attempts.c.is_right, 1), else_=0))
            .over(partition_by=key, order_by=attempts.c.id)
            .label("was_right"),
            (
                _days(unit, attempts.c.at)
                - func.lag(_days(unit, attempts.c.at)).over(partition_by=key, order_by=attempts.c.id)
            ).label("days"),
        )
        .where(*_counted(revision))
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
        .where(follows.c.was_right == 1, follows.c.days >= edges[0])
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


def shares_elsewhere(unit: Unit, revision: str, skill: str) -> dict[str, float]:
    """Return for each person the share of right answers at every other skill of the revision."""
    rows = unit.execute(
        select(attempts.c.person_id, cast(_right(), Float) / func.count())
        .where(*_counted(revision), attempts.c.skill != skill)
        .group_by(attempts.c.person_id)
    )
    return {row[0]: float(row[1]) for row in rows}


def _counted(revision: str) -> tuple[ColumnElement[bool], ...]:
    return attempts.c.revision == revision, attempts.c.counts


def _right() -> ColumnElement[int]:
    return func.sum(case((attempts.c.is_right, 1), else_=0))


def _elements(unit: Unit, field: str) -> Any:
    """Return the elements of a list in the kept mark as rows with a `value`."""
    if unit.dialect.name == "postgresql":
        return func.jsonb_array_elements(cast(attempts.c.mark, JSONB)[field]).table_valued("value")
    return func.json_each(attempts.c.mark, f"$.{field}").table_valued("value")


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
