"""How a procedure is answered: where orders go wrong, how each skill does its work, how people learn and forget.

Everything is added up over everybody, at the revision in force: it is for whoever looks after the procedure, and decides
about nobody.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer import drills
from trainer.actions import policy
from trainer.actions.actor import NotFound
from trainer.actions.analysis_views import (
    BrokenRelation,
    GapPoint,
    ModuleAnalysis,
    PhaseLines,
    Rate,
    RowChoices,
    SkillAnalysis,
    SkillLine,
    StepLine,
    Together,
    TryPoint,
)
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.competency import bounds
from trainer.competency.retention import Forgetting
from trainer.drills.answer_forms import Choose
from trainer.drills.kinds import order
from trainer.errors import TrainerError
from trainer.procedure.model import Hazard
from trainer.store import analysis

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.published import Prepared
    from trainer.competency.item_response import Floats
    from trainer.competency.policy import Policy
    from trainer.procedure.model import Module
    from trainer.store.analysis import Given
    from trainer.store.session import Database, Unit

MOST_TRIES = 10
FEWEST_ANSWERS = 5
"""A point of a curve rests on at least so many answers; below that its interval spans most of the field. Own choice."""
EDGES = (1, 8, 31, 92, 184)
"""Days that part the times since a skill was shown: a week, a month, a quarter, half a year, longer."""
MOST_PEOPLE = 1000
NEWEST_ORDERS = 2000
"""Beyond these the shares hardly change, and the page would take ever longer. Own choice."""
_NEWEST = 300
_Z_95 = 1.959964
_FEWEST_SKILLS = 3


def of_module(db: Database, actor: Actor, module_id: str, *, now: datetime) -> ModuleAnalysis:  # noqa: ARG001
    """Return how a procedure is answered at its revision in force.

    Raises:
        NotFound: no such module is published.
    """
    actor.must(Permission.ANALYSIS_READ)
    with db.reading() as unit:
        revision = in_force(unit, module_id).revision
        published = prepared(unit, revision)
        numbers = policy.in_force(unit).policy
        answered = {line.skill: line for line in analysis.answered(unit, revision)}
        assessed = analysis.assessed(unit, revision)
        firsts = analysis.first_answers(unit, revision, people=MOST_PEOPLE)
        orders = [skill.id for skill in published.skills if skill.kind == order.KIND]
        shown = analysis.lines_shown(unit, revision, skills=orders, newest=NEWEST_ORDERS)
        phases = _phases(published.module, shown)
        broken = _broken(phases, analysis.broken(unit, revision, skills=orders, newest=NEWEST_ORDERS))
        tries = _summed(analysis.by_try(unit, revision, most=MOST_TRIES, people=MOST_PEOPLE))
        gaps = _gaps(unit, revision, numbers)
    skills, together = _items(published, firsts)
    return ModuleAnalysis(
        module_id=module_id,
        title=published.module.title,
        document=published.module.document,
        revision=revision,
        answers=sum(line.times for line in answered.values()),
        bounded=_bounded(answered.values(), orders),
        phases=phases,
        broken=broken,
        skills=tuple(
            SkillLine(
                skill,
                rate_of(answered[skill.id].right, answered[skill.id].times),
                answered[skill.id].people,
                rate_of(assessed[skill.id][1], assessed[skill.id][0]) if skill.id in assessed else None,
                *skills.get(skill.id, (None, None)),
            )
            for skill in published.skills
            if skill.id in answered
        ),
        together=together,
        tries=tries,
        gaps=gaps,
        half_life_days=numbers.half_life_days,
        in_a_row=numbers.clean_in_a_row,
    )


def of_skill(db: Database, actor: Actor, module_id: str, skill_id: str) -> SkillAnalysis:
    """Return how one skill is answered, and what is chosen where something is chosen.

    Raises:
        NotFound: no such module or skill, or nobody has answered it yet.
    """
    actor.must(Permission.ANALYSIS_READ)
    with db.reading() as unit:
        revision = in_force(unit, module_id).revision
        published = prepared(unit, revision)
        skill = published.skill(skill_id)
        line = next((one for one in analysis.answered(unit, revision) if one.skill == skill_id), None)
        if skill is None or line is None:
            raise NotFound("skill", skill_id)
        tries = [
            one
            for one in analysis.by_try(unit, revision, most=MOST_TRIES, people=MOST_PEOPLE)
            if one.skill == skill_id
        ]
        newest = analysis.newest_at(unit, revision, skill_id, limit=_NEWEST)
        elsewhere = analysis.shares_elsewhere(unit, revision, skill_id, (given.person_id for given in newest))
    rows, why_not = _choices(published.module, newest, elsewhere)
    return SkillAnalysis(
        module_id=module_id,
        title=published.module.title,
        document=published.module.document,
        revision=revision,
        skill=skill,
        rate=rate_of(line.right, line.times),
        tries=_summed(tries),
        looked_at=len(newest),
        rows=rows,
        why_no_choices=why_not,
    )


def rate_of(right: int, times: int) -> Rate:
    """Return a share with its interval."""
    within = bounds.wilson(right, times, _Z_95)
    return Rate(times, right, within.lower, within.upper)


def _bounded(answered: Iterable[analysis.Answered], orders: Sequence[str]) -> str:
    """Return in a sentence what was left out because there is so much, or nothing."""
    lines = list(answered)
    told = []
    if any(line.times > NEWEST_ORDERS for line in lines if line.skill in orders):
        told.append(f"Of orders the newest {NEWEST_ORDERS:,} answers to each skill.")
    if any(line.people >= MOST_PEOPLE for line in lines):
        told.append(f"Of correlations, places and curves the {MOST_PEOPLE:,} people who practised last.")
    return " ".join(told)


def _phases(module: Module, shown: dict[str, int]) -> tuple[PhaseLines, ...]:
    lines = {
        step.id: StepLine(step.id, number, step.do, shown.get(step.do, 0))
        for number, step in enumerate(module.steps.values(), start=1)
    }
    titles = {name: phase.title for name, phase in module.phases.items()}
    used = dict.fromkeys(step.phase for step in module.steps.values())
    return tuple(
        PhaseLines(
            titles.get(phase, ""),
            tuple(lines[step.id] for step in module.steps.values() if step.phase == phase),
        )
        for phase in used
    )


def _broken(phases: Sequence[PhaseLines], found: Iterable[analysis.Broken]) -> tuple[BrokenRelation, ...]:
    """Return what was broken, relations with several reasons put together under the one that hurts most."""
    lines = {step.id: step for phase in phases for step in phase.steps}
    kept: dict[tuple[str, str], BrokenRelation] = {}
    for item in found:
        if item.before not in lines or item.after not in lines:
            continue
        pair = (item.before, item.after)
        before, after = lines[item.before], lines[item.after]
        signal = Hazard(item.signal) if item.signal else None
        one = BrokenRelation(before, after, item.text, signal, item.times, item.people, after.shown)
        other = kept.get(pair)
        if other is not None:
            worse = one if _rank(one) < _rank(other) else other
            times, people = one.times + other.times, max(one.people, other.people)
            one = BrokenRelation(before, after, worse.text, worse.signal, times, people, after.shown)
        kept[pair] = one
    return tuple(sorted(kept.values(), key=lambda one: (-one.times, _rank(one), one.before.number)))


def _rank(one: BrokenRelation) -> int:
    return one.signal.rank if one.signal else len(Hazard)


def _summed(tries: Iterable[analysis.Try]) -> tuple[TryPoint, ...]:
    """Return the points of a learning curve over skills, as far as enough people went."""
    of_number: dict[int, list[int]] = {}
    for one in tries:
        sums = of_number.setdefault(one.number, [0, 0])
        sums[0] += one.right
        sums[1] += one.times
    return tuple(
        TryPoint(number, rate_of(right, times))
        for number, (right, times) in sorted(of_number.items())
        if times >= FEWEST_ANSWERS
    )


def _gaps(unit: Unit, revision: str, numbers: Policy) -> tuple[GapPoint, ...]:
    forgetting = Forgetting(float(numbers.demonstrated), numbers.half_life_days)
    return tuple(
        GapPoint(
            first=EDGES[gap.bucket],
            last=EDGES[gap.bucket + 1] - 1 if gap.bucket + 1 < len(EDGES) else None,
            mean_days=gap.mean_days,
            rate=rate_of(gap.right, gap.times),
            predicted=forgetting.share(gap.mean_days),
        )
        for gap in analysis.after_gaps(
            unit, revision, edges=EDGES, in_a_row=numbers.clean_in_a_row, people=MOST_PEOPLE
        )
        if gap.times >= FEWEST_ANSWERS
    )


def _items(
    published: Prepared, firsts: Sequence[tuple[str, str, bool]]
) -> tuple[dict[str, tuple[float | None, float | None]], Together]:
    """Return for each skill its correlation with the rest and its place, and what all say together."""
    # numpy only where it is needed: the start of the web does without.
    import numpy as np

    from trainer.competency import item_analysis

    people = {person: row for row, person in enumerate(dict.fromkeys(person for person, _, _ in firsts))}
    known = [skill.id for skill in published.skills]
    answered = {skill for _, skill, _ in firsts}
    columns = {skill: column for column, skill in enumerate(skill for skill in known if skill in answered)}
    table = np.full((len(people), len(columns)), np.nan)
    for person, skill, right in firsts:
        if skill in columns:
            table[people[person], columns[skill]] = right
    # Only who has answered everything has a sum that can be compared.
    whole = table[~np.isnan(table).any(axis=1)] if len(columns) == len(known) else table[:0]
    reliability, why_not = None, ""
    rests: dict[str, float | None] = {}
    try:
        if not len(whole):
            raise item_analysis.TooFewPeople(0, item_analysis.FEWEST_PEOPLE)
        found = item_analysis.analyse(whole)
        reliability = found.reliability
        rests = {skill: found.items[column].with_rest for skill, column in columns.items()}
    except TrainerError as refused:
        why_not = str(refused)
    places, why_no_places = _places(table, columns)
    return (
        {skill: (rests.get(skill), places.get(skill)) for skill in columns},
        Together(len(whole), reliability, why_not, len(people), why_no_places),
    )


def _places(table: Floats, columns: dict[str, int]) -> tuple[dict[str, float], str]:
    """Return the place of each skill on the scale, or why there are none."""
    from trainer.competency import item_response

    if len(columns) < _FEWEST_SKILLS:
        return {}, f"It takes at least {_FEWEST_SKILLS} skills that were answered."
    try:
        fitted = item_response.fit(table, item_response.Model.COMMON, tolerance=1e-3)
    except TrainerError as refused:
        return {}, str(refused)
    return {skill: float(fitted.difficulties[column]) for skill, column in columns.items()}, ""


def _choices(
    module: Module, newest: Sequence[Given], elsewhere: dict[str, float]
) -> tuple[tuple[RowChoices, ...], str]:
    """Return how often each choice was taken, row by row as its words name it; or why there is nothing to tell."""
    from trainer.competency import item_analysis

    taken: dict[str, list[tuple[str, float]]] = {}
    offered: dict[str, dict[str, bool]] = {}
    for given in newest:
        address = given.address
        question = drills.ask(module, address.kind, address.size or None, address.seed)
        if not isinstance(question.form, Choose):
            return (), "Nothing is chosen here: the answer is put in order, reckoned or said."
        chosen = given.answer
        right = drills.key(module, address.kind, address.size or None, address.seed)
        for row in question.form.rows:
            words = {option.id: option.text for option in row.options}
            kept = offered.setdefault(row.text, {})
            for option, text in words.items():
                kept[text] = kept.get(text, False) or _is_key(right, row.id, option)
            taken.setdefault(row.text, []).append(
                (words[chosen[row.id]], elsewhere.get(given.person_id, 0.0))
            )
    rows = tuple(
        RowChoices(
            text,
            len(picks),
            item_analysis.distractors(
                [words for words, _ in picks], [sums for _, sums in picks], offered[text]
            ),
        )
        for text, picks in taken.items()
        if len(picks) >= FEWEST_ANSWERS
    )
    few = f"No row was answered {FEWEST_ANSWERS} times yet." if not rows else ""
    return tuple(sorted(rows, key=lambda row: -row.times)), few


def _is_key(right: object, row: str, option: str) -> bool:
    return isinstance(right, dict) and right.get(row) == option
