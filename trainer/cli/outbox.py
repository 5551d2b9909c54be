"""`trainer outbox`."""

from __future__ import annotations

from datetime import UTC, datetime

import click

from trainer import settings
from trainer.actions import outbox
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.output import format_option, say_json
from trainer.exports.activity.post import Receiver


@click.group("outbox")
def outbox_command() -> None:
    """Send what people did to another system, as activity statements (Experience API 1.0.3).

    \b
    Example:
      trainer outbox send
    """


@outbox_command.command("send")
@click.option("--now", "anyway", is_flag=True, help="Try although the time to wait is not over.")
@click.pass_context
def send_command(ctx: click.Context, anyway: bool) -> None:
    """Send what waits; exit 1 when something still waits or was refused. Run it by the clock.

    The address is the setting `statements_to`; TRAINER_STATEMENTS_KEY is sent as Authorization.

    \b
    Example:
      TRAINER_STATEMENTS_KEY="Basic …" trainer outbox send
    """
    chosen = settings.load()
    receiver = Receiver(chosen.statements_to, settings.statements_key())
    with open_database(chosen) as db:
        run = outbox.send(db, SYSTEM, receiver, now=datetime.now(UTC), anyway=anyway)
    for sentence in dict.fromkeys(run.told):
        click.echo(sentence)
    click.echo(f"Sent {run.sent}, refused {run.refused}, waiting {run.waiting}.")
    if run.waiting and run.next_at is not None:
        click.echo(f"Next try from {run.next_at:%Y-%m-%d %H:%M} UTC on.")
    ctx.exit(1 if run.waiting or run.refused else 0)


@outbox_command.command("status")
@format_option
def status_command(output: str) -> None:
    """Tell what has arrived, what waits, and what was refused and why.

    \b
    Example:
      trainer outbox status --format json
    """
    chosen = settings.load()
    with open_database(chosen) as db:
        stands = outbox.status(db, SYSTEM)
    found = stands.counted
    if output == "json":
        say_json(
            {
                "to": chosen.statements_to,
                "sent": found.sent,
                "waiting": found.waiting,
                "tries": found.tries,
                "next_at": found.next_at.isoformat() if found.next_at else None,
                "last_sent_at": found.last_sent_at.isoformat() if found.last_sent_at else None,
                "refused": found.refused,
                "refusals": [
                    {"statement": one.statement_id, "entry": one.entry, "why": one.why}
                    for one in stands.refused
                ],
            }
        )
        return
    click.echo(f"To {chosen.statements_to}." if chosen.statements_to else "No receiver is set.")
    click.echo(f"Sent {found.sent}, refused {found.refused}, waiting {found.waiting}.")
    if found.waiting and found.next_at is not None and found.tries:
        click.echo(
            f"Failed {found.tries} times in a row; next try from {found.next_at:%Y-%m-%d %H:%M} UTC on."
        )
    for one in stands.refused:
        click.echo(f"Entry {one.entry}: {one.why}")
