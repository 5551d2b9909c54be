"""Practising: my sheet, the next drill, the question, the answer and its mark."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from trainer import drills
from trainer.actions import (
    evidence,
    guidance,
    journal,
    life_steps,
    marks,
    next_skill,
    policy,
    sheets,
    tickets,
)
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared, prepared_from
from trainer.actions.unaided import must_not_sit, must_not_sit_now
from trainer.actions.views import AttemptResult, AttemptView, DrillAddress, MySheet, PracticeSheet
from trainer.errors import TrainerError
from trainer.records.life_cycle import Act
from trainer.store import attempts, modules, people, sittings, summaries
from trainer.store.attempts import Address, Attempt

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.guidance import Guidance
    from trainer.actions.published import Prepared
    from trainer.competency.policy import Policy
    from trainer.drills.mark import Mark
    from trainer.drills.question import Question
    from trainer.store.session import Database, Unit

# A seed travels through JSON and addresses, where whole numbers are exact up to here.
_SEEDS = 2**53


class NothingToPractise(TrainerError):
    """The module gives no drill."""

    def __init__(self, title: str) -> None:
        super().__init__(f"{title} gives nothing to practise yet.")


def my_sheet(db: Database, actor: Actor, *, now: datetime) -> MySheet:
    """Return the actor's own sheet: what is assigned, shown, missing, and what comes next."""
    actor.must(Permission.SHEET_OWN)
    with db.reading() as unit:
        person = people.by_id(unit, actor.person_id)
        if person is None:
            raise NotFound("person", actor.person_id)
        return MySheet(
            person_id=person.id,
            name=person.display_name,
            crew=person.crew,
            grade=person.grade,
            day=now.date(),
            minutes=policy.in_force(unit).policy.sheet_minutes,
            modules=sheets.modules_of(unit, person.id, now.date()),
        )


def next_drill(
    db: Database,
    actor: Actor,
    module_id: str,
    skill_id: str | None,
    size: str | None,
    *,
    now: datetime,
) -> DrillAddress:
    """Return a drill that this person was not asked before.

    The same one comes again until it is answered: nobody looks for an easy question by asking anew.

    Args:
        db: the database.
        actor: who practises.
        module_id: the module.
        skill_id: the skill; the one that needs it most unless given.
        size: the size on the bench; the one practised least unless given.
        now: the time.

    Raises:
        NotFound: no such module, skill or size.
        SittingUnderWay: the person sits.
        NothingToPractise: the module gives no drill.
    """
    actor.must(Permission.PRACTICE_DO)
    with db.reading() as unit:
        must_not_sit(unit, actor)
        revision = in_force(unit, module_id).revision
        published = prepared(unit, revision)
        skill = _chosen_skill(unit, actor, published, skill_id, now.date())
        used = attempts.sizes_used(unit, actor.person_id, revision, skill)
        on_bench = (
            _chosen_size(published, size) if size else next_skill.size_for(published.module.sizes, used)
        )
        return _fresh(unit, actor, published, skill, on_bench)


def _chosen_skill(unit: Unit, actor: Actor, published: Prepared, skill_id: str | None, today: date) -> str:
    if skill_id:
        if published.skill(skill_id) is None:
            raise NotFound("skill", skill_id)
        return skill_id
    numbers = policy.in_force(unit).policy
    found = _guidance(unit, actor, published, numbers)
    chosen = next_skill.choose(found.prospects, numbers, today)
    if chosen is None:
        raise NothingToPractise(published.module.title)
    return chosen.skill_id


def _guidance(unit: Unit, actor: Actor, published: Prepared, numbers: Policy) -> Guidance:
    revision = published.module.revision
    kept = summaries.of_person(unit, actor.person_id, revision)
    shown = evidence.shown(published.skills, kept, revision, numbers)
    return guidance.of_person(unit, actor.person_id, published, shown, numbers)


def short_sheet(db: Database, actor: Actor, module_id: str, *, now: datetime) -> PracticeSheet:
    """Return a short sheet of drills that mixes the skills this person needs most, with the numbers behind it.

    Raises:
        NotFound: no such module.
        NothingToPractise: the module gives no drill.
    """
    actor.must(Permission.PRACTICE_DO)
    with db.reading() as unit:
        revision = in_force(unit, module_id)
        published = prepared(unit, revision.revision)
        if not published.skills:
            raise NothingToPractise(published.module.title)
        numbers = policy.in_force(unit).policy
        found = _guidance(unit, actor, published, numbers)
        return next_skill.sheet(module_id, revision.title, found, numbers, now.date())


