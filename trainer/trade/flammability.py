"""Flammable gas in air: limits, shares of the lower limit as a gas detector shows them, and mixtures.

The lower limit of methane is 5 % by volume in US practice and 4.4 % in other standards, so that 10 % LEL on one
detector is 0.50 % and on another 0.44 % by volume. The limit is therefore always given, never assumed.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.trade.refusals import OutsideRange
from trainer.trade.units import Dimension, Quantity, from_si

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True)
class Limits:
    """Lower and upper explosive limit of a gas in air, in percent by volume, and where they are printed."""

    gas: str
    lower: Quantity
    upper: Quantity
    source: str


def _limits(gas: str, lower: str, upper: str, source: str) -> Limits:
    return Limits(gas, Quantity.of(lower, "%"), Quantity.of(upper, "%"), source)


_BULLETIN_627 = "US Bureau of Mines Bulletin 627 (1965), as extracted in a gas supplier's reference table"

GASES: dict[str, Limits] = {
    "methane": _limits("methane", "5.0", "15.0", _BULLETIN_627),
    "methane, lower basis": _limits(
        "methane",
        "4.4",
        "17.0",
        "lower limit: ANSI/AARST SGM-SF-2017 chart (4.4-5 %); upper limit from memory",
    ),
    "butane": _limits("butane", "1.8", "8.4", _BULLETIN_627),
    "propane": _limits("propane", "2.1", "9.5", "US Bureau of Mines Bulletin 627 (1965), from memory"),
    "hydrogen": _limits("hydrogen", "4.0", "75.0", _BULLETIN_627),
}
"""Limits of common fuel gases at room temperature and the pressure of the air."""


class Zone(StrEnum):
    """Where a mixture stands. Above the upper limit is no safe place: letting in air brings it back between."""

    TOO_LEAN = "below the lower limit"
    EXPLOSIVE = "between the limits"
    TOO_RICH = "above the upper limit"


class GasUnknown(TrainerError):
    """A gas without limits in the table."""

    def __init__(self, gas: str) -> None:
        super().__init__(f"No limits are known for '{gas}'; known are {', '.join(GASES)}.")


class LimitsReversed(TrainerError):
    """The lower limit is not below the upper one."""

    def __init__(self, lower: Quantity, upper: Quantity) -> None:
        super().__init__(f"The lower limit {lower} must lie below the upper limit {upper}.")


class SharesDoNotAddUp(TrainerError):
    """The parts of a mixture are not the whole of it."""

    def __init__(self, total: Quantity) -> None:
        super().__init__(f"The shares of the fuel gases must add up to 100 %; they make {total.printed()}.")


def limits_of(gas: str) -> Limits:
    """Return the limits of a gas.

    Raises:
        GasUnknown: the table has none.
    """
    if gas not in GASES:
        raise GasUnknown(gas)
    return GASES[gas]


def share_of_lower_limit(concentration: Quantity, lower: Quantity) -> Quantity:
    """Return what a gas detector shows, in % LEL.

    Args:
        concentration: share of gas in air by volume, a ratio.
        lower: lower explosive limit, a ratio.

    Source: definition of % LEL.
    """
    _check("concentration", concentration, Fraction(0))
    _check_limit(lower)
    return from_si(concentration.exact_si / lower.exact_si, "% LEL")


def concentration_at(share: Quantity, lower: Quantity) -> Quantity:
    """Return the share of gas in air behind a reading in % LEL, in percent by volume.

    Args:
        share: reading in % LEL.
        lower: lower explosive limit that the detector is set to, a ratio.

    Source: definition of % LEL.
    """
    _check_limit(lower)
    reading = share.must_be(Dimension.LEL_SHARE).exact_si
    if not 0 <= reading * lower.exact_si <= 1:
        raise OutsideRange("reading", share, "0 % LEL", "pure gas")
    return from_si(reading * lower.exact_si, "%")


def odorant_limit(lower: Quantity) -> Quantity:
    """Return the share of gas in air at which its smell must be readily detectable: one fifth of the lower limit.

    Source: 49 CFR 192.625(a).
    """
    _check_limit(lower)
    return lower.scaled(Fraction(1, 5))


def zone(concentration: Quantity, lower: Quantity, upper: Quantity) -> Zone:
    """Return where a mixture stands; on a limit counts as between the limits.

    Raises:
        LimitsReversed: the lower limit is not below the upper one.

    Source: definition of the limits.
    """
    _check("concentration", concentration, Fraction(0))
    _check_limit(lower)
    _check_limit(upper)
    if not lower < upper:
        raise LimitsReversed(lower, upper)
    if concentration < lower:
        return Zone.TOO_LEAN
    return Zone.EXPLOSIVE if concentration <= upper else Zone.TOO_RICH


def mixture_limit(parts: Sequence[tuple[Quantity, Quantity]]) -> Quantity:
    """Return the lower limit of a mixture of fuel gases by Le Chatelier's rule: 1 / sum of share / limit.

    Args:
        parts: share of each gas in the fuel, and its own lower limit, both ratios; the shares make 100 %.

    Raises:
        SharesDoNotAddUp: the shares do not make 100 %.

    Source: Le Chatelier's rule, as in US Bureau of Mines Bulletin 503 (1952; from memory).
    """
    total = Fraction(0)
    weighed = Fraction(0)
    for share, lower in parts:
        _check("share of a fuel gas", share, Fraction(0))
        _check_limit(lower)
        total += share.exact_si
        weighed += share.exact_si / lower.exact_si
    if abs(total - 1) > Fraction(1, 1000):
        raise SharesDoNotAddUp(from_si(total, "%"))
    return from_si(total / weighed, "%")


def _check(what: str, ratio: Quantity, least: Fraction) -> None:
    if not least <= ratio.must_be(Dimension.RATIO).exact_si <= 1:
        raise OutsideRange(what, ratio, f"{float(least):g} %", "100 %")


def _check_limit(limit: Quantity) -> None:
    if not 0 < limit.must_be(Dimension.RATIO).exact_si <= 1:
        raise OutsideRange("explosive limit", limit, "more than 0 %", "100 %")
