"""The order in which the pieces of a section are painted, so that what lies in front comes last.

Two pieces are compared only at heights that both occupy: the one that reaches farther out there is behind, for the
cutting plane takes its front away. What is drawn whole hides what is inside it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drawing.scene import Placed

_SAMPLES = 9


def paint_order(placed: Sequence[Placed]) -> list[Placed]:
    """Return the pieces as they are painted, first the one that lies farthest back."""
    flat = [item for item in placed if not item.base.on_circle]
    sets = [item for item in placed if item.base.on_circle]
    return [*_sorted(flat), *_sorted(sets)]


def _sorted(items: list[Placed]) -> list[Placed]:
    after: dict[int, set[int]] = {n: set() for n in range(len(items))}
    waiting = dict.fromkeys(range(len(items)), 0)
    for a in range(len(items)):
        for b in range(a + 1, len(items)):
            first = _first(items[a], items[b])
            if first:
                one, other = (a, b) if first > 0 else (b, a)
                after[one].add(other)
                waiting[other] += 1
    done: list[Placed] = []
    left = set(waiting)
    while left:
        # In a ring of pieces that each hide the next, the one that reaches farthest goes first.
        free = min(left, key=lambda n: (waiting[n], -_widest(items[n]), n))
        left.remove(free)
        done.append(items[free])
        for n in after[free]:
            waiting[n] -= 1
    return done


def _along(item: Placed, other: Placed) -> Placed:
    """Return a piece as it is compared: two that lie on the same side as they would stand on their own axis."""
    lying, its = item.base.lying, other.base.lying
    if lying is None or its is None or lying[1] != its[1]:
        return item
    return replace(item, base=lying[0], dx=0.0, dz=item.dx * lying[1])


def _widest(item: Placed) -> float:
    x0, _, x1, _ = item.base.box
    return max(abs(x0), abs(x1))


def _first(a: Placed, b: Placed) -> int:
    """Return 1 when `a` is painted first, -1 when `b` is, 0 when it does not matter."""
    # A body that is not turned hides nothing: what is screwed into it from the side lies in front of it.
    if (a.base.lying is None) != (b.base.lying is None):
        body, lead = (b, -1) if a.base.lying else (a, 1)
        if not body.base.cover and not body.base.whole:
            return lead
    one, two = _along(a, b), _along(b, a)
    low = max(one.low, two.low)
    high = min(one.high, two.high)
    if high - low < 1e-6:
        return 0
    lead = 0
    for n in range(_SAMPLES):
        z = low + (n + 0.5) / _SAMPLES * (high - low)
        ra, rb = one.reach(z), two.reach(z)
        if ra > 0 and rb > 0 and abs(ra - rb) > 1e-6:
            lead += 1 if ra > rb else -1
    if lead == 0:
        return 0
    outer, inner = (a, b) if lead > 0 else (b, a)
    hides = outer.base.whole and not (outer.base.through and inner.base.whole)
    return lead // abs(lead) * (-1 if hides else 1)
