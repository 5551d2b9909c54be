"""What is kept about one person, as tables of plain values: the part of everything that is no file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.actions import kept_evidence as evidence
from trainer.actions import kept_log
from trainer.actions import kept_rows as rows_of
from trainer.exports.person_packet import KeptTable
from trainer.store import people

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from trainer.store.people import Person
    from trainer.store.session import Unit


@dataclass(frozen=True)
class Tables:
    """All tables about a person, and the entries of the log that speak of nobody else."""

    every: tuple[KeptTable, ...]
    proven: tuple[int, ...]


def of_person(unit: Unit, person: Person, *, whole: bool) -> Tables:
    """Return all tables about a person.

    Args:
        unit: the transaction.
        person: who.
        whole: with the addresses that only the person and the keeper of the register see.
    """
    names = {one.id: one.display_name for one in people.everybody(unit, with_retired=True)}
    of = rows_of.Of(unit, person, names, whole)
    log = kept_log.of_person(unit, person.id, names)
    made = (
        KeptTable(name, title, columns, tuple(rows(of)), note) for name, title, columns, rows, note in _TABLES
    )
    return Tables((*made, log.table), log.proven)


def _named(*columns: str) -> tuple[tuple[str, str], ...]:
    """Return members with their words: what stands behind a colon, else the member itself."""
    parted = (column.partition(":") for column in columns)
    return tuple((name, words or name.replace("_", " ").capitalize()) for name, _, words in parted)


_TABLES: tuple[
    tuple[str, str, tuple[tuple[str, str], ...], Callable[[rows_of.Of], Iterable[Mapping[str, Any]]], str],
    ...,
] = (
    (
        "register",
        "In the register",
        _named(
            "number",
            "sign_in_name:Sign-in name",
            "name",
            "roles:Works as",
            "crew",
            "grade",
            "evaluator:Appointed as evaluator",
            "added_at:In the register since",
            "retired_at:Left",
            "mail_address:Address for reminders",
            "at_providers:Signs in at",
        ),
        rows_of.register,
        "",
    ),
    (
        "sign_ins",
        "Signing in",
        _named("at", "address:From which address", "used_at:Last used", "ended_at:Over", "refused"),
        rows_of.signed_in,
        "As far as it is kept beside the log.",
    ),
    (
        "calendar_addresses",
        "Secret addresses of a calendar",
        _named("made_at:Made", "ended_at:Ended"),
        rows_of.calendars,
        "Of the address itself only a hash is kept.",
    ),
    ("mails", "Told by mail", _named("at", "item:What", "state"), rows_of.told, ""),
    (
        "assignments",
        "Modules to practise",
        _named(
            "module",
            "due",
            "assigned_at:Assigned",
            "assigned_by:By",
            "withdrawn_at:Withdrawn",
            "withdrawn_by:Withdrawn by",
        ),
        rows_of.assigned,
        "",
    ),
    (
        "practice",
        "Answers in practice",
        _named("number", "at", "module", "skill", "right", "counts", "words:Question, answer and mark"),
        evidence.practice,
        "Questions are worked out again from their seed; where their revision or kind is gone, the answer stands alone.",
    ),
    (
        "sittings",
        "Sittings",
        _named(
            "number",
            "module",
            "released_at:Released",
            "released_by:By",
            "because:Why",
            "ended",
            "ended_at:When",
            "sentences:What it came to",
        ),
        evidence.sat,
        "",
    ),
    (
        "sitting_answers",
        "Answers in sittings",
        _named("sitting", "position", "at", "skill", "right", "words:Question, answer and mark"),
        evidence.sat_answers,
        "Of a sitting that is not over nothing is told.",
    ),
    (
        "observations",
        "Seen at the bench",
        _named(
            "number",
            "task",
            "module",
            "size",
            "evaluator",
            "begun_at:Begun",
            "closed_at:Signed",
            "given_up_because:Given up because",
            "result",
            "marks",
        ),
        evidence.observed,
        "",
    ),
    (
        "evaluations",
        "Evaluations",
        _named(
            "number",
            "task",
            "evaluated_on:On",
            "methods",
            "passed",
            "abnormal_passed:Abnormal conditions recognised",
            "result",
            "evaluator",
            "basis",
        ),
        evidence.evaluated,
        "",
    ),
    (
        "qualifications",
        "Qualifications",
        _named(
            "number",
            "task",
            "valid_from:From",
            "valid_until:Until",
            "signed_by",
            "signed_at",
            "supersedes",
            "ended_on:Ended",
            "ended_because:Because",
        ),
        evidence.qualified,
        "",
    ),
    (
        "earlier_papers",
        "Records brought on paper",
        _named(
            "number",
            "task",
            "paper",
            "issued_by",
            "valid_from:From",
            "valid_until:Until",
            "stands",
            "checked_by",
        ),
        evidence.on_paper,
        "",
    ),
    (
        "life",
        "What happened to qualifications",
        _named("on", "task", "what", "cause", "reason", "qualification", "by", "at:Written"),
        evidence.happened,
        "",
    ),
    (
        "changes",
        "Changes that had to be shown anew",
        _named("due", "task", "module", "revision", "reason", "by", "at:Written"),
        evidence.to_show,
        "",
    ),
    ("notices", "Changes of revisions read", _named("at", "revision"), rows_of.read, ""),
    (
        "plans",
        "Plans of cover that name this person",
        _named("plan", "version", "at", "for", "task", "means", "due", "responsible:Seen to by", "kept_by"),
        rows_of.planned,
        "",
    ),
)
