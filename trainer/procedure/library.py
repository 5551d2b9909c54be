"""Finding and reading procedures and the shared tables."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from trainer import settings
from trainer.errors import TrainerError
from trainer.procedure import revision as revisions
from trainer.procedure import source
from trainer.procedure.build import build
from trainer.procedure.shared_tables import SharedTables, read_tables
from trainer.procedure.values import nearest

if TYPE_CHECKING:
    from trainer.procedure.model import Module


class NoSuchProcedure(TrainerError):
    """A procedure is asked for that is neither a file nor shipped."""

    def __init__(self, name: str, known: list[str]) -> None:
        super().__init__(
            f"There is no procedure '{name}': neither a file nor one of {', '.join(known) or 'none'}.{nearest(name, known)}"
        )


class FileUnreadable(TrainerError):
    """A file cannot be opened."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(f"{path} cannot be read: {why}.")


@cache
def tables() -> SharedTables:
    """Return the shared tables that are shipped, read once."""
    return read_tables(settings.shipped("shared"))


def shipped_procedures() -> dict[str, Path]:
    """Return the name and path of each shipped procedure, by name."""
    return {path.stem: path for path in sorted(settings.shipped("content").glob("*.yaml"))}


def find(name: str) -> Path:
    """Return the path of a procedure given as a path or as the name of a shipped one.

    Raises:
        NoSuchProcedure: it is neither.
    """
    path = Path(name)
    if path.is_file():
        return path
    known = shipped_procedures()
    if name in known:
        return known[name]
    raise NoSuchProcedure(name, list(known))


def read_module(text: str | bytes, file: str, shared: SharedTables | None = None) -> Module:
    """Return the module in a text, with its problems, canonical form and revision; never raises on bad content.

    Args:
        text: the content of the file.
        file: what findings call it.
        shared: the shared tables; the shipped ones unless given.
    """
    known = tables() if shared is None else shared
    tree = source.read(text, file)
    module = build(tree, known.cautions)
    own = set(tree.root.entries) if tree.root else set()
    borrowed = [c for c in module.cautions.values() if c is known.cautions.get(c.id)]
    form = revisions.canonical(tree.root, borrowed) if own else b""
    return replace(module, canonical=form, revision=revisions.revision(form) if form else "")


def load(name: str) -> Module:
    """Return the module of a path or a shipped name.

    Raises:
        NoSuchProcedure: there is none.
        FileUnreadable: the file cannot be opened.
    """
    path = find(name)
    try:
        data = path.read_bytes()
    except OSError as problem:
        raise FileUnreadable(path, problem.strerror or "it is not a readable file") from problem
    return read_module(data, str(path))
