"""What people hold for a task: qualifications of our own and transcribed ones side by side, each saying which it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.store import earlier, qualifications

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from trainer.store.qualifications import Term
    from trainer.store.session import Unit


def terms(unit: Unit, *, crew: str | None = None) -> dict[tuple[str, str], tuple[Term, ...]]:
    """Return the terms of everybody still here, or of one crew, by (person, task); our own stand first."""
    found: dict[tuple[str, str], list[Term]] = {}
    for key, own in qualifications.terms(unit, crew=crew).items():
        found[key] = list(own)
    for kept in earlier.of_crew(unit, crew):
        if kept.stands:
            found.setdefault((kept.record.person_id, kept.record.task), []).append(kept.term)
    return {key: _in_line(listed) for key, listed in found.items()}


def of_person(unit: Unit, person_id: str, task_id: str) -> tuple[Term, ...]:
    """Return the terms of one person for a task, of whoever has left too; our own stand first, the newest before others."""
    own = [item.term for item in qualifications.of_person(unit, person_id, task_id=task_id)]
    papers = [
        kept.term
        for kept in earlier.of_person(unit, person_id)
        if kept.stands and kept.record.task == task_id
    ]
    return _in_line([*own, *papers])


def _in_line(listed: Sequence[Term]) -> tuple[Term, ...]:
    """Let the first qualification of our own say which transcribed one it ended."""
    ended = {term.ended_on: term.number for term in listed if term.on_paper and term.ended_on}
    if not ended:
        return tuple(listed)
    return tuple(
        term._replace(supersedes=ended[term.valid_from])
        if not term.on_paper and not term.supersedes and term.valid_from in ended
        else term
        for term in listed
    )


def ending(unit: Unit, *, until: date, crew: str | None = None, most: int | None = None) -> tuple[Term, ...]:
    """Return the terms that are over or end by a day and were not renewed, of everybody still here.

    With `most` those that end first are among them, and of the others not all need be.
    """
    papers = [kept for kept in earlier.of_crew(unit, crew) if kept.stands]
    own = qualifications.tasks_beside_papers(unit, crew=crew) if papers else frozenset()
    # Once there is one of our own, that one tells when it ends.
    over = [
        kept.term
        for kept in papers
        if kept.term.last_day <= until
        and not kept.stopped
        and (kept.record.person_id, kept.record.task) not in own
    ]
    longest: dict[tuple[str, str], date] = {}
    for kept in papers:
        key = (kept.record.person_id, kept.record.task)
        longest[key] = max(longest.get(key, kept.term.last_day), kept.term.last_day)
    last = [term for term in over if term.last_day == longest[term.person_id, term.task_id]]
    return (*qualifications.ending(unit, until=until, crew=crew, most=most), *last)


def holds(unit: Unit, person_id: str, task_id: str, day: date) -> Term | None:
    """Return what qualified a person for a task on a day, one of our own before a transcribed one, or None."""
    own = qualifications.holds(unit, person_id, task_id, day)
    if own is not None:
        return own.term
    return next(
        (
            kept.term
            for kept in earlier.of_person(unit, person_id)
            if kept.stands and kept.record.task == task_id and kept.term.holds_on(day)
        ),
        None,
    )
