"""The page of the programme's numbers."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, ClassVar

from trainer.competency.policy import numbers
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

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
    because: str
    says: str


def policy_page(sheet: PolicySheet, day: date, form: PolicyForm, *, may_set: bool) -> PolicyPage:
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
        because=form.because,
        says=form.says,
    )
