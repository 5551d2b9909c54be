"""How well a regulator keeps its outlet pressure: droop under flow, lock-up without, accuracy and its classes.

Terms: common practice, no source (no public definition by an authority was found). The set point is the outlet
pressure the regulator is set to; droop is how far the outlet falls below it under flow; lock-up is how far it
stands above it when the flow has stopped and the seat has closed.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.errors import TrainerError
from trainer.trade.pressure import STANDARD_ATMOSPHERE, absolute, difference
from trainer.trade.refusals import must_be_positive
from trainer.trade.units import Dimension, Quantity

ACCURACY_CLASSES: dict[str, Fraction] = {
    f"AC {percent}": Fraction(percent) for percent in ("1", "2.5", "5", "10", "20", "30")
}
"""Allowed deviation in percent of the set point. Source: EN 334 (class list from memory)."""

LOCK_UP_CLASSES: dict[str, Fraction] = {
    f"SG {percent}": Fraction(percent) for percent in ("2.5", "5", "10", "20", "30", "50")
}
"""Allowed rise at lock-up in percent of the set point. Source: EN 334 (class list from memory)."""

TEMPERATURE_CLASSES: dict[int, tuple[Quantity, Quantity]] = {
    1: (Quantity.of(-10, "°C"), Quantity.of(60, "°C")),
    2: (Quantity.of(-20, "°C"), Quantity.of(60, "°C")),
}
"""Operating temperature range. Source: EN 334:2019, public scope."""

LEGAL_ERROR_LIMIT_PERCENT = 1.0
"""Largest regulator error. Source: Measurement Canada S-G-03 Part 16, sec. 2.1.1-2.1.2."""


class ClassUnknown(TrainerError):
    """A class that the list does not hold."""

    def __init__(self, name: str, known: list[str]) -> None:
        super().__init__(f"'{name}' is not a known class; known are {', '.join(known)}.")


@dataclass(frozen=True)
class Deviation:
    """A deviation from the set point: as a pressure difference, and in percent of the gauge set point."""

    pressure: Quantity
    percent: float


def droop(set_point: Quantity, outlet_under_flow: Quantity) -> Deviation:
    """Return by how much the outlet lies below the set point under flow; negative when it lies above.

    Source: common practice, no source.
    """
    return _deviation(set_point, set_point, outlet_under_flow)


def lock_up(set_point: Quantity, outlet_without_flow: Quantity) -> Deviation:
    """Return by how much the outlet stands above the set point without flow; negative when it stands below.

    Source: common practice, no source.
    """
    return _deviation(set_point, outlet_without_flow, set_point)


def accuracy_band(set_point: Quantity, accuracy_class: str) -> tuple[Quantity, Quantity]:
    """Return lowest and highest outlet pressure that an accuracy class allows.

    Raises:
        ClassUnknown: the class is not in the list.

    Source: EN 334 (from memory): largest allowed deviation in percent of the set point.
    """
    share = _share(accuracy_class, ACCURACY_CLASSES)
    _check_set_point(set_point)
    return set_point.scaled(1 - share), set_point.scaled(1 + share)


def highest_lock_up(set_point: Quantity, lock_up_class: str) -> Quantity:
    """Return the highest lock-up pressure that a lock-up class allows.

    Raises:
        ClassUnknown: the class is not in the list.

    Source: EN 334 (from memory): largest allowed rise in percent of the set point.
    """
    share = _share(lock_up_class, LOCK_UP_CLASSES)
    _check_set_point(set_point)
    return set_point.scaled(1 + share)


def regulator_error(
    set_point: Quantity, outlet: Quantity, atmosphere: Quantity = STANDARD_ATMOSPHERE
) -> float:
    """Return the error (Po - Pset) / (Pset + Ps) in percent: of the absolute set point, not of the gauge one.

    Args:
        set_point: gauge pressure set.
        outlet: gauge pressure read.
        atmosphere: absolute pressure of the air Ps.

    Source: Measurement Canada S-G-03 Part 16, sec. 2.1.1-2.1.2; limit ± 1 %.
    """
    _check_set_point(set_point)
    off = outlet.must_be(Dimension.GAUGE).exact_si - set_point.exact_si
    return float(100 * off / absolute(set_point, atmosphere).exact_si)


def _deviation(set_point: Quantity, more: Quantity, less: Quantity) -> Deviation:
    _check_set_point(set_point)
    off = more.must_be(Dimension.GAUGE).exact_si - less.must_be(Dimension.GAUGE).exact_si
    pressure = difference(more.to(set_point.unit), less.to(set_point.unit))
    return Deviation(pressure, float(100 * off / set_point.exact_si))


def _check_set_point(set_point: Quantity) -> None:
    must_be_positive("set point", set_point.must_be(Dimension.GAUGE))


def _share(name: str, classes: dict[str, Fraction]) -> Fraction:
    if name not in classes:
        raise ClassUnknown(name, list(classes))
    return classes[name] / 100
