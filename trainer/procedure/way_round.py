"""Which way round a part goes, in words, and the other way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.wording import the

if TYPE_CHECKING:
    from trainer.procedure.model import Module, WayRound

_OPPOSITE = {
    "up": "down",
    "down": "up",
    "in": "out",
    "out": "in",
    "upstream": "downstream",
    "downstream": "upstream",
}


def right_way(module: Module, way: WayRound) -> str:
    """Return how a part goes in: `conical face up`, `rebated face to the disc retainer`."""
    return f"{way.feature} {_direction(module, way.direction)}"


def other_way(module: Module, way: WayRound) -> str:
    """Return the same part turned about."""
    return f"{way.feature} {_direction(module, _turned_about(way.direction))}"


def _direction(module: Module, direction: str) -> str:
    toward, _, other = direction.rpartition(" ")
    return f"{toward} {the(module.name(other))}" if toward else direction


def _turned_about(direction: str) -> str:
    if direction in _OPPOSITE:
        return _OPPOSITE[direction]
    toward, _, other = direction.rpartition(" ")
    return f"{'away from' if toward == 'to' else 'to'} {other}"
