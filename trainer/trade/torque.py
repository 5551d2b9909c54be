"""Torque on a bolt and on the wrench: preload, adapters, friction drag, passes and limits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.trade.refusals import OutsideRange, must_be_positive, must_not_be_negative
from trainer.trade.units import Dimension, Quantity, from_si

if TYPE_CHECKING:
    from collections.abc import Sequence
    from decimal import Decimal

NUT_FACTORS: dict[str, float] = {
    "nonplated, black finish": 0.30,
    "zinc-plated": 0.20,
    "lubricated": 0.18,
    "cadmium-plated": 0.16,
    "with anti-seize": 0.12,
    "with special lubricated nuts": 0.09,
}
"""Nut factor K by condition. Source: Shigley's Mechanical Engineering Design, 9th ed., Table 8-15, p. 439."""

# Cosines that have to be exact, so that an adapter at 90° changes nothing at all.
_EXACT_COSINES = {
    0: Fraction(1),
    60: Fraction(1, 2),
    90: Fraction(0),
    120: Fraction(-1, 2),
    180: Fraction(-1),
}


class WrenchTooShort(TrainerError):
    """An adapter folded back as far as the grip, or further, leaves no lever."""

    def __init__(self, wrench: Quantity, offset: Quantity, angle_degrees: float) -> None:
        super().__init__(
            f"A {offset} adapter at {angle_degrees:g}° leaves no lever on a {wrench} wrench: "
            "the fastener would lie at the grip or behind it."
        )


class ScatterUnknown(TrainerError):
    """One reading has no scatter."""

    def __init__(self) -> None:
        super().__init__("Scatter needs at least two readings.")


def torque_from_preload(
    nut_factor: float, diameter: Quantity, preload: Quantity, unit: str = "N·m"
) -> Quantity:
    """Return the torque T = K D F that brings a preload.

    Args:
        nut_factor: K, without unit; see NUT_FACTORS.
        diameter: nominal diameter D of the thread, a length.
        preload: F, a force.
        unit: torque unit of the answer.

    Source: Shigley's Mechanical Engineering Design, 9th ed., p. 439 (T = K F d, Table 8-15); ASME PCC-1,
        Appendix K, divides by 12 for lbf·ft (secondary: from a public research note).
    """
    _check_nut_factor(nut_factor)
    must_be_positive("diameter", diameter)
    must_not_be_negative("preload", preload)
    force = preload.must_be(Dimension.FORCE).exact_si
    return from_si(Fraction(str(nut_factor)) * _length(diameter) * force, unit)


def preload_from_torque(
    torque: Quantity, nut_factor: float, diameter: Quantity, unit: str = "kN"
) -> Quantity:
    """Return the preload F = T / (K D) that a torque brings.

    Args:
        torque: T, read at the fastener.
        nut_factor: K, without unit.
        diameter: nominal diameter D of the thread, a length.
        unit: force unit of the answer.

    Source: as `torque_from_preload`, solved for F.
    """
    _check_nut_factor(nut_factor)
    must_be_positive("diameter", diameter)
    must_not_be_negative("torque", torque)
    lever = Fraction(str(nut_factor)) * _length(diameter)
    return from_si(torque.must_be(Dimension.TORQUE).exact_si / lever, unit)


def preload(stress: Quantity, area: Quantity, fraction: float = 1.0, unit: str = "kN") -> Quantity:
    """Return the preload F = fraction x stress x area.

    Args:
        stress: proof strength, or the stress wanted.
        area: tensile stress area, or the root area where the stress is stated on that.
        fraction: share of the stress, above 0 and at most 1.
        unit: force unit of the answer.

    Source: Shigley's Mechanical Engineering Design, 9th ed., sec. 8-9 (0.75 of the proof load for joints that
        are taken apart, 0.90 for permanent ones; the section number is from memory).
    """
    if not 0 < fraction <= 1:
        raise OutsideRange("share of the proof load", fraction, "more than 0", 1)
    must_be_positive("stress", stress)
    must_be_positive("area", area)
    newtons = stress.must_be(Dimension.STRESS).exact_si * area.must_be(Dimension.AREA).exact_si
    return from_si(Fraction(str(fraction)) * newtons, unit)


