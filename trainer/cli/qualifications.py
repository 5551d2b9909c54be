"""`trainer qualifications`."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from trainer import settings
from trainer.actions import earlier_in
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database


@click.group("qualifications")
def qualifications_command() -> None:
    """Take over qualifications that people bring on paper.

    \b
    Example:
      trainer qualifications import papers.csv --dry-run
    """


@qualifications_command.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--dry-run", is_flag=True, help="Say what would happen and change nothing.")
@click.pass_context
def import_command(context: click.Context, file: Path, dry_run: bool) -> None:
    """Transcribe earlier qualifications from a CSV file: all lines, or none.

    UTF-8, comma or semicolon, the columns named in the first line: person, task, paper, issued_by, evaluated_on,
    valid_from, valid_until, methods, abnormal, evaluator, supervisor. Days are written as 2025-03-31; several methods
    stand in one cell with spaces between them. A record counts only after a supervisor has held it against the paper
    and signed. Exit code 1: some lines are wrong, nothing was transcribed.

    \b
    Example:
      trainer qualifications import papers.csv --dry-run
    """
    data, now = file.read_bytes(), datetime.now(UTC)
    with open_database(settings.load()) as db:
        planned = earlier_in.plan(db, SYSTEM, data, now=now)
        for fault in planned.faults:
            click.echo(f"{file}: {fault}", err=True)
        if planned.faults:
            click.echo("Nothing was transcribed.", err=True)
            context.exit(1)
        for line in planned.lines:
            what = "would be transcribed" if line.is_new else f"stays as {line.number}"
            click.echo(
                f"line {line.line:<4} {line.person_name:<24} {line.task.id:<8} until {line.valid_until}  {what}"
            )
        if dry_run or not planned.new:
            return
        numbers = earlier_in.take_over(db, SYSTEM, data, now=now)
    click.echo(f"Transcribed: {', '.join(numbers)}. A supervisor has to hold each against its paper.")
