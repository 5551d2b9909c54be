"""`trainer qualified`."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from trainer import settings
from trainer.actions import qualified
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.output import format_option, say_json

if TYPE_CHECKING:
    from trainer.actions.qualified import QualifiedLine

_DAY = click.DateTime(["%Y-%m-%d"])


@click.command("qualified")
@click.argument("task")
@click.argument("day", type=_DAY)
@click.option("--known-on", type=_DAY, help="Answer also by what was written down up to the end of this day.")
@format_option
def qualified_command(task: str, day: datetime, known_on: datetime | None, output: str) -> None:
    """Tell who was qualified for a covered task on a day, and on what evidence.

    \b
    Examples:
      trainer qualified M-04 2026-11-02
      trainer qualified M-04 2026-11-02 --known-on 2026-11-02 --format json
    """
    with open_database(settings.load()) as db:
        sheet = qualified.on_day(
            db,
            SYSTEM,
            task,
            day.date(),
            known_on=known_on.date() if known_on else None,
            now=datetime.now(UTC),
        )
    if output == "json":
        say_json(sheet.as_data())
        return
    click.echo(f"{sheet.task.id} {sheet.task.title}, {sheet.day}: {len(sheet.qualified)} qualified.")
    for line in sheet.lines:
        click.echo(_sentence(line, sheet.known_on.isoformat()))


def _sentence(line: QualifiedLine, known_on: str) -> str:
    held = line.evidence
    words = "qualified" if line.standing.may_work_alone else line.standing.value
    said = (
        f"{line.person_name} ({line.person_id}): {words}. {held.number}, evaluated {held.evaluated_on} by "
        f"{held.evaluator}, revision {held.revision[:10]}, signed by {held.signed_by}."
    )
    if held.paper:
        said = (
            f"{line.person_name} ({line.person_id}): {words}. {held.number}, transcribed from paper {held.paper}, evaluated "
            f"{held.evaluated_on} by {held.evaluator}, signed by {held.signed_by}."
        )
    if line.suspension:
        said += f" Suspended from {line.suspension.from_day}: {line.suspension.reason}"
    if line.differs:
        known = "qualified" if line.known_then.may_work_alone else line.known_then.value
        said += f" As known on {known_on}: {known}."
    return said
