"""`trainer print`."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from trainer import settings
from trainer.actions import printing
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.checker.sound import sound_module
from trainer.errors import TrainerError
from trainer.exports import EXPORTS
from trainer.exports.packets import JobCardPacket
from trainer.procedure import library

# Papers of a procedure can be printed from its file, without a database.
_OF_A_PROCEDURE = ("bench_card", "job_card", "parts_kit")


class UnknownPaper(TrainerError):
    """A paper is asked for that there is not."""

    def __init__(self, kind: str) -> None:
        super().__init__(
            f"There is no paper '{kind}'; there are {', '.join(_spoken(name) for name in EXPORTS)}."
        )


class SubjectMissing(TrainerError):
    """It is not said what the paper is about, or where it goes."""

    def __init__(self, kind: str, subject: str) -> None:
        super().__init__(
            f"Say what the {_spoken(kind).replace('-', ' ')} is about ({subject}) and where it goes (--out FILE)."
        )


class CannotWrite(TrainerError):
    """The file cannot be written."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(f"{path} cannot be written: {why}.")


@click.command("print")
@click.argument("kind", required=False)
@click.argument("subject", required=False)
@click.option("--size", help="Size, for the papers of a procedure.")
@click.option(
    "--paper", type=click.Choice(["a4", "us-letter"]), help="Paper; as in the settings unless given."
)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="File to write.")
@click.option("--no-bom", is_flag=True, help="Leave out the mark in front of a CSV file.")
@click.option("--list", "listing", is_flag=True, help="List the papers and what each is about.")
def print_command(
    kind: str | None,
    subject: str | None,
    size: str | None,
    paper: str | None,
    out: Path | None,
    no_bom: bool,
    listing: bool,
) -> None:
    """Print a paper, or the same as data, to a file.

    \b
    Examples:
      trainer print qualification-record QR-2026-0001 --out record.pdf
      trainer print job-card piston-valve-overhaul --size "DN 80" --out job-card.pdf
      trainer print bench-card piston-valve-overhaul --size "DN 80" --out bench-card.pdf
      trainer print crew-xlsx "Crew 2, south" --out crew.xlsx
    """
    if listing or kind is None:
        for name, export in EXPORTS.items():
            click.echo(f"{_spoken(name):<22} {export.TITLE}; of {export.SUBJECT}")
        return
    name = kind.replace("-", "_").replace(" ", "_")
    if name not in EXPORTS:
        raise UnknownPaper(kind)
    if subject is None or out is None:
        raise SubjectMissing(name, EXPORTS[name].SUBJECT)
    chosen = settings.load()
    size_of_paper = paper or chosen.paper
    if name in _OF_A_PROCEDURE:
        data = EXPORTS[name].write(_packet(subject, size, chosen.company), paper=size_of_paper)
    else:
        with open_database(chosen) as db:
            data = printing.print_sheet(
                db, SYSTEM, name, subject, paper=size_of_paper, now=datetime.now(UTC), bom=not no_bom
            ).data
    try:
        out.write_bytes(data)
    except OSError as problem:
        raise CannotWrite(out, problem.strerror or "it is not a file") from problem
    click.echo(f"Wrote {out}, {len(data):,} bytes.")


def _spoken(name: str) -> str:
    return name.replace("_", "-")


def _packet(subject: str, size: str | None, company: str) -> JobCardPacket:
    module = sound_module(subject)
    today = datetime.now(UTC).date()
    chosen = size or (module.sizes[0] if module.sizes else "")
    task = library.tables().tasks.get(module.covered_task)
    directed = task.conditions.span.sentence if task else ""
    return JobCardPacket(module, chosen, company, "", "", "", today, directed=directed)
