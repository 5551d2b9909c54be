"""Who is in the register: rows of people, their roles and their names at a sign-in provider."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.store import people, provider_links
from trainer.store.read_models import NO_PASSWORD

if TYPE_CHECKING:
    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit


def add(unit: Unit, entry: Entry) -> None:
    """Add a person; numbers are given in the order of entries."""
    told = entry.told
    person = people.add(
        unit,
        sign_in_name=told["sign_in_name"],
        display_name=told["name"],
        roles=told["roles"],
        crew=told["crew"],
        grade=told["grade"],
        evaluator=told["evaluator"],
        password_hash=NO_PASSWORD,
        first_password=told["first_password"],
        at=entry.at,
    )
    if person is None:
        raise entry.unfit(f"somebody has the sign-in name '{told['sign_in_name']}' already")
    if person.id != told["person"]:
        raise entry.unfit(f"it adds {told['person']}, and the next number is {person.id}")


def change(unit: Unit, entry: Entry) -> None:
    """Change what the register says of somebody."""
    told = entry.told
    people.change(
        unit,
        told["person"],
        display_name=told["name"],
        crew=told["crew"],
        grade=told["grade"],
        evaluator=told["evaluator"],
    )
    people.set_roles(unit, told["person"], told["roles"])


def retire(unit: Unit, entry: Entry) -> None:
    """Mark somebody as gone."""
    people.retire(unit, entry.told["person"], entry.at)


def given_password(unit: Unit, entry: Entry) -> None:
    """Keep whether somebody else chose the password in force."""
    people.set_password_hash(unit, entry.told["person"], NO_PASSWORD, first=entry.told["first_password"])


def own_password(unit: Unit, entry: Entry) -> None:
    """Keep that the password in force is the person's own choice."""
    people.set_password_hash(unit, entry.by, NO_PASSWORD)


def link(unit: Unit, entry: Entry) -> None:
    """Link somebody to a name at a sign-in provider."""
    told = entry.told
    provider_links.add(
        unit, told["provider"], told["subject"], told["person"], by=entry.by or None, at=entry.at
    )


def unlink(unit: Unit, entry: Entry) -> None:
    """End a link."""
    provider_links.remove(unit, entry.told["person"], entry.told["provider"])
