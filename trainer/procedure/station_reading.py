"""What a file says of its station → a Station. Whatever can be read is kept."""

from __future__ import annotations

from typing import Any

from trainer.procedure.station import Drawn, Element, Pipe, Position, Station

Values = dict[str, Any]


def station(values: Values | None) -> Station | None:
    """Return the station that a file describes, None when it describes none."""
    if not values:
        return None
    pieces = {name: _piece(name, said) for name, said in values.get("pieces", {}).items()}
    # Without its form or its place an element cannot be drawn; the reading has told what it lacks.
    elements = {
        name: _element(name, said)
        for name, said in values.get("elements", {}).items()
        if {"form", "at"} <= said.keys()
    }
    return Station(pieces, elements)


def _piece(name: str, said: Values) -> Pipe:
    wide = Drawn(said.get("pipe", ()), said.get("tubes", ()))
    turned = wide.upright()
    upright = Drawn(said.get("pipe_upright", turned.pipe), said.get("tubes_upright", turned.tubes))
    return Pipe(name, said.get("name", name.replace("_", " ")), wide, upright, said.get("source"))


def _element(name: str, said: Values) -> Element:
    across, down = said["at"]
    return Element(
        id=name,
        tag=said.get("tag", name.upper().replace("_", "-")),
        name=said.get("name", name.replace("_", " ")),
        form=said["form"],
        joins=said.get("joins", ()),
        wide=(across, down),
        upright=said.get("upright", (down, across)),
        stands=said.get("stands", Position.OPEN),
        other_when=said.get("other_when", ()),
        unless=said.get("unless", ()),
        locked_when=said.get("locked_when", ()),
        opened_by=said.get("opened_by", ()),
        when_dead=said.get("when_dead"),
    )
