"""`trainer verify`."""

from __future__ import annotations

from datetime import UTC, datetime

import click

from trainer import settings
from trainer.cli.output import format_option, read_answer, say_json
from trainer.records import credential, key_file, packet, packet_file
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
@format_option
@click.pass_context
def verify_command(ctx: click.Context, file: str, lines: tuple[str, ...], output: str) -> None:
    """Check a packet, a credential or the proof of a log entry on its own: no database, no network.

    Exit 1 when it does not hold.

    \b
    Example:
      trainer verify packet.zip --key "$(cat log.key)"
    """
    trusted = tuple(map(Verifier.read, lines)) or key_file.verifiers(settings.load().keys)
    faults = _faults(file, trusted)
    if output == "json":
        say_json({"holds": not faults, "faults": list(faults)})
        ctx.exit(1 if faults else 0)
    for text in faults:
        click.echo(text)
    if not faults:
        click.echo("It holds: signed by a key that is trusted here, and nothing was changed.")
    ctx.exit(1 if faults else 0)


def _faults(file: str, trusted: tuple[Verifier, ...]) -> tuple[str, ...]:
    today = datetime.now(UTC).date()
    if file.endswith(".zip"):
        with click.open_file(file, "rb") as opened:
            files = packet_file.read(opened.read())
        return tuple(str(fault) for fault in packet.faults(files, trusted))
    data = read_answer(file)
    if isinstance(data, dict) and "credentialSubject" in data:
        return credential.faults(data, trusted, today)
    proof = EntryProof.read(data)
    found = [proof.faults(verifier) for verifier in trusted]
    return () if () in found else tuple(dict.fromkeys(text for texts in found for text in texts))
