"""`trainer tasks`."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trainer import settings
from trainer.actions import covered_tasks
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.output import format_option, say_json
from trainer.errors import TrainerError
from trainer.procedure import library
from trainer.procedure.shared_tables import read_tables

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.actions.covered_tasks import FileDifference
    from trainer.procedure.findings import Finding
    from trainer.records.qualification import CoveredTask


class TasksUnsound(TrainerError):
    """The file of covered tasks has errors; nothing of it is read."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        first = findings[0]
        rest = f" There are {len(findings) - 1} more findings." if len(findings) > 1 else ""
        super().__init__(f"{first.place}: {first.what} {first.mend}{rest} Nothing was read.")


@click.command("tasks")
@click.option(
    "--folder", type=click.Path(path_type=Path), help="The folder with tasks.yaml; else the shipped one."
)
@click.option(
    "--register", is_flag=True, help="Enter what is new or different, but for what was set on the page."
)
@format_option
@click.pass_context
def tasks_command(ctx: click.Context, folder: Path | None, register: bool, output: str) -> None:
    """Tell where the file of covered tasks and the register differ, or read the file into the register.

    The file is the first word: what the keeper has set on the page of a task is never undone by it. Exits with 1 while
    there are differences.

    \b
    Examples:
      trainer tasks
      trainer tasks --folder shared --register
    """
    wanted = _read(folder)
    with open_database(settings.load()) as db:
        entered = covered_tasks.register(db, SYSTEM, wanted, now=datetime.now(UTC)) if register else ()
        found = covered_tasks.against_file(db, SYSTEM, wanted)
    if output == "json":
        say_json({"entered": list(entered), "different": [_as_data(one) for one in found]})
    else:
        _say(entered, found)
    ctx.exit(1 if found else 0)


def _read(folder: Path | None) -> list[CoveredTask]:
    tables = library.tables() if folder is None else read_tables(folder)
    wrong = [finding for finding in tables.findings if Path(finding.place.file).name == "tasks.yaml"]
    if wrong:
        raise TasksUnsound(wrong)
    return list(tables.tasks.values())


def _say(entered: Sequence[str], found: Sequence[FileDifference]) -> None:
    if entered:
        click.echo(f"Entered: {', '.join(entered)}.")
    for one in found:
        for each in one.differences:
            click.echo(f"{one.task.id}: {_which(one)}: {each.what}: {each.was} / in the file: {each.now}")
    if not found:
        click.echo("File and register say the same.")


def _which(one: FileDifference) -> str:
    if one.is_new:
        return "not in the register"
    return "set on the page" if one.set_on_page else "not read yet"


def _as_data(one: FileDifference) -> dict[str, Any]:
    return {
        "task": one.task.id,
        "state": _which(one),
        "differences": [
            {"what": each.what, "register": each.was, "file": each.now} for each in one.differences
        ],
    }
