"""`trainer ledger`."""

from __future__ import annotations

from datetime import UTC, datetime

import click

from trainer import settings
from trainer.actions import ledger, replay
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.output import entries_seen, format_option, say_json


@click.group("ledger")
def ledger_command() -> None:
    """Check the log, sign where it stands, prove an entry.

    \b
    Example:
      trainer ledger check
    """


@ledger_command.command("check")
@format_option
@click.pass_context
def check_command(ctx: click.Context, output: str) -> None:
    """Go through the whole log; exit 1 when something does not fit.

    \b
    Example:
      trainer ledger check --format json
    """
    with open_database(settings.load()) as db:
        found = ledger.check(db, SYSTEM, seen=entries_seen())
    if output == "json":
        say_json(
            {
                "entries": found.size,
                "root": found.root.hex(),
                "checkpoints": found.checkpoints,
                "troubles": [{"entry": t.number or None, "what": t.text} for t in found.troubles],
            }
        )
    else:
        for trouble in found.troubles:
            click.echo(trouble.text)
        if not found.troubles:
            click.echo(f"{found.size} entries and {found.checkpoints} checkpoints fit together.")
            click.echo(f"Root: {found.root.hex()}")
    ctx.exit(1 if found.troubles else 0)


@ledger_command.command("decisions")
@format_option
@click.pass_context
def decisions_command(ctx: click.Context, output: str) -> None:
    """Work out every signed decision again from the log alone; exit 1 when one comes to something else.

    \b
    Example:
      trainer ledger decisions
    """
    with open_database(settings.load()) as db:
        found = replay.decisions(db, SYSTEM)
    if output == "json":
        told = [{"entry": t.number, "what": t.text} for t in found.troubles]
        say_json({"decisions": found.decisions, "troubles": told})
    else:
        for trouble in found.troubles:
            click.echo(trouble.text)
        if not found.troubles:
            click.echo(f"{found.decisions} signed decisions follow from the entries before them.")
    ctx.exit(1 if found.troubles else 0)


@ledger_command.command("checkpoint")
def checkpoint_command() -> None:
    """Print the signed checkpoint over all entries: keep it where the owner of this server cannot change it.

    \b
    Example:
      trainer ledger checkpoint > checkpoint.txt
    """
    with open_database(settings.load()) as db:
        click.echo(ledger.checkpoint(db, SYSTEM, now=datetime.now(UTC)), nl=False)


@ledger_command.command("proof")
@click.argument("entry", type=click.IntRange(1))
def proof_command(entry: int) -> None:
    """Print an entry of the log with the proof that it stands there; `trainer verify` checks it.

    \b
    Example:
      trainer ledger proof 17 > entry-17.json
    """
    with open_database(settings.load()) as db:
        say_json(ledger.proof(db, SYSTEM, entry, now=datetime.now(UTC)).as_data())
