"""`trainer demo`, `trainer serve` and `trainer upgrade`."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from trainer import settings
from trainer.actions import upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database

if TYPE_CHECKING:
    from trainer.settings import Settings

PORT = 8450


@click.command("upgrade")
def upgrade_command() -> None:
    """Bring an older database to the present schema, or make a new one, and say what was done.

    \b
    Example:
      trainer upgrade
    """
    for sentence in _upgraded(settings.load()):
        click.echo(sentence)


def _upgraded(chosen: Settings) -> tuple[str, ...]:
    done = upkeep.upgrade(chosen)
    with open_database(chosen) as db:
        return done + upkeep.carry_rows(db, SYSTEM, now=datetime.now(UTC))


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--port", default=PORT, show_default=True, type=click.IntRange(1, 65535), help="Port to listen on."
)
def serve_command(host: str, port: int) -> None:
    """Serve the instance; the embedded database unless a database URL is set.

    \b
    Example:
      trainer serve --port 8450
    """
    chosen = settings.load()
    open_database(chosen).close()
    _serve(chosen, host, port)


@click.command("demo")
@click.option(
    "--port", default=PORT, show_default=True, type=click.IntRange(1, 65535), help="Port to listen on."
)
@click.option("--no-serve", is_flag=True, help="Make the company and stop.")
def demo_command(port: int, no_serve: bool) -> None:
    """Make the demonstration company in the instance folder and serve it; running it again changes nothing.

    \b
    Example:
      trainer demo --port 8450
    """
    from trainer import demo

    chosen = _named_after(demo.COMPANY, settings.load())
    _upgraded(chosen)
    with open_database(chosen) as db:
        sign_ins = demo.make(db, chosen, now=datetime.now(UTC))
    click.echo(f"{demo.COMPANY}: an invented company in the middle of its working week.")
    for person in sign_ins:
        click.echo(f"  {person.name:<22} {person.password:<24} {person.role}: {person.what_to_see}")
    if not no_serve:
        _serve(chosen, "127.0.0.1", port)


def _named_after(company: str, chosen: Settings) -> Settings:
    """Return the settings with the company's name, and keep it for later runs unless the file says something else."""
    path = chosen.instance / "settings.toml"
    if path.is_file():
        return chosen
    chosen.instance.mkdir(parents=True, exist_ok=True)
    path.write_text(f'company = "{company}"\n', encoding="utf-8")
    return replace(chosen, company=company)


def _serve(chosen: Settings, host: str, port: int) -> None:
    from trainer.web import serve

    click.echo(f"Open http://{host}:{port}/ in a browser. Ctrl+C stops.")
    serve(chosen, host, port)
