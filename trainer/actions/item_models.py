"""What item response models say of the skills of a procedure, and how surely a cut parts people.

Each skill is one group of questions, marked by everybody's first answer to it. Whatever is fitted is about the procedure at
its revision in force; it decides about nobody.
"""

from __future__ import annotations

from functools import lru_cache
from math import ceil, sqrt
from statistics import fmean, pvariance
from typing import TYPE_CHECKING

from trainer.actions import policy
from trainer.actions.analysis import MOST_PEOPLE
from trainer.actions.analysis_views import (
    CurvePoint,
    Decisions,
    ModelCut,
    ModelledSkill,
    Models,
    ModelSheet,
    Placed,
    WaitingSkill,
)
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.errors import TrainerError
from trainer.store import analysis, panels

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.actions.actor import Actor
    from trainer.competency.evidence import Skill
    from trainer.competency.item_response import Errors, Fit, Floats
    from trainer.competency.policy import Policy
    from trainer.store.session import Database, Unit

FEWEST_SKILLS = 3
"""Two skills leave slopes undetermined: as many correlations as unknowns take three. Own arithmetic."""
# Standard errors take a gradient for each number fitted, so that their time grows with the square of the skills.
MOST_WITH_ERRORS = 25
_NEAR = 1e-9
_WIDEST = 6.0


def of_module(db: Database, actor: Actor, module_id: str) -> ModelSheet:
    """Return the Rasch and the two-parameter model of a procedure, as far as enough people have answered.

    Raises:
        NotFound: no such module is published.
    """
    from trainer.competency.item_response import FEWEST_PEOPLE

    actor.must(Permission.ANALYSIS_READ)
    with db.reading() as unit:
        revision = in_force(unit, module_id).revision
        published = prepared(unit, revision)
        firsts = analysis.first_answers(unit, revision, people=MOST_PEOPLE)
        cut = _cut(unit, module_id, revision, policy.in_force(unit).policy)
    marks: dict[str, dict[str, bool]] = {}
    for person, skill, right in firsts:
        marks.setdefault(skill, {})[person] = right
    answered = [skill for skill in published.skills if skill.id in marks]
    enough = [
        skill
        for skill in answered
        if len(marks[skill.id]) >= FEWEST_PEOPLE and len(set(marks[skill.id].values())) > 1
    ]
    waiting = tuple(
        WaitingSkill(skill, len(marks.get(skill.id, {})), _why_not(marks.get(skill.id, {}), FEWEST_PEOPLE))
        for skill in published.skills
        if skill not in enough
    )
    models, why_not = None, ""
    if len(enough) < FEWEST_SKILLS:
        why_not = (
            f"A model needs {FEWEST_SKILLS} skills that {FEWEST_PEOPLE} people each have answered, not all of them alike;"
            f" so far there {'is' if len(enough) == 1 else 'are'} {len(enough) or 'none'}."
        )
    else:
        try:
            models = _models(enough, marks, cut)
        except TrainerError as refused:
            why_not = str(refused)
    return ModelSheet(
        module_id=module_id,
        title=published.module.title,
        document=published.module.document,
        revision=revision,
        fewest=FEWEST_PEOPLE,
        models=models,
        why_not=why_not,
        waiting=waiting,
    )


def _cut(unit: Unit, module_id: str, revision: str, numbers: Policy) -> ModelCut:
    """Return where the line is drawn: by the newest panel on this revision, else by the numbers of the programme."""
    kept = [one for one in panels.of_module(unit, module_id) if one.revision == revision]
    if kept:
        newest = max(kept, key=lambda one: (one.at, one.id))
        items = len(newest.sheet["items"])
        return ModelCut(newest.cut_thousandths / 1000 / items, newest.id)
    return ModelCut(1 - float(numbers.ordinary_poor), None)


def _why_not(marks: dict[str, bool], fewest: int) -> str:
    if len(marks) < fewest:
        short = fewest - len(marks)
        return "1 person is missing" if short == 1 else f"{short} people are missing"
    return "everybody answered alike"


