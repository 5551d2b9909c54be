"""`trainer verify`."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import settings
from trainer.actions import paper_codes, read_back
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.output import AnswerFileUnreadable, format_option, read_answer, say_json
from trainer.records import credential, key_file, packet, packet_file
from trainer.records.proof import EntryProof
from trainer.records.signed_note import Verifier

if TYPE_CHECKING:
    from trainer.actions.paper_codes import CodeTold


@click.command("verify")
@click.argument("file", required=False)
@click.option(
    "--key",
    "lines",
    multiple=True,
    help="Line of a key as `trainer key show` prints it; those of this machine unless given.",
)
@click.option(
    "--code",
    help="What the code on a record or a pocket card says, as a phone shows it: held against the file, or, without one, "
    "against the register of this machine.",
)
@format_option
@click.pass_context
def verify_command(
    ctx: click.Context, file: str | None, lines: tuple[str, ...], code: str | None, output: str
) -> None:
    """Check a packet, printed records (PDF), a credential or the proof of a log entry: no database, no network.

    With a code alone the register of this machine is asked whether it has what the paper names.

    Exit 1 when it does not hold.

    \b
    Examples:
      trainer verify packet.zip --key "$(cat log.key)"
      trainer verify crew-records.pdf
      trainer verify --code "record/1 QR-2026-0001 …" record.pdf
    """
    if file is None and code is None:
        raise click.UsageError("Name a file, or give what the code on a paper says (--code).")
    told = _code(file, code) if code is not None else None
    faults = list(told.faults) if told else []
    if file is not None:
        trusted = tuple(map(Verifier.read, lines)) or key_file.verifiers(settings.load().keys)
        faults += _faults(file, trusted)
    if output == "json":
        more = {} if told is None else {"names": told.names}
        say_json({"holds": not faults, "faults": faults, **more})
        ctx.exit(1 if faults else 0)
    for text in [*(told.names if told else ()), *faults]:
        click.echo(text)
    if not faults:
        click.echo(_good(file, told))
    ctx.exit(1 if faults else 0)


def _good(file: str | None, told: CodeTold | None) -> str:
    if file is None:
        return "The register has what the paper names."
    signed = "It holds: signed by a key that is trusted here, and nothing was changed."
    return f"The file has what the paper names. {signed}" if told else signed


def _code(file: str | None, code: str) -> CodeTold:
    if file is not None:
        return paper_codes.in_file(_bytes(file), code)
    with open_database(settings.load()) as db:
        return paper_codes.in_register(db, SYSTEM, code, today=datetime.now(UTC).date())


def _bytes(file: str) -> bytes:
    """Return a file.

    Raises:
        AnswerFileUnreadable: it cannot be read.
    """
    try:
        return Path(file).read_bytes()
    except OSError as problem:
        raise AnswerFileUnreadable(file, problem.strerror or "it is not a file") from problem


def _faults(file: str, trusted: tuple[Verifier, ...]) -> tuple[str, ...]:
    today = datetime.now(UTC).date()
    if file.endswith(".zip"):
        return tuple(str(fault) for fault in packet.faults(packet_file.read(_bytes(file)), trusted))
    if file.endswith(".pdf"):
        return tuple(str(fault) for fault in read_back.faults(_bytes(file), trusted))
    data = read_answer(file)
    if isinstance(data, dict) and "credentialSubject" in data:
        return credential.faults(data, trusted, today)
    proof = EntryProof.read(data)
    found = [proof.faults(verifier) for verifier in trusted]
    return () if () in found else tuple(dict.fromkeys(text for texts in found for text in texts))
