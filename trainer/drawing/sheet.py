"""The sheet that a drawing lies on: a window of the machine in mm, and where its points come to lie in px."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Sheet:
    """A window `x0…x1`, `z0…z1` in mm, drawn with `scale` px a mm; its left upper corner lies at `left`, `top` px.

    One unit of the picture is one CSS pixel. Phone, wide and small drawings are made apart, never one from the other.
    """

    x0: float
    z0: float
    x1: float
    z1: float
    scale: float
    left: float = 0.0
    top: float = 0.0

    @property
    def width(self) -> float:
        """Width in px."""
        return (self.x1 - self.x0) * self.scale

    @property
    def height(self) -> float:
        """Height in px."""
        return (self.z1 - self.z0) * self.scale

    def at(self, x: float, z: float) -> tuple[float, float]:
        """Return where a point comes to lie, in px from the left upper corner of the picture."""
        return self.left + (x - self.x0) * self.scale, self.top + (self.z1 - z) * self.scale

    def holds(self, x: float, z: float) -> bool:
        """Tell whether a point lies in the window."""
        return self.x0 <= x <= self.x1 and self.z0 <= z <= self.z1


@dataclass(frozen=True)
class Weight:
    """What depends on the size of a picture: hatch spacing, balloons and type, in px; `name` is its CSS class."""

    name: str
    hatch: float
    balloon: float
    type_size: float


WIDE = Weight("wide", 9.0, 12.0, 14.0)
PHONE = Weight("phone", 5.0, 9.5, 12.0)
SMALL = Weight("small", 0.0, 0.0, 0.0)
DETAIL = Weight("detail", 8.0, 11.0, 13.0)


def weight_for(width: float) -> Weight:
    """Return the weight for a picture of a whole machine that is so many px wide."""
    if width < 240:
        return SMALL
    return PHONE if width < 620 else WIDE
