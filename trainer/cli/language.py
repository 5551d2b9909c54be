"""`trainer language`."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from trainer import settings
from trainer.checker.manual import manual
from trainer.competency import policy
from trainer.procedure import keys

if TYPE_CHECKING:
    from collections.abc import Callable


def _schema() -> str:
    return json.dumps(keys.json_schema(), ensure_ascii=False, indent=1) + "\n"


PAGES: dict[str, Callable[[], str]] = {
    "LANGUAGE.md": keys.reference_page,
    "FINDINGS.md": manual,
    "POLICY.md": policy.reference_page,
    "procedure.schema.json": _schema,
}


@click.command("language")
@click.option("--page", type=click.Choice(list(PAGES)), default="LANGUAGE.md", help="Which page.")
@click.option("--write", is_flag=True, help="Write all pages into the content folder.")
def language_command(page: str, write: bool) -> None:
    """Print the reference of the procedure language, the manual of findings, the policy's numbers, or the JSON Schema.

    \b
    Example:
      trainer language --page procedure.schema.json > procedure.schema.json
    """
    if not write:
        click.echo(PAGES[page](), nl=False)
        return
    for name, make in PAGES.items():
        path = settings.shipped("content") / name
        path.write_text(make(), encoding="utf-8")
        click.echo(f"Wrote {path}.")
