"""Energy of trapped gas, its equivalent in TNT, and how far to stay away from a pneumatic test.

Source: ASME PCC-2-2008, Article 5.1 (now 501), Mandatory Appendices II and III, as in a stored page extract and a
    committee draft. Its metric and its US constant for TNT lie 4.3 % apart.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.trade.pressure import STANDARD_ATMOSPHERE
from trainer.trade.refusals import NotPositive, OutsideRange, must_be_positive, must_not_be_negative
from trainer.trade.units import Dimension, Quantity, from_si

if TYPE_CHECKING:
    from fractions import Fraction

TNT_JOULE_PER_KILOGRAM = 4_266_920
"""Source: ASME PCC-2-2008, II-3 (metric)."""

TNT_FOOT_POUNDS_PER_POUND = 1_488_617
"""Source: ASME PCC-2-2008, II-5 (US); 4.4496 MJ/kg, not the metric constant."""

LEAST_SCALED_DISTANCE = 20.0
"""Scaled distance in m/kg^(1/3), the least for people. Source: ASME PCC-2-2008, Appendix III."""

_NEAR_JOULES, _FAR_JOULES = 135_500_000, 271_000_000


class NothingTrapped(TrainerError):
    """The gas inside is at the pressure of the air or below."""

    def __init__(self, pressure: Quantity, atmosphere: Quantity) -> None:
        super().__init__(f"{pressure} does not stand above the air at {atmosphere}: no energy is trapped.")


def energy_factor(k: float) -> float:
    """Return 1 / (k - 1), the factor in front of the energy equation: 2.5 for air and nitrogen.

    Args:
        k: ratio of specific heats, above 1.

    Source: ASME PCC-2-2008, Appendix II.
    """
    if not 1 < k < 2:
        raise OutsideRange("ratio of specific heats", k, "more than 1", "less than 2")
    return 1 / (k - 1)


def trapped_energy(
    pressure: Quantity,
    volume: Quantity,
    atmosphere: Quantity = STANDARD_ATMOSPHERE,
    k: float = 1.4,
    unit: str = "kJ",
) -> Quantity:
    """Return the energy that a shut-in gas gives off when its vessel bursts, expanding without heat.

    E = P V / (k - 1) x (1 - (Pa / P)^((k - 1) / k)), with all pressures absolute.

    Args:
        pressure: absolute pressure of the gas.
        volume: volume it stands in.
        atmosphere: absolute pressure of the air.
        k: ratio of specific heats; 1.4 for air and nitrogen.
        unit: energy unit of the answer.

    Raises:
        NothingTrapped: the pressure does not exceed that of the air.

    Source: ASME PCC-2-2008, Appendix II, equations II-1 and II-2 (numbers from memory) for k = 1.4:
        E = 2.5 P V (1 - (Pa/P)^0.286); US form 360 P V with P in psia, V in ft³, E in ft-lb.
    """
    must_be_positive("volume", volume.must_be(Dimension.VOLUME))
    must_be_positive("pressure of the air", atmosphere.must_be(Dimension.ABSOLUTE))
    if pressure <= atmosphere:
        raise NothingTrapped(pressure, atmosphere)
    factor = energy_factor(k)
    # The standard prints 0.286 for k = 1.4 and its tables follow that, not 2/7.
    exponent = 0.286 if k == 1.4 else (k - 1) / k
    share = 1 - float(atmosphere.exact_si / pressure.exact_si) ** exponent
    work = float(pressure.exact_si * volume.exact_si)
    return from_si(factor * work * share, unit)


def tnt_equivalent(energy: Quantity, unit: str = "kg") -> Quantity:
    """Return the mass of TNT that gives off the same energy, by the metric constant.

    Source: ASME PCC-2-2008, II-3: 4 266 920 J/kg.
    """
    must_not_be_negative("energy", energy)
    return from_si(energy.must_be(Dimension.ENERGY).exact_si / TNT_JOULE_PER_KILOGRAM, unit)


def tabled_distance(energy: Quantity) -> Quantity | None:
    """Return the distance that the energy alone asks for, or None above 271 MJ, where only scaling counts.

    Source: ASME PCC-2-2008, Appendix III (a): 30 m up to 135.5 MJ, 60 m up to 271 MJ.
    """
    must_not_be_negative("energy", energy)
    joules = energy.must_be(Dimension.ENERGY).exact_si
    if joules <= _NEAR_JOULES:
        return Quantity.of(30, "m")
    return Quantity.of(60, "m") if joules <= _FAR_JOULES else None


def scaled_distance(tnt: Quantity, scaled: float = LEAST_SCALED_DISTANCE) -> Quantity:
    """Return R = Rscaled x TNT^(1/3) in m.

    Args:
        tnt: mass of TNT.
        scaled: scaled distance in m/kg^(1/3), 20 or more where people stand.

    Source: ASME PCC-2-2008, Appendix III.
    """
    must_not_be_negative("mass of TNT", tnt)
    if scaled <= 0:
        raise NotPositive("scaled distance", scaled)
    return Quantity.of(scaled * float(tnt.must_be(Dimension.MASS).exact_si) ** (1 / 3), "m")


def safe_distance(energy: Quantity) -> Quantity:
    """Return how far people stay away from a pneumatic test: the greater of tabled and scaled distance, in m.

    Source: ASME PCC-2-2008, Appendix III.
    """
    by_scale = scaled_distance(tnt_equivalent(energy))
    by_table = tabled_distance(energy)
    return by_scale if by_table is None else max(by_scale, by_table)


def vented_volume(
    pressure: Quantity, volume: Quantity, atmosphere: Quantity = STANDARD_ATMOSPHERE, unit: str = "m³"
) -> Quantity:
    """Return the volume that trapped gas fills in the open air: V (P - Pa) / Pa, without what stays inside.

    Args:
        pressure: absolute pressure of the gas.
        volume: volume it stands in.
        atmosphere: absolute pressure of the air.
        unit: volume unit of the answer.

    Raises:
        NothingTrapped: the pressure does not exceed that of the air.

    Source: gas law at one temperature.
    """
    must_be_positive("volume", volume.must_be(Dimension.VOLUME))
    must_be_positive("pressure of the air", atmosphere.must_be(Dimension.ABSOLUTE))
    if pressure <= atmosphere:
        raise NothingTrapped(pressure, atmosphere)
    above: Fraction = pressure.exact_si - atmosphere.exact_si
    return from_si(volume.exact_si * above / atmosphere.exact_si, unit)
