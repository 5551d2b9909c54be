"""`trainer people`."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from trainer import settings
from trainer.actions import people
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.actions.permissions import Role
from trainer.cli.output import format_option, say_json

if TYPE_CHECKING:
    from trainer.actions.views import PersonView


@click.group("people")
def people_command() -> None:
    """Add, list and retire people.

    \b
    Example:
      trainer people list
    """


@people_command.command("list")
@click.option("--retired", is_flag=True, help="Also those who have left.")
@format_option
def list_command(retired: bool, output: str) -> None:
    """List the people of the register.

    \b
    Example:
      trainer people list --format json
    """
    with open_database(settings.load()) as db:
        found = people.list_people(db, SYSTEM, with_retired=retired)
    if output == "json":
        say_json([_data(person) for person in found])
        return
    for person in found:
        left = f"  retired {person.retired_at:%Y-%m-%d}" if person.retired_at else ""
        click.echo(
            f"{person.person_id:<8} {person.sign_in_name:<16} {person.name:<24} {person.crew:<16} {_roles(person)}{left}"
        )


@people_command.command("add")
@click.argument("sign_in_name")
@click.argument("name")
@click.option(
    "--role",
    "roles",
    multiple=True,
    required=True,
    type=click.Choice([r.value for r in Role]),
    help="May stand several times.",
)
@click.option("--crew", default="", help="Name of the crew.")
@click.option("--grade", default="", help="Grade on the crew sheet.")
@click.option("--evaluator", is_flag=True, help="Appointed as evaluator.")
@click.option(
    "--password",
    prompt=True,
    hide_input=True,
    confirmation_prompt=True,
    help="First password; asked for unless given.",
)
def add_command(
    sign_in_name: str,
    name: str,
    roles: tuple[str, ...],
    crew: str,
    grade: str,
    evaluator: bool,
    password: str,
) -> None:
    """Add a person.

    \b
    Example:
      trainer people add ama "Ama Okoro" --role technician --crew South
    """
    with open_database(settings.load()) as db:
        person = people.add(
            db,
            SYSTEM,
            sign_in_name,
            name,
            [Role(role) for role in roles],
            crew,
            grade=grade,
            evaluator=evaluator,
            password=password,
            now=datetime.now(UTC),
        )
    click.echo(f"{person.name} is number {person.person_id} and signs in as {person.sign_in_name}.")


@people_command.command("retire")
@click.argument("person_id")
def retire_command(person_id: str) -> None:
    """Retire a person: they can no longer sign in; their records stay.

    \b
    Example:
      trainer people retire P-0007
    """
    with open_database(settings.load()) as db:
        person = people.retire(db, SYSTEM, person_id, now=datetime.now(UTC))
    click.echo(f"{person.name} is retired; the records stay.")


def _roles(person: PersonView) -> str:
    return ", ".join(role.value for role in person.roles)


def _data(person: PersonView) -> dict[str, object]:
    return {
        "person_id": person.person_id,
        "sign_in_name": person.sign_in_name,
        "name": person.name,
        "roles": [role.value for role in person.roles],
        "crew": person.crew,
        "grade": person.grade,
        "evaluator": person.evaluator,
        "retired_at": person.retired_at.isoformat() if person.retired_at else None,
    }
