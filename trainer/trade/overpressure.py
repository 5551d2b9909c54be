"""The highest pressure that overpressure protection may let a gas system reach.

Rule texts are paraphrased; quote the law from the official text. Boundaries are taken in psi, because the kPa
figures printed beside them are rounded.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.errors import TrainerError
from trainer.trade.refusals import OutsideRange, must_be_positive
from trainer.trade.units import Dimension, Quantity, from_si

LOW_PRESSURE_RULE = (
    "In a low-pressure system the pressure may not cause unsafe operation of any gas equipment that is connected "
    "and properly adjusted."
)
"""Source: 49 CFR 192.201(a)(1), paraphrased."""

_SIXTY, _TWELVE, _SIX = (Quantity.of(psi, "psi") for psi in (60, 12, 6))


class FourPercentNotForThis(TrainerError):
    """The older four-percent rule does not cover this pressure."""

    def __init__(self, maop: Quantity) -> None:
        super().__init__(f"The rule of plus 4 % covers 60 psi and more; {maop} was given.")


def overpressure_limit(maop: Quantity, pressure_at_75_smys: Quantity | None = None) -> Quantity:
    """Return the limit for other than low-pressure systems, in the unit of the MAOP.

    60 psi and more: MAOP plus 10 %, or the pressure that gives a hoop stress of 75 % SMYS, whichever is lower.
    12 psi to below 60 psi: plus 6 psi. Below 12 psi: plus 50 %. The rule is continuous at both boundaries.

    Args:
        maop: maximum allowable operating pressure, gauge.
        pressure_at_75_smys: gauge pressure at which the hoop stress is 75 % of the specified minimum yield
            strength; see `hoop_pressure`. Without it the plus 10 % is returned.

    Source: 49 CFR 192.201(a)(2)(i)-(iii), section text current through Sept. 30, 2024.
    """
    must_be_positive("MAOP", maop.must_be(Dimension.GAUGE))
    if maop >= _SIXTY:
        limit = maop.scaled(Fraction(11, 10))
        if pressure_at_75_smys is None:
            return limit
        must_be_positive("pressure at 75 % SMYS", pressure_at_75_smys)
        return min(limit, pressure_at_75_smys.to(maop.unit))
    return maop + _SIX if maop >= _TWELVE else maop.scaled(Fraction(3, 2))


def four_percent_limit(maop: Quantity) -> Quantity:
    """Return MAOP plus 4 %, the limit where the hoop stress at a grandfathered MAOP exceeds 72 % SMYS.

    Raises:
        FourPercentNotForThis: the MAOP is below 60 psi.

    Source: 49 CFR 192.739(b), read in the same text of 16 NYCRR 255.739(b).
    """
    must_be_positive("MAOP", maop.must_be(Dimension.GAUGE))
    if maop < _SIXTY:
        raise FourPercentNotForThis(maop)
    return maop.scaled(Fraction(104, 100))


def hoop_pressure(
    yield_strength: Quantity, wall: Quantity, outside_diameter: Quantity, share: float = 0.75
) -> Quantity:
    """Return the gauge pressure 2 S t / D x share at which the hoop stress is that share of SMYS, in psi.

    Args:
        yield_strength: specified minimum yield strength S, a stress.
        wall: nominal wall thickness t.
        outside_diameter: nominal outside diameter D.
        share: share of the yield strength, above 0 and at most 1.

    Source: Barlow's formula as in 49 CFR 192.105 (from memory).
    """
    if not 0 < share <= 1:
        raise OutsideRange("share of the yield strength", share, "more than 0", 1)
    for what, value in (("yield strength", yield_strength), ("wall", wall), ("diameter", outside_diameter)):
        must_be_positive(what, value)
    t, d = (x.must_be(Dimension.LENGTH).exact_si for x in (wall, outside_diameter))
    if 2 * t >= d:
        raise OutsideRange("wall thickness", wall, 0, f"half of {outside_diameter}")
    stress = yield_strength.must_be(Dimension.STRESS).exact_si * Fraction(str(share))
    return from_si(2 * stress * t / d, "psi")
