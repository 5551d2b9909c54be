"""Reading a procedure with every place and its whole check, beside nothing but the parsing of the same bytes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import yaml

from trainer.checker.check import check_module
from trainer.cli.measuring.timing import Reading, slower
from trainer.procedure import library

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort

TITLE = "Read and check a procedure"

READ, CHECK = 1.0, 3.0


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield for each shipped procedure how many times longer than CSafeLoader reading takes, and reading with its check."""
    # A parser in C beside one in Python would be no floor.
    loader: Any = getattr(yaml, "CSafeLoader", None)
    if loader is None:
        yield Reading(TITLE, note="CSafeLoader, the floor, is not installed.")
        return
    library.tables()
    for name, path in library.shipped_procedures().items():
        data = path.read_bytes()

        def floor(data: bytes = data) -> object:
            return yaml.load(data, Loader=loader)  # noqa: S506  # the safe one

        def read(data: bytes = data, file: str = path.name) -> object:
            return library.read_module(data, file)

        def check(data: bytes = data, file: str = path.name) -> object:
            return check_module(library.read_module(data, file))

        if set(library.read_module(data, path.name).steps) != {
            step["id"] for step in loader(data).get_data()["steps"]
        }:
            raise AssertionError("both sides must find the same steps")
        yield slower(f"Read {name} with places and rules, times CSafeLoader", floor, read, effort, READ)
        yield slower(f"Read and check {name}, times CSafeLoader", floor, check, effort, CHECK)
