"""Sling legs: what each leg carries, and what is left of its rating, with the reference of the angle named.

An angle of 60° from the horizontal is 30° from the vertical, and the load differs by a factor of 1.7 between the
two readings; so no function here takes an angle without its reference.

Source: load angle factors citing ANSI B30.9; OSHA training toolbox talk, Material handling: how sling angles
    affect capacity (29 CFR 1910.184, 1926.251).
"""

from __future__ import annotations

import math
from enum import StrEnum

from trainer.errors import TrainerError
from trainer.trade.refusals import NotPositive, OutsideRange, must_be_positive
from trainer.trade.units import Dimension, DimensionsDiffer, Quantity

FLATTEST_DEGREES = 30
"""Below this angle from the horizontal slings are not used. Source: the note of the factor table."""


class Reference(StrEnum):
    """From what the angle of a sling leg is read."""

    HORIZONTAL = "horizontal"
    VERTICAL = "vertical"


class SlingTooFlat(TrainerError):
    """An angle at which no sling is used."""

    def __init__(self, from_horizontal: float) -> None:
        super().__init__(
            f"At {from_horizontal:g}° from the horizontal the legs lie too flat; "
            f"below {FLATTEST_DEGREES}° each carries more than twice its share."
        )


def load_factor(angle_degrees: float, reference: Reference) -> float:
    """Return by how much a leg carries more than its share of the load: 1 / sin of the angle from the horizontal.

    Args:
        angle_degrees: angle of the leg, 0 to 90.
        reference: from what it is read.

    Raises:
        SlingTooFlat: less than 30° from the horizontal.

    Source: load angle factor table citing ANSI B30.9 (90°: 1.000, 60°: 1.155, 45°: 1.414, 30°: 2.000).
    """
    if not 0 <= angle_degrees <= 90:
        raise OutsideRange("sling angle", angle_degrees, "0°", "90°")
    from_horizontal = angle_degrees if reference is Reference.HORIZONTAL else 90 - angle_degrees
    if from_horizontal < FLATTEST_DEGREES:
        raise SlingTooFlat(from_horizontal)
    # The sine of 30° comes out of the library as 0.49999999999999994; a factor of two is meant.
    return 2.0 if from_horizontal == FLATTEST_DEGREES else 1 / math.sin(math.radians(from_horizontal))


def leg_load(load: Quantity, carrying_legs: int, angle_degrees: float, reference: Reference) -> Quantity:
    """Return what one leg carries: load / legs x load factor, in the unit of the load.

    Args:
        load: a mass or a force.
        carrying_legs: legs that share the load evenly. A rigid load on three or four legs hangs on two
            (common practice, no source).
        angle_degrees: angle of the legs.
        reference: from what it is read.

    Raises:
        SlingTooFlat: less than 30° from the horizontal.

    Source: as `load_factor`.
    """
    _check(load, "load")
    if carrying_legs < 1:
        raise NotPositive("number of carrying legs", carrying_legs)
    return load.scaled(load_factor(angle_degrees, reference) / carrying_legs)


def capacity(rated_vertical: Quantity, angle_degrees: float, reference: Reference, legs: int = 1) -> Quantity:
    """Return what may hang on sling legs at an angle: rating x legs / load factor, in the unit of the rating.

    Args:
        rated_vertical: rating of one leg pulled straight, a mass or a force.
        angle_degrees: angle of the legs.
        reference: from what it is read.
        legs: legs that share the load evenly.

    Raises:
        SlingTooFlat: less than 30° from the horizontal.

    Source: OSHA training toolbox talk (1000 lb: 866 at 60°, 707 at 45°, 500 at 30° from the horizontal).
    """
    _check(rated_vertical, "rating")
    if legs < 1:
        raise NotPositive("number of carrying legs", legs)
    return rated_vertical.scaled(legs / load_factor(angle_degrees, reference))


def _check(weight: Quantity, what: str) -> None:
    if weight.dimension not in (Dimension.MASS, Dimension.FORCE):
        raise DimensionsDiffer(weight, Dimension.MASS)
    must_be_positive(what, weight)
