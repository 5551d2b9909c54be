"""Wrong answers that are likely: a line one place too early, the other unit, another option."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.drills.answer_forms import NextStep, Number, Say

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.model import Module

_OTHER_UNIT = {"N·m": "lbf·ft", "lbf·ft": "N·m", "lbf·in": "N·m"}


def slips(module: Module, kind: str, size: str | None, seed: int) -> Iterator[Any]:
    """Yield answers to the question at a seed that are marked wrong, the likeliest first, none twice.

    Raises:
        UnknownKind, NothingToAsk, UnknownSize, NoOrder: as for `drills.ask`.
    """
    seen: list[Any] = []
    for slip in _candidates(module, kind, size, seed):
        if slip not in seen and not _is_right(module, kind, size, seed, slip):
            seen.append(slip)
            yield slip


def _is_right(module: Module, kind: str, size: str | None, seed: int, answer: Any) -> bool:
    if kind in drills.RUNS and drills.go_on(module, kind, size, seed, answer):
        return True  # so far
    return drills.mark(module, kind, size, seed, answer).right


def _candidates(module: Module, kind: str, size: str | None, seed: int) -> Iterator[Any]:
    key: Any = drills.key(module, kind, size, seed)
    form: Any = drills.ask(module, kind, size, seed).form
    if isinstance(form, NextStep):
        # A run ends with its first wrong pick.
        yield from ([option.id] for option in form.options if option.id != key[0])
    elif isinstance(form, Say):
        yield dict.fromkeys(key, "I cannot say")
    elif isinstance(key, list):
        yield from _one_line_too_early(key)
    elif isinstance(form, Number):
        yield from _number_with_the_wrong_unit(form, key)
    else:
        yield from _another_option(form, key)


def _one_line_too_early(key: list[str]) -> Iterator[list[str]]:
    for line in range(len(key) - 1, 0, -1):
        for place in range(max(0, line - 2), -1, -1):
            rest = key[:line] + key[line + 1 :]
            yield [*rest[:place], key[line], *rest[place:]]
    yield key[::-1]


def _number_with_the_wrong_unit(
    form: Number, key: dict[str, dict[str, str]]
) -> Iterator[dict[str, dict[str, str]]]:
    offered = {asked.id: asked.units for asked in form.fields}
    for name, given in key.items():
        other = _OTHER_UNIT.get(given["unit"])
        if other in offered[name]:
            yield {**key, name: {**given, "unit": other}}
    for name, given in key.items():
        yield {**key, name: {**given, "value": str(2 * float(given["value"]))}}
    for name, given in key.items():
        yield from ({**key, name: {**given, "unit": unit}} for unit in offered[name] if unit != given["unit"])


def _another_option(form: Any, key: dict[str, str]) -> Iterator[dict[str, str]]:
    for row in form.rows:
        for option in row.options:
            if option.id != key[row.id]:
                yield {**key, row.id: option.id}
