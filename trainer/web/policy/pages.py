"""The page of the programme's numbers."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, ClassVar

from trainer.competency.policy import numbers
from trainer.competency.skill_classes import SkillClass
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from trainer.actions.pace import PaceOfTask, PaceSheet
    from trainer.actions.policy import PolicyLine, PolicySheet
    from trainer.competency.policy import Number


@dataclass(frozen=True)
class NumberShown:
    """A number as it stands on the page: what is in the field, and what is wrong with it."""

    number: Number
    value: str
    is_changed: bool
    wrong: str


@dataclass(frozen=True)
class PolicyForm:
    """What was typed: numbers by name, and the reason."""

    values: Mapping[str, str]
    because: str = ""
    wrong: Mapping[str, str] | None = None
    says: str = ""


@dataclass(frozen=True)
class PolicyPage(Page):
    """Every number with its meaning, bounds and source; the keeper changes them here."""

    TEMPLATE: ClassVar[str] = "policy/sheet.html"
    sentence: str
    line: PolicyLine
    groups: tuple[tuple[str, tuple[NumberShown, ...]], ...]
    history: tuple[PolicyLine, ...]
    may_set: bool
    may_see_pace: bool
    because: str
    says: str


def policy_page(
    sheet: PolicySheet, day: date, form: PolicyForm, *, may_set: bool, may_see_pace: bool
) -> PolicyPage:
    """Return the page of one policy; only the one in force can be changed."""
    values = {**{name: str(value) for name, value in sheet.policy.as_data().items()}, **form.values}
    wrong = form.wrong or {}
    shown = [
        NumberShown(number, values[number.name], number.name in sheet.changed, wrong.get(number.name, ""))
        for number in numbers()
    ]
    grouped = groupby(shown, lambda one: one.number.group)
    return PolicyPage(
        block=TitleBlock(
            title="The numbers of the programme",
            kind="Policy",
            revision=sheet.line.sha256,
            day=sheet.line.at.date() if sheet.line.at else day,
            issued_by=sheet.line.set_by,
        ),
        sentence="The numbers in force." if sheet.is_in_force else "Numbers that were in force before.",
        line=sheet.line,
        groups=tuple((group, tuple(members)) for group, members in grouped),
        history=sheet.history,
        may_set=may_set and sheet.is_in_force,
        may_see_pace=may_see_pace,
        because=form.because,
        says=form.says,
    )


@dataclass(frozen=True)
class PaceRow:
    """A task or a person: refreshers, how many were right, the half-life learnt, and what follows from it."""

    name: str
    refreshers: int
    right: int
    half_life: int
    longest: int
    intervals: tuple[int, ...]


@dataclass(frozen=True)
class PacePage(Page):
    """How fast is forgotten, by task and person, beside the half-life in force."""

    TEMPLATE: ClassVar[str] = "policy/pace.html"
    sentence: str
    half_life: int
    classes: tuple[str, ...]
    tasks: tuple[PaceRow, ...]
    people: tuple[tuple[str, tuple[PaceRow, ...]], ...]


def pace_page(sheet: PaceSheet, day: date) -> PacePage:
    """Return the page of what refreshers say."""
    seen = sum(task.refreshers for task in sheet.tasks)
    return PacePage(
        block=TitleBlock(title="How fast is forgotten", kind="Policy", day=day),
        sentence=f"{count(seen, 'refresher')} so far." if seen else "No refreshers so far.",
        half_life=sheet.policy.half_life_days,
        classes=tuple(SkillClass),
        tasks=tuple(_task_row(task) for task in sheet.tasks),
        people=tuple((task.title, _people_rows(task)) for task in sheet.tasks if task.people),
    )


def _task_row(task: PaceOfTask) -> PaceRow:
    return PaceRow(
        task.title,
        task.refreshers,
        task.right,
        round(task.half_life_days),
        round(task.longest_days),
        tuple(task.interval_days[skill_class] for skill_class in SkillClass),
    )


def _people_rows(task: PaceOfTask) -> tuple[PaceRow, ...]:
    return tuple(
        PaceRow(one.name, one.refreshers, one.right, round(one.half_life_days), 0, ()) for one in task.people
    )
