"""Small procedures as a person writes them: the docstring of a test is the file."""

from __future__ import annotations

import inspect
from typing import TYPE_CHECKING

from trainer.procedure import library
from trainer.procedure.shared_tables import SharedTables
from trainer.procedure.window import Procedure, prepare

if TYPE_CHECKING:
    from trainer.procedure.model import Module

HEAD = {"module": "example", "title": "An example", "covered_task": "T-31", "sizes": "[DN 50, DN 80]"}


def whole_file(text: str) -> str:
    """A file with the keys put before it that every procedure has."""
    body = inspect.cleandoc(text) + "\n"
    present = {line.partition(":")[0] for line in body.splitlines()}
    return "".join(f"{key}: {value}\n" for key, value in HEAD.items() if key not in present) + body


def module_of(text: str, shared: SharedTables | None = None) -> Module:
    """The module in a text, which must be readable."""
    module = library.read_module(whole_file(text), "example.yaml", shared or SharedTables())
    assert module.problems == ()
    return module


def procedure_of(text: str) -> Procedure:
    return prepare(module_of(text))


def told(procedure: Procedure, *pieces: str) -> list[str]:
    """Each relation with its reasons, a line each; only those lines that hold all the pieces.

    A reason ends with its signal word in brackets when the other order is more than just impossible.
    """
    lines = [
        f"{before} < {after}: {reason.text}" + (f" [{reason.signal}]" if reason.signal else "")
        for (before, after), reasons in procedure.precedence.relations.items()
        for reason in reasons
    ]
    return [line for line in lines if all(piece in line for piece in pieces)]
