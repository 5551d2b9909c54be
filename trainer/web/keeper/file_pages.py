"""The pages on which a table made elsewhere is taken over: choose, look, confirm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from trainer.actions.earlier_in import EarlierLine, EarlierPlan
    from trainer.actions.people_in import FirstPassword, PeoplePlan
    from trainer.actions.table_in import Column, Fault


@dataclass(frozen=True)
class ChoosePage(Page):
    """What the file must look like, and the field for it."""

    TEMPLATE: ClassVar[str] = "keeper/choose_file.html"
    heading: str
    endpoint: str
    columns: tuple[tuple[str, Column], ...]
    note: str
    says: str


@dataclass(frozen=True)
class LookPage(Page):
    """What would happen with each line; `carried` is the file itself, sent again with the confirmation."""

    TEMPLATE: ClassVar[str] = "keeper/look_at_file.html"
    heading: str
    endpoint: str
    button: str
    faults: tuple[Fault, ...]
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    carried: str


@dataclass(frozen=True)
class FirstPasswordsPage(Page):
    """Everybody just added, with first passwords that are shown this once."""

    TEMPLATE: ClassVar[str] = "keeper/first_passwords.html"
    heading: str
    given: tuple[FirstPassword, ...]


def choose_page(
    title: str, endpoint: str, columns: Mapping[str, Column], note: str, *, says: str = ""
) -> ChoosePage:
    """Return the page that asks for a file."""
    block = TitleBlock(title=title, kind="Register")
    return ChoosePage(block, title, endpoint, tuple(columns.items()), note, says)


def people_page(planned: PeoplePlan, carried: str, day: date) -> LookPage:
    """Return what taking over a file of people would do."""
    new = len(planned.new)
    if planned.faults:
        heading = f"{count(len(planned.faults), 'fault')} to mend first. Nothing was taken over."
    elif new:
        heading = f"{count(new, 'person', 'people')} would be added."
    else:
        heading = "Everybody in this file is in the register already. Nothing to do."
    return LookPage(
        block=TitleBlock(title="People from a file", kind="Register", day=day),
        heading=heading,
        endpoint="from_file.people",
        button=f"Add {count(new, 'person', 'people')}" if new and not planned.faults else "",
        faults=planned.faults,
        header=("Line", "Name", "Sign-in name", "Works as", "Crew", "Grade", "What happens"),
        rows=tuple(
            (
                str(line.line),
                line.name,
                line.sign_in_name,
                ", ".join(role.words for role in line.roles) + (", evaluator" if line.evaluator else ""),
                line.crew,
                line.grade,
                "would be added" if line.is_new else f"stays as {line.person_id}",
            )
            for line in planned.lines
        ),
        carried=carried,
    )


def papers_page(planned: EarlierPlan, carried: str, day: date) -> LookPage:
    """Return what taking over a file of earlier qualifications would do."""
    new = len(planned.new)
    if planned.faults:
        heading = f"{count(len(planned.faults), 'fault')} to mend first. Nothing was taken over."
    elif new:
        heading = f"{count(new, 'record')} would be transcribed."
    else:
        heading = "Everything in this file is transcribed already. Nothing to do."
    return LookPage(
        block=TitleBlock(title="Earlier qualifications from a file", kind="Register", day=day),
        heading=heading,
        endpoint="from_file.papers",
        button=f"Transcribe {count(new, 'record')}" if new and not planned.faults else "",
        faults=planned.faults,
        header=("Line", "Person", "Task", "Paper", "Evaluated", "Valid", "Methods", "Names", "What happens"),
        rows=tuple(_paper_row(line) for line in planned.lines),
        carried=carried,
    )


def _paper_row(line: EarlierLine) -> tuple[str, ...]:
    valid = f"{line.valid_from} to {line.valid_until}"
    if line.until_on_paper > line.valid_until:
        valid += (
            f"; the paper says {line.until_on_paper}, the register allows {line.task.interval_months} months"
        )
    return (
        str(line.line),
        f"{line.person_name}, {line.person_id}",
        f"{line.task.id} {line.task.title}",
        f"{line.paper}, {line.issued_by}",
        line.evaluated_on.isoformat(),
        valid,
        "; ".join(method.words for method in line.methods),
        f"{line.evaluator}; {line.supervisor}",
        "would be transcribed" if line.is_new else f"stays as {line.number}",
    )


def first_passwords_page(given: tuple[FirstPassword, ...], day: date) -> FirstPasswordsPage:
    """Return everybody just added with their first passwords."""
    block = TitleBlock(title="First passwords", kind="Register", day=day)
    return FirstPasswordsPage(block, f"{count(len(given), 'person', 'people')} added.", given)
