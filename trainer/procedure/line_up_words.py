"""A line-up in words: how every element stands, what every piece of pipe holds, and what moving one changes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.pipe_states import Stands
from trainer.procedure.station import Form
from trainer.procedure.wording import capital, listed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.procedure.pipe_states import Holds, LineUp
    from trainer.procedure.station import Element


def describe(line_up: LineUp, locked: Iterable[str] = ()) -> str:
    """Return how every element stands and what every piece of pipe holds, as sentences.

    Args:
        line_up: the station.
        locked: the elements that carry a lock.
    """
    station = line_up.station
    stand: dict[Stands, list[str]] = {stands: [] for stands in Stands}
    filters = []
    for element in station.whole:
        if element.form in (Form.GAUGE, Form.RESTRICTOR):
            continue
        stands = line_up.stands(element)
        if element.form is Form.FILTER:
            filters.append(f"{element.tag} {'open to the air' if stands is Stands.OPEN else 'closed up'}")
        else:
            stand[stands].append(element.tag)
    said = [f"{capital(str(stands))}: {', '.join(tags)}." for stands, tags in stand.items() if tags]
    said += [f"Filters: {', '.join(filters)}."] if filters else []
    hung = [station.elements[name].tag for name in station.elements if name in set(locked)]
    said += [f"Locked: {', '.join(hung)}."] if hung else []
    said += [f"{capital(str(held))}: {', '.join(names)}." for held, names in _by_state(line_up).items()]
    if not line_up.fed:
        said.append("No run feeds the outlet.")
    return " ".join(said)


def _by_state(line_up: LineUp, only: Iterable[str] | None = None) -> dict[Holds, list[str]]:
    wanted = line_up.station.pieces if only is None else list(only)
    held: dict[Holds, list[str]] = {}
    for name in wanted:
        held.setdefault(line_up.holds[name], []).append(line_up.station.pieces[name].name)
    return held


def move_told(line_up: LineUp, element: Element) -> str:
    """Return what moving an element is called: `Open VV-111`."""
    is_open = line_up.is_open(element)
    if element.form is Form.FILTER:
        return f"Close the cover of {element.tag}" if is_open else f"Open the cover of {element.tag}"
    if element.form is Form.SLAM_SHUT:
        return f"Trip {element.tag} shut" if is_open else f"Latch {element.tag} open"
    return f"{'Shut' if is_open else 'Open'} {element.tag}"


def change_told(before: LineUp, after: LineUp) -> str:
    """Return what has changed in the pipes, as a sentence."""
    changed = [name for name in before.station.pieces if before.holds[name] is not after.holds[name]]
    if not changed:
        return "Every pipe holds what it held."
    said = [f"{listed(names)}: now {held}" for held, names in _by_state(after, changed).items()]
    return f"{capital('; '.join(said))}."
