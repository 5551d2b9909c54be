"""Circles in what follows what."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping


def circles(follows: Mapping[str, Collection[str]]) -> Iterator[tuple[str, ...]]:
    """Yield a shortest circle out of each knot: each name before the next, the last before the first.

    Args:
        follows: name → the names that come directly after it. A knot is a set of names each of which can be
            reached from each other one.
    """
    told: set[str] = set()
    for start in follows:
        if start in told:
            continue
        knot = {name for name in _reached(start, follows) if start in _reached(name, follows)}
        if knot:
            yield min((_round_trip(name, follows) for name in follows if name in knot), key=len)
            told |= knot


def _reached(start: str, follows: Mapping[str, Collection[str]]) -> dict[str, str]:
    """Return every name that can be reached from one, with the name before it on a shortest way."""
    came_from: dict[str, str] = {}
    queue = [start]
    for name in queue:
        for after in follows.get(name, ()):
            if after not in came_from:
                came_from[after] = name
                queue.append(after)
    return came_from


def _round_trip(start: str, follows: Mapping[str, Collection[str]]) -> tuple[str, ...]:
    came_from = _reached(start, follows)
    way = [came_from[start]]
    while way[0] != start:
        way.insert(0, came_from[way[0]])
    return tuple(way)