def _models(skills: Sequence[Skill], marks: dict[str, dict[str, bool]], cut: ModelCut) -> Models:
    # numpy only where it is needed: the start of the web does without.
    import numpy as np

    from trainer.competency import item_response

    people = list(dict.fromkeys(person for skill in skills for person in marks[skill.id]))
    row_of = {person: row for row, person in enumerate(people)}
    table = np.full((len(people), len(skills)), np.nan)
    for column, skill in enumerate(skills):
        for person, right in marks[skill.id].items():
            table[row_of[person], column] = right
    one, free, errors = _fitted(table.tobytes(), len(skills))
    compared = item_response.compare(one, free)
    skill_at_cut = {fitted.model: _skill_at(fitted, cut.share) for fitted in (one, free)}
    told = item_response.information(free, skill_at_cut[free.model])
    told_one = item_response.information(one, skill_at_cut[one.model])
    decisions, parts = _decisions(table, cut)
    return Models(
        people=len(people),
        skills=tuple(
            ModelledSkill(
                skill,
                len(marks[skill.id]),
                sum(marks[skill.id].values()) / len(marks[skill.id]),
                _placed(one, errors[0] if errors else None, column, float(told_one[column])),
                _placed(free, errors[1] if errors else None, column, float(told[column])),
                parts[column],
            )
            for column, skill in enumerate(skills)
        ),
        slope=float(one.slopes[0]),
        aic=(one.aic, free.aic),
        bic=(one.bic, free.bic),
        gain=compared.ratio,
        freedom=compared.freedom,
        by_chance=compared.p,
        cut=cut,
        skill_at_cut=(skill_at_cut[one.model], skill_at_cut[free.model]),
        information_at_cut=(float(told_one.sum()), float(told.sum())),
        curve=tuple(_point(one, free, step / 4) for step in range(-16, 17)),
        decisions=decisions,
    )


@lru_cache(maxsize=4)
def _fitted(table: bytes, items: int) -> tuple[Fit, Fit, tuple[Errors, Errors] | None]:
    """Fit both models; the same answers are fitted once a process, because it takes a second or two."""
    import numpy as np

    from trainer.competency import item_response
    from trainer.competency.item_response import Model

    answers = np.frombuffer(table, dtype=np.float64).reshape(-1, items)
    one = item_response.fit(answers, Model.COMMON, tolerance=1e-3)
    free = item_response.fit(answers, Model.FREE, tolerance=1e-3)
    if items > MOST_WITH_ERRORS:
        return one, free, None
    return (
        one,
        free,
        (item_response.standard_errors(one, answers), item_response.standard_errors(free, answers)),
    )


def _placed(fitted: Fit, errors: Errors | None, column: int, told: float) -> Placed:
    """Return one skill's numbers; an error that the answers do not determine is left out."""

    def error(values: Floats | None) -> float | None:
        found = None if values is None else float(values[column])
        return found if found is not None and 0 < found < _WIDEST else None

    return Placed(
        float(fitted.difficulties[column]),
        error(errors.difficulties if errors else None),
        float(fitted.slopes[column]),
        error(errors.slopes if errors else None),
        told,
    )


def _share_at(fitted: Fit, skill: float) -> float:
    """Return the share of all skills together that somebody of this skill has right."""
    from scipy.special import expit

    return float(expit(fitted.slopes * (skill - fitted.difficulties)).mean())


def _skill_at(fitted: Fit, share: float) -> float:
    """Return the skill at which this share is right; the end of the scale where none within it is."""
    low, high = -_WIDEST, _WIDEST
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _share_at(fitted, middle) < share else (low, middle)
    return (low + high) / 2


def _point(one: Fit, free: Fit, skill: float) -> CurvePoint:
    from trainer.competency.item_response import information

    return CurvePoint(
        skill,
        _share_at(free, skill),
        float(information(one, skill).sum()),
        float(information(free, skill).sum()),
    )


def _decisions(table: Floats, cut: ModelCut) -> tuple[Decisions | str, list[float | None]]:
    """Return how surely the cut parts those who answered everything, or why that cannot be told; and for each skill its part."""
    import numpy as np

    from trainer.competency import decision_consistency, item_analysis

    rows = table[~np.isnan(table).any(axis=1)]
    items = table.shape[1]
    if len(rows) < item_analysis.FEWEST_PEOPLE:
        return str(item_analysis.TooFewPeople(len(rows), item_analysis.FEWEST_PEOPLE)), [None] * items
    sums = [int(one) for one in rows.sum(axis=1)]
    needed = ceil(cut.share * items - _NEAR)
    reliability = item_analysis.kr_20(rows)
    if reliability is None:
        return "All who answered every skill had the same number right; nothing tells them apart.", [
            None
        ] * items
    trust = min(max(reliability, 0.0), 1 - _NEAR)
    once = decision_consistency.from_one_sitting(sums, items, needed, trust)
    spread = sqrt(pvariance(sums))
    normal = decision_consistency.from_reliability((needed - 0.5 - fmean(sums)) / spread, trust)
    found = Decisions(
        people=len(rows),
        needed=needed,
        passed=sum(one >= needed for one in sums),
        reliability=reliability,
        alike=decision_consistency.kr_21(sums, items),
        again=once.agreement,
        kappa=once.kappa,
        again_normal=normal.agreement,
        kappa_normal=normal.kappa,
        about_cut=decision_consistency.criterion_reliability(sums, cut.share * items, trust),
        dependable=item_analysis.phi_lambda(rows, cut.share),
    )
    return found, list(item_analysis.b_index(rows, needed))