def skill_titles(db: Database, actor: Actor, revision: str, skill_ids: Sequence[str]) -> tuple[str, ...]:
    """Return the titles of skills of a revision.

    Raises:
        NotFound: no such revision, or it has no such skill.
    """
    actor.must(Permission.PRACTICE_DO)
    known = {skill.id: skill.title for skill in prepared_from(db, revision).skills}
    for skill_id in skill_ids:
        if skill_id not in known:
            raise NotFound("skill", skill_id)
    return tuple(known[skill_id] for skill_id in skill_ids)


def _chosen_size(published: Prepared, size: str) -> str:
    if size not in published.module.sizes:
        raise NotFound("size", size)
    return size


def _fresh(unit: Unit, actor: Actor, published: Prepared, skill_id: str, size: str) -> DrillAddress:
    revision = published.module.revision
    skill = published.skill(skill_id)
    if skill is None:
        raise NotFound("skill", skill_id)
    turn = attempts.count(unit, actor.person_id, revision)
    while True:
        seed = _seed(published, skill_id, f"{actor.person_id}/{revision}/{skill_id}/{size}/{turn}")
        address = Address(revision, skill.kind, size, seed)
        had = attempts.was_asked(unit, actor.person_id, address)
        if not had and not sittings.was_asked(unit, actor.person_id, address):
            return DrillAddress(published.module.id, revision, skill.kind, size, seed)
        turn += 1


def _seed(published: Prepared, skill_id: str, text: str) -> int:
    start = int.from_bytes(hashlib.sha256(text.encode()).digest()[:4]) >> 1
    return drills.seed_for(published.module, skill_id, start)


def question(db: Database, actor: Actor, revision: str, kind: str, size: str, seed: int) -> Question:
    """Return the question at an address, without its key.

    Raises:
        NotFound: no such revision or drill.
    """
    actor.must(Permission.PRACTICE_DO)
    must_not_sit_now(db, actor)
    return _ask(prepared_from(db, revision), kind, size, seed)


def go_on(
    db: Database, actor: Actor, revision: str, kind: str, size: str, seed: int, picked: Sequence[str]
) -> Question | None:
    """Return the question at the moment that picks lead to; None when the run is over and can be handed in.

    Raises:
        NotFound: no such revision or drill.
        AnswerUnreadable: the picks are not those of a run.
    """
    actor.must(Permission.PRACTICE_DO)
    must_not_sit_now(db, actor)
    published = prepared_from(db, revision)
    _ask(published, kind, size, seed)
    return drills.go_on(published.module, kind, size or None, seed, picked)


def answer(
    db: Database,
    actor: Actor,
    revision: str,
    kind: str,
    size: str,
    seed: int,
    answer: object,
    *,
    ticket: str,
    started: datetime | None,
    now: datetime,
) -> AttemptResult:
    """Mark an answer, keep the attempt and count it in; the same ticket again gives the same attempt.

    Args:
        db: the database.
        actor: who answers.
        revision: the revision asked from.
        kind: the kind of drill.
        size: the size on the bench, "" where there is none.
        seed: the seed of the question.
        answer: the answer in the form of the question.
        ticket: one of its own for each question shown; it makes handing in twice harmless.
        started: when the question was shown, if known.
        now: the time.

    Raises:
        NotFound: no such revision or drill.
        AnswerUnreadable: it is not an answer to this question.
        TicketUnfit: the ticket is empty or too long.
        LifeStepRefused: nobody may as things are with this person.
    """
    actor.must(Permission.PRACTICE_DO)
    tickets.must_be_fit(ticket)
    published = prepared_from(db, revision)
    asked = _ask(published, kind, size, seed)
    given = asked.form.read(answer)
    mark = drills.mark(published.module, kind, size or None, seed, given)
    address = Address(revision, kind, size, seed)
    with db.writing() as unit:
        people.lock(unit, actor.person_id)
        must_not_sit(unit, actor)
        earlier = attempts.by_ticket(unit, actor.person_id, ticket)
        if earlier is None:
            task = published.module.covered_task
            life_steps.must(unit, Act.PRACTISE, actor, actor.person_id, task, today=now.date())
            earlier = _keep(unit, actor, asked, address, given, mark, ticket=ticket, started=started, now=now)
        elif earlier.address != address:
            asked = _ask(prepared(unit, earlier.address.revision), *_rest(earlier.address))
    return AttemptResult(earlier.id, marks.restored(earlier.mark), asked, earlier.counts)


