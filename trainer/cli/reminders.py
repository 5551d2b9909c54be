"""`trainer reminders`."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from trainer import settings
from trainer.actions import reminders
from trainer.actions.addresses import is_fit
from trainer.actions.mail_server import Post
from trainer.actions.opening import open_database
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from trainer.settings import Settings


class MailIsOff(TrainerError):
    """No mail server, or no usable sender, is set."""

    def __init__(self) -> None:
        super().__init__(
            "Reminders are off: set mail_server, and mail_sender to an address, in settings.toml."
        )


@click.group("reminders")
def reminders_command() -> None:
    """Send what people are to be reminded of, each thing once.

    \b
    Example:
      trainer reminders send --dry-run
    """


@reminders_command.command("send")
@click.option("--dry-run", is_flag=True, help="Print what would be sent; send and note nothing.")
def send_command(dry_run: bool) -> None:
    """Send what is due; meant to be run once a day.

    The server stands in settings.toml, its password in TRAINER_MAIL_PASSWORD. Exit code 1 tells that something was not
    sent; the next run tries again.

    \b
    Example:
      trainer reminders send
    """
    found, now = settings.load(), datetime.now(UTC)
    if dry_run:
        with open_database(found) as db:
            waiting = reminders.due(db, now=now)
        for one in waiting:
            click.echo(f"{one.person_id} {one.name}: {one.subject}\n{one.text}\n")
        click.echo(f"{len(waiting)} to send; nothing was sent.")
        return
    post = _post(found)
    with open_database(found) as db:
        lost = reminders.left_behind(db, now=now)
        done = reminders.send(db, post, site=found.home_page, now=now)
    for person_id in lost:
        click.echo(
            f"{person_id}: perhaps sent: an earlier run ended while it was sending; not sent again.", err=True
        )
    for sent in done:
        if sent.problem:
            click.echo(f"{sent.reminder.person_id}: {sent.problem}", err=True)
    click.echo(f"{sum(not sent.problem for sent in done)} of {len(done)} sent.")
    if lost or any(sent.problem for sent in done):
        raise click.exceptions.Exit(1)


def _post(found: Settings) -> Post:
    if not found.mail_server or not is_fit(found.mail_sender):
        raise MailIsOff
    return Post(
        server=found.mail_server,
        port=found.mail_port,
        security=found.mail_security,
        sender=found.mail_sender,
        user=found.mail_user,
        password=settings.mail_password(),
    )
