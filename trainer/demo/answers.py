"""Answers as people of the demonstration give them: right by the key of the drill, wrong by a likely slip."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.drills.answer_forms import NextStep, Say

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
        if not _is_right(module, address, slip):
            return slip
    raise LookupError(f"every slip is right at {address}")


def _is_right(module: Module, address: DrillAddress, answer: Any) -> bool:
    size = address.size or None
    if address.kind in drills.RUNS and drills.go_on(module, address.kind, size, address.seed, answer):
        return True  # so far
    return drills.mark(module, address.kind, size, address.seed, answer).right


def _slips(module: Module, address: DrillAddress) -> Iterator[Any]:
    key = right(module, address)
    form = drills.ask(module, address.kind, address.size or None, address.seed).form
    if isinstance(form, NextStep):
        # A run ends with its first wrong pick.
        yield from ([option.id] for option in form.options if option.id != key[0])
    elif isinstance(form, Say):
        yield dict.fromkeys(key, "I cannot say")
    elif isinstance(key, list):
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
