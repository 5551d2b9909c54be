"""The pages of the register."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.actions.permissions import Role
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from datetime import date

    from trainer.actions.chosen_people import Choice
    from trainer.actions.views import PersonView

ROLES = tuple((role.value, role.words) for role in Role)


@dataclass(frozen=True)
class AddForm:
    """What was typed into the form that adds a person."""

    sign_in_name: str = ""
    name: str = ""
    roles: tuple[str, ...] = ()
    crew: str = ""
    grade: str = ""
    evaluator: bool = False
    password: str = ""


@dataclass(frozen=True)
class RegisterPage(Page):
    """Everybody in the register, and the form to add somebody."""

    TEMPLATE: ClassVar[str] = "keeper/register.html"
    sentence: str
    people: tuple[PersonView, ...]
    choice: Choice
    roles: tuple[tuple[str, str], ...]
    filled: AddForm
    says: str


@dataclass(frozen=True)
class EntryPage(Page):
    """One entry of the register; `proposed` is a password nobody has thought of.

    `provider` is the issuer of the sign-in provider, "" for none; `links` are (issuer, name there).
    """

    TEMPLATE: ClassVar[str] = "keeper/entry.html"
    person: PersonView
    oneself: bool
    proposed: str
    address: str
    reminders_wanted: bool
    says: str
    provider: str
    links: tuple[tuple[str, str], ...]


def register_page(
    people: tuple[PersonView, ...], choice: Choice, day: date, filled: AddForm, *, says: str = ""
) -> RegisterPage:
    """Return the register."""
    here = sum(person.retired_at is None for person in people)
    if choice.crews:
        shown = f"{choice.crew or 'Without a crew'}: {count(len(people), 'person', 'people')}"
        sentence = f"{shown} of {choice.of} in the register, {len(people) - here} retired."
    else:
        sentence = f"{count(here, 'person', 'people')} in the register, {len(people) - here} retired."
    block = TitleBlock(title="Register of people", kind="Register", day=day)
    return RegisterPage(block, sentence, people, choice, ROLES, filled, says)


def entry_page(
    person: PersonView,
    *,
    oneself: bool,
    proposed: str,
    address: str,
    reminders_wanted: bool,
    provider: str,
    links: tuple[tuple[str, str], ...],
    says: str = "",
) -> EntryPage:
    """Return one entry of the register."""
    block = TitleBlock(title=person.name, kind="Entry in the register", whose=("Crew", person.crew))
    return EntryPage(block, person, oneself, proposed, address, reminders_wanted, says, provider, links)
