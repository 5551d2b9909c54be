"""What the commands share: the format option, JSON on standard output, answers from a file."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Any

import click

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Callable


class AnswerFileUnreadable(TrainerError):
    """A file cannot be read, or is not JSON where that is wanted."""

    def __init__(self, name: str, why: str) -> None:
        super().__init__(f"{name} cannot be read: {why}.")


format_option = click.option(
    "--format", "output", type=click.Choice(["text", "json"]), default="text", help="Form of the output."
)


def say_json(data: Any) -> None:
    """Print plain values as JSON."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=1))


def entries_seen() -> Callable[[int], None] | None:
    """Return what counts the entries of a log on a terminal while they are gone through; None in a pipe."""

    def told(done: int) -> None:
        click.echo(f"\r{done} entries", nl=False, err=True)

    return told if sys.stderr.isatty() else None


def read_answer(name: str) -> Any:
    """Return the JSON in a file, or on standard input for `-`.

    Raises:
        AnswerFileUnreadable: it cannot be read, or is not JSON.
    """
    try:
        with click.open_file(name, encoding="utf-8") as file:
            text = file.read()
        return json.loads(text, object_pairs_hook=_no_duplicates)
    except OSError as problem:
        raise AnswerFileUnreadable(name, problem.strerror or "it is not a file") from problem
    except (ValueError, RecursionError) as problem:
        raise AnswerFileUnreadable(name, f"it is not JSON ({problem})") from problem


def _no_duplicates(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f"the key {key!r} stands twice")
        found[key] = value
    return found
