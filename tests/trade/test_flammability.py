"""Flammable gas: limits, detector readings, mixtures."""

from __future__ import annotations

import pytest

from trainer.trade import flammability as fire
from trainer.trade.flammability import Zone
from trainer.trade.refusals import OutsideRange
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse


def test_smell_at_a_fifth_of_the_lower_limit() -> None:
    # id "lel-odor-fifth"; source: 49 CFR 192.625(a): detectable at one-fifth of the LEL; LEL 5.0 % by volume.
    assert fire.odorant_limit(q("5.0 %")) == q("1.0 %")


def test_ten_percent_lel_on_two_bases() -> None:
    # Methane 5 % (US practice) or 4.4 % (ANSI/AARST SGM-SF-2017 chart, 4.4-5 %): 0.50 or 0.44 % by volume.
    assert fire.concentration_at(q("10 % LEL"), fire.limits_of("methane").lower) == q("0.5 %")
    assert fire.concentration_at(q("10 % LEL"), fire.limits_of("methane, lower basis").lower) == q("0.44 %")
    assert fire.share_of_lower_limit(q("0.5 %"), q("5 %")) == q("10 % LEL")
    assert fire.share_of_lower_limit(q("5000 ppm"), q("5 %")) == q("10 % LEL")


@pytest.mark.parametrize(
    ("gas", "lower", "upper"),
    [
        # US Bureau of Mines Bulletin 627 (1965), as extracted in a gas supplier's reference table (propane from memory).
        ("methane", "5.0 %", "15.0 %"),
        ("butane", "1.8 %", "8.4 %"),
        ("propane", "2.1 %", "9.5 %"),
        ("hydrogen", "4.0 %", "75.0 %"),
    ],
)
def test_limits_of_fuel_gases(gas: str, lower: str, upper: str) -> None:
    found = fire.limits_of(gas)
    assert (found.lower, found.upper) == (q(lower), q(upper))
    assert found.source


@pytest.mark.parametrize(
    ("concentration", "expected"),
    [
        ("4.9 %", Zone.TOO_LEAN),
        ("5 %", Zone.EXPLOSIVE),
        ("15 %", Zone.EXPLOSIVE),
        ("15.1 %", Zone.TOO_RICH),
        ("100 %", Zone.TOO_RICH),
    ],
)
def test_zone_of_methane(concentration: str, expected: Zone) -> None:
    assert fire.zone(q(concentration), q("5 %"), q("15 %")) is expected


def test_mixture_by_le_chatelier() -> None:
    # US Bureau of Mines Bulletin 503 (1952), from memory: natural gas of 80 % methane (5.3), 15 % ethane (3.22),
    # 4 % propane (2.37) and 1 % butane (1.86) has a lower limit of 4.55 %.
    parts = [("80 %", "5.3 %"), ("15 %", "3.22 %"), ("4 %", "2.37 %"), ("1 %", "1.86 %")]
    limit = fire.mixture_limit([(q(share), q(lower)) for share, lower in parts])
    assert float(limit.value) == pytest.approx(4.55, abs=0.005)
    assert fire.mixture_limit([(q("100 %"), q("5 %"))]) == q("5 %")


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(fire.GasUnknown, match="'argon'"):
        fire.limits_of("argon")
    with pytest.raises(fire.LimitsReversed, match="must lie below the upper limit"):
        fire.zone(q("1 %"), q("15 %"), q("5 %"))
    with pytest.raises(fire.SharesDoNotAddUp, match="they make 90\u202f%"):
        fire.mixture_limit([(q("90 %"), q("5 %"))])
    with pytest.raises(OutsideRange, match="concentration"):
        fire.share_of_lower_limit(q("120 %"), q("5 %"))
    with pytest.raises(OutsideRange, match="explosive limit"):
        fire.odorant_limit(q("0 %"))
    with pytest.raises(OutsideRange, match="reading"):
        fire.concentration_at(q("3000 % LEL"), q("5 %"))
    with pytest.raises(DimensionsDiffer):
        fire.share_of_lower_limit(q("10 % LEL"), q("5 %"))
    with pytest.raises(DimensionsDiffer):
        fire.concentration_at(q("10 %"), q("5 %"))
