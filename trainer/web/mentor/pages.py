"""The pages of who looks after others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.actions.permissions import Permission
from trainer.records.qualification import MEANING_EVALUATED
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

    from trainer.actions.actor import Actor
    from trainer.actions.chosen_people import Choice
    from trainer.actions.observation_views import ObservationLine
    from trainer.actions.views import (
        AttemptLine,
        EvaluationSheet,
        ModuleOnSheet,
        PersonLine,
        PersonSheet,
        PublishedModule,
        WentWrong,
    )


@dataclass(frozen=True)
class PeoplePage(Page):
    """People and how far each of them is."""

    TEMPLATE: ClassVar[str] = "mentor/people.html"
    sentence: str
    people: tuple[PersonLine, ...]
    choice: Choice


@dataclass(frozen=True)
class AssignForm:
    """What was typed into the form that assigns a module."""

    module_id: str = ""
    due: str = ""
    says: str = ""


@dataclass(frozen=True)
class PersonPage(Page):
    """One person: modules, attempts, errors, evaluations, qualifications."""

    TEMPLATE: ClassVar[str] = "mentor/person.html"
    sheet: PersonSheet
    modules: tuple[ModuleOnSheet, ...]
    attempts: tuple[AttemptLine, ...]
    went_wrong: tuple[WentWrong, ...]
    to_assign: tuple[tuple[str, str], ...]
    assign_form: AssignForm
    may_assign: bool
    may_evaluate: bool
    why_not_evaluate: Mapping[str, str]
    observed: tuple[ObservationLine, ...]
    may_release: bool
    may_fetch: bool


@dataclass(frozen=True)
class EvaluateForm:
    """What was typed into the form of an evaluation."""

    evaluated_on: str = ""
    methods: tuple[str, ...] = ()
    aoc_discussed: tuple[str, ...] = ()
    aoc_passed: str = ""
    passed: str = ""
    note: str = ""
    observation: str = ""


@dataclass(frozen=True)
class EvaluatePage(Page):
    """The form of an evaluation, with the practice behind it and what the signature means."""

    TEMPLATE: ClassVar[str] = "mentor/evaluate.html"
    sheet: EvaluationSheet
    methods: tuple[tuple[str, str], ...]
    conditions: tuple[tuple[str, str], ...]
    observations: tuple[tuple[str, str], ...]
    filled: EvaluateForm
    says: str
    meaning: str


def people_page(lines: tuple[PersonLine, ...], choice: Choice, day: date) -> PeoplePage:
    """Return the list of people."""
    late = sum(line.overdue for line in lines)
    if not lines:
        sentence = "Nobody practises in your crew yet."
    elif late:
        sentence = f"{count(late, 'person is', 'people are')} past a due date."
    else:
        sentence = f"{count(len(lines), 'person', 'people')}, nobody past a due date."
    if choice.crews:
        sentence = f"{choice.crew or 'Without a crew'}: {sentence}"
    return PeoplePage(TitleBlock(title="People", kind="List", day=day), sentence, lines, choice)


def person_page(
    sheet: PersonSheet,
    modules: Iterable[PublishedModule],
    observed: tuple[ObservationLine, ...],
    actor: Actor,
    form: AssignForm,
    why_not_evaluate: Mapping[str, str],
) -> PersonPage:
    """Return the page of one person, with what this actor may do for them, or why not, by module."""
    assigned = {module.module_id for module in sheet.modules}
    oneself = actor.person_id == sheet.person.person_id
    return PersonPage(
        block=TitleBlock(
            title=sheet.person.name, kind="Personal sheet", whose=("Crew", sheet.person.crew), day=sheet.day
        ),
        sheet=sheet,
        modules=sheet.modules,
        attempts=sheet.attempts,
        went_wrong=sheet.went_wrong,
        to_assign=tuple((m.module_id, m.title) for m in modules if m.module_id not in assigned),
        assign_form=form,
        may_assign=actor.may(Permission.MODULE_ASSIGN),
        may_evaluate=actor.may(Permission.EVALUATION_RECORD) and not oneself,
        why_not_evaluate=why_not_evaluate,
        observed=observed,
        may_release=actor.may_for(Permission.SITTING_RELEASE, crew=sheet.person.crew) and not oneself,
        may_fetch=actor.may(Permission.DATA_READ),
    )


def evaluate_page(sheet: EvaluationSheet, filled: EvaluateForm, *, says: str = "") -> EvaluatePage:
    """Return the form of an evaluation."""
    block = TitleBlock(
        title=f"Evaluation of {sheet.person.name}",
        subtitle=f"{sheet.task.id} {sheet.task.title}",
        kind="Evaluation",
        document=sheet.document,
        revision=sheet.revision,
    )
    return EvaluatePage(
        block=block,
        sheet=sheet,
        methods=tuple((m.value, f"{m.words}, {m.paragraph}") for m in sheet.task.conditions.methods.allowed),
        conditions=tuple((text, text) for text in sheet.task.abnormal_conditions),
        observations=(("", "None"), *_observations(sheet)) if sheet.observations else (),
        filled=filled,
        says=says,
        meaning=MEANING_EVALUATED,
    )


def _observations(sheet: EvaluationSheet) -> tuple[tuple[str, str], ...]:
    return tuple(
        (str(number), f"{at:%Y-%m-%d}, {size}, signed by {name}".replace(", ,", ","))
        for number, size, name, at in sheet.observations
    )
