"""`trainer verify`."""

from __future__ import annotations

import click

from trainer import settings
from trainer.cli.output import read_answer
from trainer.records import key_file
from trainer.records.proof import EntryProof
from trainer.records.signed_note import Verifier


@click.command("verify")
@click.argument("file")
@click.option(
    "--key",
    "lines",
    multiple=True,
    help="Line of a key as `trainer key show` prints it; those of this machine unless given.",
)
@click.pass_context
def verify_command(ctx: click.Context, file: str, lines: tuple[str, ...]) -> None:
    """Check the proof of a log entry on its own: no database, no network; exit 1 when it does not hold.

    \b
    Example:
      trainer verify entry-17.json --key "$(cat log.key)"
    """
    proof = EntryProof.read(read_answer(file))
    verifiers = tuple(map(Verifier.read, lines)) or key_file.verifiers(settings.load().keys)
    faults = [proof.faults(verifier) for verifier in verifiers]
    if () in faults:
        signer = verifiers[faults.index(())]
        click.echo(f"Proven: entry {proof.number} stands in the log signed by {signer.name}.")
        click.echo(proof.entry)
        return
    for sentence in dict.fromkeys(text for found in faults for text in found):
        click.echo(sentence)
    ctx.exit(1)
