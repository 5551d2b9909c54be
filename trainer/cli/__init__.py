"""The command line: one command, `trainer`, and an explicit list of what it can do.

A command's module is imported only when it is called, so that `--help` answers at once.
"""

from __future__ import annotations

import sys
from importlib import import_module

import click

from trainer.errors import TrainerError

# name: (module, function, one line of help)
COMMANDS: dict[str, tuple[str, str]] = {
    "answer": ("trainer.cli.drill", "Mark an answer to a question, with the explanation."),
    "ask": ("trainer.cli.drill", "Print one question exactly as a trainee gets it."),
    "backup": ("trainer.cli.backup", "Write all that must not be lost to one file, while serving."),
    "bench": ("trainer.cli.bench", "Measure the figures, each as a ratio to a floor of the same run."),
    "check": ("trainer.cli.check", "Check procedure files and shared tables."),
    "demo": ("trainer.cli.serve", "Make the demonstration company and serve it."),
    "difference": ("trainer.cli.difference", "Tell what is different between two revisions of a module."),
    "draw": ("trainer.cli.draw", "Draw one picture of a procedure to a file."),
    "key": ("trainer.cli.key", "Make and show the key that signs the log."),
    "language": ("trainer.cli.language", "Print the reference of the procedure language."),
    "keeping": ("trainer.cli.keeping", "List what is kept of whoever does a task no more, and until when."),
    "ledger": (
        "trainer.cli.ledger",
        "Check the log, sign where it stands, prove an entry, make the tables anew.",
    ),
    "mark": ("trainer.cli.order", "Mark an order of steps."),
    "order": ("trainer.cli.order", "Tell the legal orders of a procedure or a stretch of it."),
    "outbox": ("trainer.cli.outbox", "Send what people did to another system."),
    "people": ("trainer.cli.people", "Add, list and retire people."),
    "print": ("trainer.cli.papers", "Print a paper to a file."),
    "publish": ("trainer.cli.publish", "Put a revision of a procedure in force."),
    "qualifications": (
        "trainer.cli.qualifications",
        "Take over qualifications that people bring on paper.",
    ),
    "qualified": (
        "trainer.cli.qualified",
        "Tell who was qualified for a task on a day, and on what evidence.",
    ),
    "reckon": ("trainer.cli.reckon", "Work out one trade computation."),
    "reminders": ("trainer.cli.reminders", "Send what people are to be reminded of by e-mail."),
    "restore": ("trainer.cli.backup", "Bring an installation back from a backup."),
    "serve": ("trainer.cli.serve", "Serve the instance."),
    "simulate-crew": (
        "trainer.cli.simulate_crew",
        "Prove the rules of sign-off on an invented crew of known skill.",
    ),
    "tasks": ("trainer.cli.tasks", "Read the file of covered tasks, and tell where the register differs."),
    "upgrade": ("trainer.cli.serve", "Bring the database to the present schema."),
    "verify": ("trainer.cli.verify", "Check a packet, a credential or a proof on its own."),
}


class _Commands(click.Group):
    """The group; its commands are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  # click calls it so
        """Return the names in alphabetical order."""
        return sorted(COMMANDS)

    def get_command(
        self,
        ctx: click.Context,  # noqa: ARG002  # click calls it so
        cmd_name: str,
    ) -> click.Command | None:
        """Return a command; its function has its name, `-` written as `_`, with `_command` behind it."""
        if cmd_name not in COMMANDS:
            return None
        module = import_module(COMMANDS[cmd_name][0])
        command: click.Command = getattr(module, f"{cmd_name.replace('-', '_')}_command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list from the table, without importing anything."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name][1]) for name in self.list_commands(ctx)])

    def invoke(self, ctx: click.Context) -> object:
        """Run a command; what a person can mend is told in one sentence on standard error, with exit code 2."""
        try:
            return super().invoke(ctx)
        except TrainerError as problem:
            click.echo(f"trainer: {problem}", err=True)
            ctx.exit(2)


@click.command(cls=_Commands, name="trainer")
@click.version_option(package_name="regulator-trainer", message="%(version)s")
def command() -> None:
    """Practice, competency and qualification records for people who overhaul gas pressure-reducing equipment.

    Commands exit with 0 (done, clean), 1 (done, with findings or a failed check) or 2 (could not run).
    """


def main() -> None:
    """Run the command line in UTF-8, whatever the console is set to."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    command(prog_name="trainer")