def stiffness_share(bolt: Quantity, members: Quantity) -> float:
    """Return C = kb / (kb + km), the share of an outside load that the bolt takes.

    Source: Shigley's Mechanical Engineering Design, 9th ed., Example 8-3, p. 439.
    """
    must_be_positive("stiffness of the bolt", bolt)
    must_be_positive("stiffness of the members", members)
    kb, km = (k.must_be(Dimension.STIFFNESS).exact_si for k in (bolt, members))
    return float(kb / (kb + km))


def bolt_stress(share: float, load: Quantity, preload_force: Quantity, area: Quantity) -> Quantity:
    """Return the stress (C P + F) / A in a preloaded bolt under an outside load, in the unit N/mm².

    Args:
        share: C, from `stiffness_share`.
        load: outside load P on one bolt, a force.
        preload_force: F, a force.
        area: tensile stress area A.

    Source: Shigley's Mechanical Engineering Design, 9th ed., Example 8-3(a), p. 439.
    """
    if not 0 <= share <= 1:
        raise OutsideRange("stiffness share", share, 0, 1)
    must_be_positive("area", area)
    force = Fraction(str(share)) * load.must_be(Dimension.FORCE).exact_si
    force += preload_force.must_be(Dimension.FORCE).exact_si
    return from_si(force / area.must_be(Dimension.AREA).exact_si, "N/mm²")


@dataclass(frozen=True)
class Scatter:
    """Mean and sample standard deviation of the preloads that one torque gave."""

    mean: Quantity
    deviation: Quantity


def scatter(preloads: Sequence[Quantity]) -> Scatter:
    """Return how far preloads at one and the same torque lie apart, in the unit of the first.

    Source: Shigley's Mechanical Engineering Design, 9th ed., Table 8-14, p. 439 (ten preloads at 90 N·m).
    """
    if len(preloads) < 2:
        raise ScatterUnknown
    unit = preloads[0].unit
    values = [Fraction(force.to(unit).value) for force in preloads]
    mean = sum(values) / len(values)
    variance = sum((value - mean) ** 2 for value in values) / (len(values) - 1)
    return Scatter(Quantity.of(mean, unit), Quantity.of(math.sqrt(variance), unit))


def effective_length(wrench: Quantity, offset: Quantity, angle_degrees: float = 0) -> Quantity:
    """Return L + E cos a, the lever from the grip to the fastener, in the unit of the wrench length.

    Args:
        wrench: L, from the drive centre to the middle of the grip.
        offset: E, from the drive centre to the centre of the fastener. A socket extension along the axis of
            the drive has no such offset and changes nothing.
        angle_degrees: 0 in line and lengthening, 90 square to the wrench, 180 folded back to the handle.

    Source: US Army TM 9-254, figure 4-6 (its print shows x for +); NAVEDTRA 14008 (no change at 90°).
    """
    return from_si(_lever(wrench, offset, angle_degrees), wrench.unit)


def _lever(wrench: Quantity, offset: Quantity, angle_degrees: float) -> Fraction:
    must_be_positive("wrench length", wrench)
    must_not_be_negative("adapter length", offset)
    if not 0 <= angle_degrees <= 180:
        raise OutsideRange("adapter angle", angle_degrees, "0°", "180°")
    lever = _length(wrench) + _length(offset) * _cosine(angle_degrees)
    if lever <= 0:
        raise WrenchTooShort(wrench, offset, angle_degrees)
    return lever