def _keep(
    unit: Unit,
    actor: Actor,
    asked: Question,
    address: Address,
    given: object,
    mark: Mark,
    *,
    ticket: str,
    started: datetime | None,
    now: datetime,
) -> Attempt:
    counts = not attempts.was_asked(unit, actor.person_id, address)
    attempt = attempts.add(
        unit,
        ticket=ticket,
        person_id=actor.person_id,
        module_id=asked.module,
        address=address,
        skill=asked.skill,
        answer=given,
        mark=marks.kept(mark),
        right=mark.right,
        critical=mark.critical,
        credit_thousandths=marks.thousandths(mark),
        counts=counts,
        # A clock set wrong on the device must not make the time taken negative.
        started_at=started if started is not None and started <= now else None,
        at=now,
    )
    if counts:
        summaries.count_in(
            unit,
            person_id=actor.person_id,
            module_id=asked.module,
            revision=address.revision,
            skill=asked.skill,
            right=mark.right,
            at=now,
        )
    _note(unit, actor, attempt, now)
    return attempt


def _note(unit: Unit, actor: Actor, attempt: Attempt, now: datetime) -> None:
    address = attempt.address
    journal.note(
        unit,
        actor,
        "practice:answer",
        at=now,
        attempt=attempt.id,
        ticket=attempt.ticket,
        module=attempt.module_id,
        revision=address.revision,
        kind=address.kind,
        skill=attempt.skill,
        size=address.size,
        seed=address.seed,
        answer=attempt.answer,
        right=attempt.right,
        critical=attempt.critical,
        credit_thousandths=attempt.credit_thousandths,
        counts=attempt.counts,
        started=attempt.started_at.isoformat() if attempt.started_at else "",
        mark=attempt.mark,
        mark_sha256=hashlib.sha256(attempt.mark_text.encode()).hexdigest(),
    )


def attempt(db: Database, actor: Actor, attempt_id: int) -> AttemptView:
    """Return a kept attempt: the actor's own, or one of somebody they look after.

    Raises:
        NotFound: there is none for this actor.
        SittingUnderWay: it is the actor's own, and they sit.
    """
    with db.reading() as unit:
        kept = attempts.by_id(unit, attempt_id)
        person = people.by_id(unit, kept.person_id) if kept else None
        if kept is None or person is None or not _may_see(actor, person.id, person.crew):
            raise NotFound("attempt", attempt_id)
        if person.id == actor.person_id:
            must_not_sit(unit, actor)
        published = prepared(unit, kept.address.revision)
        current = modules.current(unit, kept.module_id)
    skill = published.skill(kept.skill)
    return AttemptView(
        attempt_id=kept.id,
        person_id=person.id,
        person_name=person.display_name,
        module_id=kept.module_id,
        module_title=published.module.title,
        address=DrillAddress(kept.module_id, kept.address.revision, *_rest(kept.address)),
        is_current=current is not None and current.revision == kept.address.revision,
        skill_id=kept.skill,
        skill_title=skill.title if skill else kept.skill,
        question=_ask(published, *_rest(kept.address)),
        answer=kept.answer,
        mark=marks.restored(kept.mark),
        counts=kept.counts,
        started=kept.started_at,
        at=kept.at,
    )


def _may_see(actor: Actor, person_id: str, crew: str) -> bool:
    own = person_id == actor.person_id and actor.may(Permission.PRACTICE_DO)
    return own or actor.may_for(Permission.ATTEMPT_READ, crew=crew)


def _rest(address: Address) -> tuple[str, str, int]:
    return address.kind, address.size, address.seed


def _ask(published: Prepared, kind: str, size: str, seed: int) -> Question:
    if not 0 <= seed < _SEEDS or size not in (published.module.sizes or ("",)):
        raise NotFound("drill", f"{kind} {size} {seed}")
    try:
        return drills.ask(published.module, kind, size or None, seed)
    except (drills.UnknownKind, drills.NothingToAsk) as problem:
        raise NotFound("drill", kind) from problem
