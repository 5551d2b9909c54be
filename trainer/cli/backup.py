"""`trainer backup` and `trainer restore`."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from trainer import settings
from trainer.actions import backup, restore
from trainer.cli.output import entries_seen


@click.command("backup")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--with-signing-key",
    is_flag=True,
    help="Put the key that signs the log into it; whoever has both can write another history and sign it.",
)
def backup_command(file: Path, with_signing_key: bool) -> None:
    """Write all that must not be lost to one file, while the program serves.

    The file holds the database with its photographs, the settings and the public keys. It holds personal data: keep it
    where only the owner reads it. The key that signs the log stays out of it unless asked for.

    \b
    Example:
      trainer backup /var/backups/trainer-2027-03-17
    """
    done = backup.backup(settings.load(), file, now=datetime.now(UTC), with_signing_key=with_signing_key)
    for sentence in done:
        click.echo(sentence)


@click.command("restore")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--replace", is_flag=True, help="Put what is here aside, under a name with the moment, and restore."
)
def restore_command(file: Path, replace: bool) -> None:
    """Bring an installation back from a backup, once file and log are checked.

    Stop the program that serves before. A backup of SQLite goes into PostgreSQL as well, and the other way round.

    \b
    Example:
      trainer restore /var/backups/trainer-2027-03-17
    """
    now = datetime.now(UTC)
    for sentence in restore.restore(settings.load(), file, now=now, replace=replace, seen=entries_seen()):
        click.echo(sentence)
