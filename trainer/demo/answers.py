"""Answers as people of the demonstration give them: right by the key of the drill, wrong by a likely slip."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer import drills

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.actions.views import DrillAddress
    from trainer.procedure.model import Module

_OTHER_UNIT = {"N·m": "lbf·ft", "lbf·ft": "N·m", "lbf·in": "N·m"}


def right(module: Module, address: DrillAddress) -> Any:
    """Return an answer that earns full marks."""
    return drills.key(module, address.kind, address.size or None, address.seed)


def wrong(module: Module, address: DrillAddress) -> Any:
    """Return the likeliest slip that is marked wrong."""
    for slip in _slips(module, address):
        if not drills.mark(module, address.kind, address.size or None, address.seed, slip).right:
            return slip
    raise LookupError(f"every slip is right at {address}")


def _slips(module: Module, address: DrillAddress) -> Iterator[Any]:
    key = right(module, address)
    if isinstance(key, list):
        yield from _one_line_too_early(key)
    elif all(isinstance(value, dict) for value in key.values()):
        yield from _number_with_the_wrong_unit(key)
    else:
        yield from _another_option(module, address, key)


def _one_line_too_early(key: list[str]) -> Iterator[list[str]]:
    for line in range(len(key) - 1, 0, -1):
        for place in range(max(0, line - 2), -1, -1):
            rest = key[:line] + key[line + 1 :]
            yield [*rest[:place], key[line], *rest[place:]]
    yield key[::-1]


def _number_with_the_wrong_unit(key: dict[str, dict[str, str]]) -> Iterator[dict[str, dict[str, str]]]:
    for name, given in key.items():
        yield {**key, name: {**given, "unit": _OTHER_UNIT.get(given["unit"], given["unit"])}}
    for name, given in key.items():
        yield {**key, name: {**given, "value": str(2 * float(given["value"]))}}


def _another_option(module: Module, address: DrillAddress, key: dict[str, str]) -> Iterator[dict[str, str]]:
    form: Any = drills.ask(module, address.kind, address.size or None, address.seed).form
    for row in form.rows:
        for option in row.options:
            if option.id != key[row.id]:
                yield {**key, row.id: option.id}