def wrench_setting(
    target: Quantity, wrench: Quantity, offset: Quantity, angle_degrees: float = 0
) -> Quantity:
    """Return what to set on the wrench so that the fastener gets the target: T x L / (L + E cos a).

    Args:
        target: torque wanted at the fastener.
        wrench: L, see `effective_length`.
        offset: E, see `effective_length`.
        angle_degrees: see `effective_length`.

    Source: US Army TM 1-1500-204-23-9, para (a) and (b), figure 8-16; TM 9-254, figures 4-5 and 4-6.
    """
    must_not_be_negative("torque", target.must_be(Dimension.TORQUE))
    return target.scaled(_length(wrench) / _lever(wrench, offset, angle_degrees))


def applied_torque(
    setting: Quantity, wrench: Quantity, offset: Quantity, angle_degrees: float = 0
) -> Quantity:
    """Return what the fastener gets from a wrench setting: T x (L + E cos a) / L, the way back.

    Args:
        setting: torque set on the wrench, or read from it.
        wrench: L, see `effective_length`.
        offset: E, see `effective_length`.
        angle_degrees: see `effective_length`.

    Source: US Army TM 9-254, figure 4-5.
    """
    must_not_be_negative("torque", setting.must_be(Dimension.TORQUE))
    return setting.scaled(_lever(wrench, offset, angle_degrees) / _length(wrench))


def with_drag(minimum: Quantity, maximum: Quantity, drag: Quantity) -> tuple[Quantity, Quantity]:
    """Return both ends of a torque range with the friction drag of the nut added.

    Args:
        minimum: lower end of the range, without drag.
        maximum: upper end of the range, without drag.
        drag: torque that turns the nut before it seats.

    Source: FAA AC 43.13-1B (9/8/98), para 7-40 d.
    """
    must_not_be_negative("friction drag", drag)
    must_not_be_negative("torque", minimum)
    if maximum < minimum:
        raise OutsideRange("upper end of the range", maximum, str(minimum), "the strength of the fastener")
    return minimum + drag, maximum + drag


def torque_limit(preload_force: Quantity, diameter: Quantity, unit: str = "lbf·ft") -> Quantity:
    """Return 0.25 P D, the torque that a structural bolt shall not exceed when tightened to preload P.

    Args:
        preload_force: P, a force.
        diameter: nominal diameter D, a length.
        unit: torque unit of the answer.

    Source: FHWA Bridges & Structures, High Strength Bolts, Appendix A1, step 5 (P in lb, D in feet).
    """
    return torque_from_preload(0.25, diameter, preload_force, unit)


def pass_target(target: Quantity, percent: Decimal | Fraction | float) -> Quantity:
    """Return the torque of one pass, in the unit of the target.

    Args:
        target: final torque.
        percent: share of the final torque, above 0 and at most 100.

    Source: which shares to take is the procedure's to say; ASME PCC-1 Legacy 20-30, 50-70, 100 % and a round
        (secondary: copies), other printed lists differ.
    """
    must_be_positive("torque", target.must_be(Dimension.TORQUE))
    if not 0 < percent <= 100:
        raise OutsideRange("share of a pass", float(percent), "more than 0 %", "100 %")
    return target.scaled(Fraction(str(percent)) / 100)


def snug_limit(target: Quantity) -> Quantity:
    """Return the most a snug pass may reach: 20 lbf·ft, and not over 20 % of the target.

    Source: PPI TN-38 (2011), as quoted in a public installation guide: 10-20 ft-lb, not over 20 % of target.
    """
    share = pass_target(target, 20)
    return min(share, Quantity.of(20, "lbf·ft").to(target.unit))


def _length(length: Quantity) -> Fraction:
    return length.must_be(Dimension.LENGTH).exact_si


def _cosine(angle_degrees: float) -> Fraction:
    exact = _EXACT_COSINES.get(int(angle_degrees)) if angle_degrees == int(angle_degrees) else None
    return Fraction(math.cos(math.radians(angle_degrees))) if exact is None else exact


def _check_nut_factor(nut_factor: float) -> None:
    # Published factors lie between 0.09 and 0.30; 20 or 200 is a percentage or a torque in the wrong box.
    if not 0 < nut_factor < 1:
        raise OutsideRange("nut factor K", nut_factor, "more than 0", "less than 1")
