"""`trainer check`."""

from __future__ import annotations

from pathlib import Path

import click

from trainer.checker.check import check_paths, check_shipped
from trainer.cli.output import format_option, say_json


@click.command("check")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@format_option
@click.pass_context
def check_command(ctx: click.Context, paths: tuple[Path, ...], output: str) -> None:
    """Check procedure files, or all in a folder; without PATH the shipped procedures and shared tables.

    All findings come in one run, as file:line:column. Exits with 1 when there are any.

    \b
    Example:
      trainer check content/piston-valve-overhaul.yaml
    """
    findings = check_paths(paths) if paths else check_shipped()
    if output == "json":
        say_json(
            [
                {
                    "code": finding.code,
                    "signal": str(finding.signal),
                    "file": finding.place.file,
                    "line": finding.place.line,
                    "column": finding.place.column,
                    "what": finding.what,
                    "mend": finding.mend,
                }
                for finding in findings
            ]
        )
    else:
        for finding in findings:
            click.echo(f"{finding.place}: {finding.signal} [{finding.code}] {finding.what} {finding.mend}")
        click.echo(_summary(len(findings)))
    ctx.exit(1 if findings else 0)


def _summary(count: int) -> str:
    return "Nothing to mend." if count == 0 else f"{count} finding{'s' if count > 1 else ''}."
