"""Pressure: gauge, absolute and difference turned into each other knowingly; forces of gas and spring."""

from __future__ import annotations

import math
from fractions import Fraction

from trainer.errors import TrainerError
from trainer.trade.refusals import must_be_positive, must_not_be_negative
from trainer.trade.units import UNITS, Dimension, DimensionsDiffer, Quantity, from_si

STANDARD_ATMOSPHERE = Quantity.of("101.325", "kPa(a)")
"""Pressure of the air where no other is given. Source: NIST SP 811 (2008), Appendix B.8."""


class BelowVacuum(TrainerError):
    """A pressure below a perfect vacuum."""

    def __init__(self, pressure: Quantity) -> None:
        super().__init__(f"{pressure} lies below a perfect vacuum.")


def absolute(gauge: Quantity, atmosphere: Quantity = STANDARD_ATMOSPHERE) -> Quantity:
    """Return gauge pressure plus the pressure of the air, in the same unit marked `(a)`.

    Args:
        gauge: a gauge pressure.
        atmosphere: an absolute pressure.

    Raises:
        BelowVacuum: nothing is left.

    Source: definition.
    """
    unit = f"{gauge.must_be(Dimension.GAUGE).unit}(a)"
    must_be_positive("pressure of the air", atmosphere.must_be(Dimension.ABSOLUTE))
    total = Quantity.of(Fraction(gauge.value) + Fraction(atmosphere.to(unit).value), unit)
    if total.value < 0:
        raise BelowVacuum(gauge)
    return total


def gauge(absolute_pressure: Quantity, atmosphere: Quantity = STANDARD_ATMOSPHERE) -> Quantity:
    """Return what a gauge reads at an absolute pressure, in the same unit without its mark.

    Args:
        absolute_pressure: an absolute pressure; standard atmospheres come back as bar.
        atmosphere: an absolute pressure.

    Raises:
        BelowVacuum: the pressure is below zero.

    Source: definition.
    """
    must_be_positive("pressure of the air", atmosphere.must_be(Dimension.ABSOLUTE))
    if absolute_pressure.must_be(Dimension.ABSOLUTE).value < 0:
        raise BelowVacuum(absolute_pressure)
    unit = absolute_pressure.unit.removesuffix("(a)")
    if unit not in UNITS or UNITS[unit].dimension is not Dimension.GAUGE:
        unit = "bar"
    return from_si(absolute_pressure.exact_si - atmosphere.exact_si, unit)


def difference(first: Quantity, second: Quantity) -> Quantity:
    """Return first minus second as a pressure difference, in the unit of the first marked `(d)`.

    Args:
        first: a gauge or an absolute pressure.
        second: a pressure of the same kind.

    Raises:
        DimensionsDiffer: one is gauge, the other absolute.

    Source: definition.
    """
    if first.dimension not in (Dimension.GAUGE, Dimension.ABSOLUTE):
        raise DimensionsDiffer(first, Dimension.GAUGE)
    second.must_be(first.dimension)
    unit = f"{first.unit.removesuffix('(a)')}(d)"
    return from_si(first.exact_si - second.exact_si, unit if unit in UNITS else "bar(d)")


def round_area(diameter: Quantity) -> Quantity:
    """Return the area pi/4 d² of a round face, in mm².

    Source: geometry.
    """
    must_be_positive("diameter", diameter)
    return from_si(Fraction(math.pi) / 4 * diameter.must_be(Dimension.LENGTH).exact_si ** 2, "mm²")


def gas_force(pressure: Quantity, diameter: Quantity) -> Quantity:
    """Return the force of a gas on a round face, pressure x pi/4 d²: in N, from 1000 N up in kN.

    Args:
        pressure: gauge pressure, or the difference across the face. An absolute pressure is refused: the air
            pushes back from outside.
        diameter: diameter of the face that the gas acts on, out to the seal.

    Source: definition of pressure.
    """
    if pressure.dimension not in (Dimension.GAUGE, Dimension.DIFFERENCE):
        raise DimensionsDiffer(pressure, Dimension.GAUGE)
    must_not_be_negative("pressure", pressure)
    return force(pressure.exact_si * round_area(diameter).exact_si)


def spring_force(rate: Quantity, compression: Quantity) -> Quantity:
    """Return the force of a spring, rate x compression: in N, from 1000 N up in kN.

    Args:
        rate: a stiffness.
        compression: by how much the spring is shorter than free, a length.

    Source: Hooke's law.
    """
    must_be_positive("spring rate", rate)
    must_not_be_negative("compression", compression)
    return force(rate.must_be(Dimension.STIFFNESS).exact_si * compression.must_be(Dimension.LENGTH).exact_si)


def force(newtons: Fraction) -> Quantity:
    """Return a force in N, from 1000 N up in kN."""
    return from_si(newtons, "kN" if abs(newtons) >= 1000 else "N")
