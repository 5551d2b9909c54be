"""`trainer key`."""

from __future__ import annotations

import click

from trainer import settings
from trainer.cli.output import format_option, say_json
from trainer.records import key_file


@click.group("key")
def key_command() -> None:
    """Make and show the key that signs the log.

    \b
    Example:
      trainer key show
    """


@key_command.command("make")
@click.option(
    "--name", default="", help="Name of the log, such as records.example/log; the company's unless given."
)
@click.option("--replace", is_flag=True, help="Take a new key; what the old one signed can still be checked.")
def make_command(name: str, replace: bool) -> None:
    """Make the key; `trainer upgrade` has made one where there was none.

    \b
    Example:
      trainer key make --name records.example/log --replace
    """
    chosen = settings.load()
    made = key_file.make(chosen.keys, name or chosen.log_name, replace=replace)
    click.echo(f"Made a key in {chosen.keys}. Hand this line to whoever checks:")
    click.echo(str(made.verifier))


@key_command.command("show")
@format_option
def show_command(output: str) -> None:
    """Print what others check with: the line of each key that ever signed, the one in use first.

    \b
    Example:
      trainer key show
    """
    verifiers = key_file.verifiers(settings.load().keys)
    if output == "json":
        say_json(
            [
                {"name": v.name, "verifier": str(v), "did": v.key.did, "public": v.key.raw.hex()}
                for v in verifiers
            ]
        )
        return
    for verifier in verifiers:
        click.echo(str(verifier))
