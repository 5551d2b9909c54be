"""`trainer ledger`."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import click

from trainer import settings
from trainer.actions import ledger, rebuilding, replay
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.actions.rebuilding import How
from trainer.cli.output import entries_seen, format_option, say_json

if TYPE_CHECKING:
    from trainer.actions.rebuilding import TableHeld

_MOST_NAMED = 20
_WORDS = {How.CHANGED: "differs in", How.MISSING: "is not there", How.ADDED: "does not follow from the log"}


@click.group("ledger")
def ledger_command() -> None:
    """Check the log, sign where it stands, prove an entry, make the tables anew from it.

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
                "destroyed": found.destroyed,
                "troubles": [{"entry": t.number or None, "what": t.text} for t in found.troubles],
            }
        )
    else:
        for trouble in found.troubles:
            click.echo(trouble.text)
        if not found.troubles:
            click.echo(f"{found.size} entries and {found.checkpoints} checkpoints fit together.")
            click.echo(f"Root: {found.root.hex()}")
            if found.destroyed:
                click.echo(
                    f"{found.destroyed} entries lost their content by a decision that the log tells; their hashes stand."
                )
    ctx.exit(1 if found.troubles else 0)


@ledger_command.command("rebuild")
@click.option(
    "--replace", is_flag=True, help="Put right in the database whatever does not follow from the log."
)
@format_option
@click.pass_context
def rebuild_command(ctx: click.Context, replace: bool, output: str) -> None:
    """Make every table anew from the log alone and hold the kept rows against it; exit 1 when one differs.

    The rows are made in a temporary database; nothing is changed without --replace. With it the log is checked first, and
    what differs is written in one transaction that stands in the log itself: stop the server before, and keep a copy.
    What the log does not tell (passwords, sessions, addresses, the bytes of photographs) stays as it is.

    \b
    Example:
      trainer ledger rebuild
    """
    seen = entries_seen()
    with open_database(settings.load()) as db:
        if replace:
            held = rebuilding.replace(
                db, SYSTEM, chance=secrets.token_hex(16), now=datetime.now(UTC), seen=seen
            )
        else:
            held = rebuilding.compare(db, SYSTEM, seen=seen)
    wrong = any(one.differences for one in held)
    if output == "json":
        say_json({"tables": [_held_data(one) for one in held], "replaced": replace and wrong})
    else:
        for one in held:
            _say_held(one)
        if replace and wrong:
            click.echo("What differed is now as the log says.")
    ctx.exit(1 if wrong and not replace else 0)


def _say_held(held: TableHeld) -> None:
    if not held.differences:
        click.echo(f"{held.table}: equal, {held.rows} row{'' if held.rows == 1 else 's'}")
        return
    count = len(held.differences)
    click.echo(f"{held.table}: {'1 row differs' if count == 1 else f'{count} rows differ'}")
    for item in held.differences[:_MOST_NAMED]:
        click.echo(f"  {' '.join(map(str, item.key))}: {_WORDS[item.how]} {', '.join(item.columns)}".rstrip())
    if count > _MOST_NAMED:
        click.echo(f"  and {count - _MOST_NAMED} more; --format json names all")


def _held_data(held: TableHeld) -> dict[str, Any]:
    told = [
        {"key": list(item.key), "how": item.how.value, "columns": list(item.columns)}
        for item in held.differences
    ]
    return {"table": held.table, "rows": held.rows, "differences": told}


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
        say_json({"decisions": found.decisions, "destroyed": found.destroyed, "troubles": told})
    else:
        for trouble in found.troubles:
            click.echo(trouble.text)
        if not found.troubles:
            click.echo(f"{found.decisions} signed decisions follow from the entries before them.")
        if found.destroyed:
            click.echo(
                f"{found.destroyed} more were destroyed after their time and cannot be worked out again."
            )
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
