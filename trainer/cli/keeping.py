"""`trainer keeping`."""

from __future__ import annotations

from datetime import UTC, datetime

import click

from trainer import settings
from trainer.actions import destruction
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.output import format_option, say_json


@click.command("keeping")
@click.option("--due", is_flag=True, help="Only what may be destroyed today.")
@format_option
def keeping_command(due: bool, output: str) -> None:
    """List whoever does a task no more, and from which day on what is kept of it may be destroyed.

    Nothing is destroyed from here: that takes two people who sign for it, on the page "End of keeping".

    \b
    Example:
      trainer keeping --due
    """
    with open_database(settings.load()) as db:
        listed = destruction.listing(db, SYSTEM, now=datetime.now(UTC))
    lines = [line for line in listed if line.is_due or not due]
    if output == "json":
        say_json(
            [
                {**line.__dict__, "done_on": str(line.done_on), "earliest": str(line.earliest)}
                for line in lines
            ]
        )
        return
    for line in lines:
        click.echo(
            f"{line.person_id} {line.person_name}, {line.task_id}: not done since {line.done_on}, "
            f"earliest day {line.earliest}; {line.state}"
        )
    if not lines:
        click.echo(
            "Nothing may be destroyed today." if due else "Everybody here does what they are kept for."
        )
