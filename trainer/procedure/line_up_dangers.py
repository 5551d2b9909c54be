"""What is wrong with a line-up, and what happens when somebody moves a valve of it; worked out from the pipe states.

The sentences are made from the station alone. What follows from opening and shutting is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from trainer.procedure.model import Hazard
from trainer.procedure.pipe_states import Holds
from trainer.procedure.station import Form, SourceOf
from trainer.procedure.wording import listed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from trainer.procedure.pipe_states import LineUp
    from trainer.procedure.station import Element


class Kind(StrEnum):
    """The ways in which a line-up is wrong."""

    STARVED = "starved"
    BLOWING = "blowing"
    OVER_PRESSURED = "over-pressured"
    NITROGEN = "gas at the nitrogen"
    NOT_EMPTY = "not empty"
    RUSH = "rush"
    FADES = "fades"


@dataclass(frozen=True)
class Trouble:
    """Something that is wrong: how bad it is, and what happens, as a clause without a full stop.

    `about` tells two troubles of one kind apart.
    """

    kind: Kind
    signal: Hazard
    what: str
    about: str = ""


def troubles(line_up: LineUp) -> tuple[Trouble, ...]:
    """Return everything that is wrong with a line-up, the worst first."""
    found = (*_standing_together(line_up), *_opened(line_up), *_at_nitrogen(line_up), *_blowing(line_up))
    return tuple(
        sorted((*found, *_starved(line_up), *_fading(line_up)), key=lambda trouble: trouble.signal.rank)
    )


def consequences(before: LineUp, element: str) -> tuple[Trouble, ...]:
    """Return what goes wrong when an element of a line-up is moved, the worst first."""
    after = before.moved(element)
    known = {(trouble.kind, trouble.about) for trouble in troubles(before)}
    new = [trouble for trouble in troubles(after) if (trouble.kind, trouble.about) not in known]
    new += _rushing(before, after, before.station.elements[element])
    return tuple(sorted(new, key=lambda trouble: trouble.signal.rank))


def _standing_together(line_up: LineUp) -> Iterator[Trouble]:
    if line_up.over_pressured:
        yield Trouble(
            Kind.OVER_PRESSURED,
            Hazard.DANGER,
            "the full inlet pressure goes into the outlet: no regulator stands between them any more",
        )


def _at_nitrogen(line_up: LineUp) -> Iterator[Trouble]:
    for cock in line_up.gas_at_nitrogen:
        held = line_up.holds[cock.joins[0]]
        yield Trouble(
            Kind.NITROGEN,
            Hazard.DANGER,
            f"gas at {_pressure(line_up, cock.joins[0])} goes backwards through {cock.tag} into the nitrogen hose, "
            "whose reducer was never made for that"
            if held is not Holds.BLOWING
            else f"gas goes backwards through {cock.tag} into the nitrogen hose",
            cock.id,
        )


def _blowing(line_up: LineUp) -> Iterator[Trouble]:
    for kind in SourceOf:
        headers = [n for n in line_up.station.sources(kind) if line_up.holds[n] is Holds.BLOWING]
        if headers:
            vents = _open_to_air(line_up, [line_up.group_of[name] for name in headers])
            name = line_up.station.pieces[headers[0]].name
            what = f"the {name} blows to the air at {listed(vents)}, with nothing shut between them"
            yield Trouble(Kind.BLOWING, Hazard.DANGER, what, "/".join((*headers, *vents)))
    groups = {line_up.group_of[name]: None for name, held in line_up.holds.items() if held is Holds.BLOWING}
    for group in groups:
        vents = _open_to_air(line_up, [group])
        if group in line_up.own or not vents:
            continue
        what = f"gas keeps coming and blows to the air at {listed(vents)}: {_way_in(line_up, group)}"
        yield Trouble(Kind.BLOWING, Hazard.DANGER, what, "/".join(vents))


def _way_in(line_up: LineUp, group: str) -> str:
    """Return by which throttle or regulator gas comes to a group."""
    ways = [
        element
        for element in line_up.station.whole
        if (element.form.regulates or element.form.throttles)
        and line_up.is_open(element)
        and group in {line_up.group_of[name] for name in element.joins}
        and any(line_up.level.get(line_up.group_of[name], 0) > 1 for name in element.joins)
    ]
    throttle = next((element for element in ways if element.form is Form.FILLING_VALVE), None)
    if throttle is not None:
        return f"{throttle.tag} goes round the valve that is shut"
    feeding = [element for element in ways if element.form is not Form.RESTRICTOR]
    return f"{feeding[0].tag} does not isolate" if feeding else "something still feeds it"


def _open_to_air(line_up: LineUp, groups: Sequence[str]) -> list[str]:
    return [
        element.tag
        for element in line_up.station.whole
        if element.form in (Form.VENT, Form.FILTER)
        and line_up.is_open(element)
        and line_up.group_of[element.joins[0]] in groups
    ]


def _opened(line_up: LineUp) -> Iterator[Trouble]:
    """A filter is open while its run is not empty."""
    for element in line_up.station.whole:
        if element.form is not Form.FILTER or not line_up.is_open(element):
            continue
        run = next((run for run in line_up.station.runs if set(element.joins) & set(run)), element.joins)
        # What the open filter itself lets out was full when the cover moved.
        closed = line_up.moved(element.id)
        full = [name for name in run if closed.holds[name] is not Holds.VENTED]
        if full:
            name = next((n for n in element.joins if n in full), full[0])
            what = f"the cover of {element.tag} is opened on a run that is not empty: {told(closed, name)}"
            yield Trouble(Kind.NOT_EMPTY, Hazard.DANGER, what, element.id)


def _starved(line_up: LineUp) -> Iterator[Trouble]:
    if not line_up.fed:
        yield Trouble(
            Kind.STARVED,
            Hazard.WARNING,
            "no run feeds the outlet any more: it starves, flames go out, and the gas comes back to open burners",
        )


def _fading(line_up: LineUp) -> Iterator[Trouble]:
    """A run stands open to the outlet while a filling valve alone feeds it."""
    station = line_up.station
    inlets = {line_up.group_of[name] for name in station.sources(SourceOf.INLET)}
    outlets = set(station.sources(SourceOf.OUTLET))
    for filler in station.whole:
        if filler.form is not Form.FILLING_VALVE or not line_up.is_open(filler):
            continue
        if any(line_up.group_of[name] in inlets for name in filler.joins if name not in _headers(line_up)):
            continue
        run = next((run for run in station.runs if set(filler.joins) & set(run)), ())
        for element in station.of_run(run):
            if set(element.joins) & outlets and not element.form.throttles and line_up.is_open(element):
                what = f"the outlet hangs on {filler.tag}, and the run fades as soon as somebody draws gas"
                yield Trouble(Kind.FADES, Hazard.WARNING, what, filler.id)


def _headers(line_up: LineUp) -> set[str]:
    return {name for name, piece in line_up.station.pieces.items() if piece.source is not None}


def _rushing(before: LineUp, after: LineUp, element: Element) -> Iterator[Trouble]:
    """A valve is opened in one swing between a header and pipe that does not stand at its pressure."""
    full_bore = element.form in (Form.VALVE, Form.BALL_VALVE, Form.SLAM_SHUT)
    if not full_bore or not after.is_open(element) or len(element.joins) < 2:
        return
    held = {name: before.holds[name] for name in element.joins}
    for here, there in (element.joins, element.joins[::-1]):
        if held[here].is_gas and held[there] is not held[here] and not _by_itself(before, there, held[here]):
            what = (
                f"{element.tag} opens with {_pressure(before, here)} on one side while the other side is "
                f"{_empty(held[there])}: the gas rushes in and takes dust, element and seats along"
            )
            yield Trouble(Kind.RUSH, Hazard.WARNING, what, element.id)
            return


def _by_itself(line_up: LineUp, piece: str, held: Holds) -> bool:
    """Tell whether a piece is at a higher pressure than the one looked at; then the other side is told."""
    return held is Holds.OUTLET and line_up.holds[piece] is Holds.INLET


def _empty(held: Holds) -> str:
    return {
        Holds.SHUT_IN: "shut in, nobody knows at what pressure",
        Holds.VENTED: "empty",
        Holds.NITROGEN: "filled with nitrogen",
        Holds.OUTLET: "at outlet pressure",
    }.get(held, str(held))


def _pressure(line_up: LineUp, piece: str) -> str:
    return str(line_up.holds[piece]) if line_up.holds[piece].is_gas else "pressure"


def told(line_up: LineUp, piece: str) -> str:
    """Return what a piece holds, as a clause."""
    name, held = line_up.station.pieces[piece].name, line_up.holds[piece]
    if held is Holds.SHUT_IN:
        return f"in the {name} gas is shut in and may stand at any pressure"
    if held is Holds.BLOWING:
        return f"the {name} is fed and blows to the air"
    if held is Holds.VENTED:
        return f"the {name} is vented to air"
    return f"the {name} stands at {held}" if held.is_gas else f"the {name} holds nitrogen"
