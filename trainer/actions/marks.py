"""A mark as it is kept: plain JSON without floats, read back as it was, whatever later marking would say."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.drills.mark import Incident, Mark, PlacedLine, Remark
from trainer.procedure.model import Hazard

if TYPE_CHECKING:
    from collections.abc import Mapping


def kept(mark: Mark) -> dict[str, Any]:
    """Return a mark as it is stored; the credit is decimal text with six places at most."""
    return {**mark.as_data(), "credit": f"{mark.credit:.6f}".rstrip("0").rstrip(".")}


def thousandths(mark: Mark) -> int:
    """Return the credit in thousandths; below the full credit it never rounds up to it."""
    return min(round(mark.credit * 1000), 1000 if mark.credit >= 1 else 999)


def restored(data: Mapping[str, Any]) -> Mark:
    """Return the mark that was stored."""
    incident = data.get("incident")
    return Mark(
        right=data["right"],
        credit=float(data["credit"]),
        critical=data["critical"],
        headline=data["headline"],
        remarks=tuple(
            Remark(
                item["about"],
                item["text"],
                _hazard(item["signal"]),
                item["right"],
                # Marks kept before there were such fields have none.
                item.get("marked", True),
                _relation(item.get("relation")),
            )
            for item in data["remarks"]
        ),
        incident=Incident(
            incident["step"], incident["position"], Hazard(incident["signal"]), incident["text"]
        )
        if incident
        else None,
        instead=data["instead"],
        moves=data["moves"],
        lines=tuple(
            PlacedLine(item["id"], item["text"], item["position"], item["place"], item["moved"])
            for item in data["lines"]
        ),
        # Marks kept before there were runs have none.
        picked=tuple(data.get("picked", ())),
    )


def _relation(steps: list[str] | None) -> tuple[str, str] | None:
    return (steps[0], steps[1]) if steps else None


def _hazard(name: str | None) -> Hazard | None:
    return None if name is None else Hazard(name)
