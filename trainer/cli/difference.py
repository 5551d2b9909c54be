"""`trainer difference`."""

from __future__ import annotations

import click

from trainer.checker.sound import sound_module
from trainer.cli.output import format_option, say_json
from trainer.drills.difference import difference


@click.command("difference")
@click.argument("old")
@click.argument("new")
@format_option
def difference_command(old: str, new: str, output: str) -> None:
    """Tell what is different between two revisions of a module, and which competencies it touches.

    \b
    Example:
      trainer difference piston-valve-overhaul.yaml piston-valve-overhaul-new.yaml
    """
    found = difference(sound_module(old), sound_module(new))
    if output == "json":
        say_json(found.as_data())
        return
    if found.old == found.new:
        click.echo("The same revision: nothing is different.")
        return
    for change in found.changes:
        click.echo(change.text)
    click.echo(f"Competencies touched: {len(found.skills)}.")
    for skill in found.skills:
        hurts = ", can hurt" if skill.critical else ""
        click.echo(f"  {skill.title} ({skill.how}{hurts})")
    if found.classes:
        click.echo(f"To be assessed anew: {', '.join(title for _, title in found.classes)}.")
