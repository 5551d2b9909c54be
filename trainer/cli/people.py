"""`trainer people`."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import settings
from trainer.actions import people, people_in
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.actions.permissions import Role
from trainer.cli.output import format_option, say_json

if TYPE_CHECKING:
    from trainer.actions.views import PersonView


@click.group("people")
def people_command() -> None:
    """Add, list, take over and retire people.

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


@people_command.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--dry-run", is_flag=True, help="Say what would happen and change nothing.")
@click.pass_context
def import_command(context: click.Context, file: Path, dry_run: bool) -> None:
    """Add people from a CSV file: all lines, or none.

    UTF-8, comma or semicolon, the columns named in the first line: sign_in_name, name, roles and, if wanted, crew,
    grade, evaluator (yes or no). Several roles of one person stand in one cell with spaces between them. People who
    are in the register as the file says stay as they are. First passwords are shown once and have to be changed at
    the first sign-in. Exit code 1: some lines are wrong, nothing was added.

    \b
    Example:
      trainer people import crew.csv --dry-run
    """
    data = file.read_bytes()
    with open_database(settings.load()) as db:
        planned = people_in.plan(db, SYSTEM, data)
        for fault in planned.faults:
            click.echo(f"{file}: {fault}", err=True)
        if planned.faults:
            click.echo("Nothing was added.", err=True)
            context.exit(1)
        for line in planned.lines:
            what = "would be added" if line.is_new else f"stays as {line.person_id}"
            click.echo(f"line {line.line:<4} {line.sign_in_name:<16} {line.name:<24} {what}")
        if dry_run or not planned.new:
            return
        for given in people_in.take_over(db, SYSTEM, data, now=datetime.now(UTC)):
            click.echo(f"{given.person_id:<8} {given.sign_in_name:<16} first password {given.password}")


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
