"""`trainer publish`."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import settings
from trainer.actions import publish
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database

if TYPE_CHECKING:
    from trainer.actions.revise import Publication


@click.command("publish")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--must-show/--reading-is-enough",
    default=None,
    help="Whether people qualified under an earlier revision have to show the change; else what it touches decides.",
)
@click.option("--because", default="", help="Why it has to be shown, or why not; kept in the log.")
@click.option("--dry-run", is_flag=True, help="Say what would happen and change nothing.")
@click.pass_context
def publish_command(
    context: click.Context, file: Path, must_show: bool | None, because: str, dry_run: bool
) -> None:
    """Put a revision of a procedure in force, and say what it touches and for whom.

    A change that touches what can hurt somebody or abnormal conditions has to be shown anew by whoever is qualified under an
    earlier revision, unless you say otherwise and why. Exit code 1: the checker finds errors, nothing was published.

    \b
    Example:
      trainer publish piston-valve-overhaul.yaml --dry-run
    """
    text, now = file.read_text(encoding="utf-8"), datetime.now(UTC)
    with open_database(settings.load()) as db:
        try:
            found = publish.look(db, SYSTEM, text, file=file.name, now=now)
        except publish.NotFitToPublish as refused:
            for finding in refused.findings:
                click.echo(f"{finding.place}: {finding.what} {finding.mend} ({finding.code})", err=True)
            click.echo(f"trainer: {refused}", err=True)
            context.exit(1)
        _tell(found)
        if dry_run or not found.is_new:
            return
        done = publish.publish(
            db, SYSTEM, text, file=file.name, now=now, must_show=must_show, because=because
        )
    click.echo(f"Published {done.module_id}, revision {done.revision[:10]}.")
    if done.asked:
        click.echo(f"To be shown anew by {done.asked} of them until {found.due.isoformat()}.")


def _tell(found: Publication) -> None:
    if not found.is_new:
        click.echo("This very revision is in force already. Nothing to do.")
    if found.difference is None:
        return
    for change in found.difference.changes:
        click.echo(change.text)
    for element in found.classes:
        weight = "" if element.skill_class == "ordinary" else f" ({element.skill_class})"
        click.echo(f"Touched: {element.title}{weight}")
    for one in found.concerned:
        click.echo(
            f"Qualified under {one.signed_under[:10]}: {one.person_name}, {one.person_id}, {one.number}"
        )
    follows = "has to be shown anew" if found.must_show else "has to be read"
    click.echo(f"Unless you say otherwise the change {follows}.")
