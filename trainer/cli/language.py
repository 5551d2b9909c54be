"""`trainer language`."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from trainer import settings
from trainer.checker.manual import manual
from trainer.cli.drawing_page import drawing_page
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


# Printed when asked for and served by the program, but not kept: every drawing in it would change with the style sheet.
_PRINTED: dict[str, Callable[[], str]] = {"DRAWINGS.html": drawing_page}


@click.command("language")
@click.option("--page", type=click.Choice([*PAGES, *_PRINTED]), default="LANGUAGE.md", help="Which page.")
@click.option("--write", is_flag=True, help="Write all pages into the content folder.")
def language_command(page: str, write: bool) -> None:
    """Print the language, its findings, the policy's numbers, the JSON Schema, or the drawing language in pictures.

    \b
    Example:
      trainer language --page procedure.schema.json > procedure.schema.json
      trainer language --page DRAWINGS.html > drawings.html
    """
    if not write:
        click.echo({**PAGES, **_PRINTED}[page](), nl=False)
        return
    for name, make in PAGES.items():
        path = settings.shipped("content") / name
        path.write_text(make(), encoding="utf-8")
        click.echo(f"Wrote {path}.")
