"""Purging: printed worked examples, whole cycles, refusals."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.trade import purge
from trainer.trade.refusals import NotPositive, OutsideRange
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse

BRANAN = "Branan, Rules of Thumb for Chemical Engineers, purging"


def test_dilution() -> None:
    # id "branan-dilution"; source: BRANAN, dilution, worked example (figure reading 3.1 volumes); ln 21 = 3.04.
    volumes = purge.dilution_volumes(q("21 %"), q("1 %"))
    assert volumes == pytest.approx(3.1, abs=0.1)
    assert volumes == pytest.approx(3.0445, abs=0.0001)


def test_volumes_of_pressure_cycles() -> None:
    # id "branan-pressure-volume"; source: BRANAN, pressure cycles: volumes = cycles x (P - 1), P 5 atm, 2 cycles.
    assert purge.cycle_volumes(2, q("1 atm"), q("5 atm")) == 8


def test_volumes_of_vacuum_cycles() -> None:
    # id "branan-vacuum-volume"; source: BRANAN, vacuum cycles: P 0.5 atm, 5 cycles.
    assert purge.cycle_volumes(5, q("0.5 atm"), q("1 atm")) == 2.5


def test_cycles_wanted_for_a_share() -> None:
    # 21 % to 1 % needs a factor of 21: 5 atm twice gives 25, half an atmosphere five times gives 32.
    by_pressure = purge.pressure_cycles(q("21 %"), q("1 %"), q("5 atm"))
    assert (by_pressure.count, by_pressure.volumes) == (2, 8)
    assert by_pressure.share_left == pytest.approx(0.21 / 25)
    by_vacuum = purge.vacuum_cycles(q("21 %"), q("1 %"), q("0.5 atm"))
    assert (by_vacuum.count, by_vacuum.volumes) == (5, 2.5)
    assert by_vacuum.share_left == pytest.approx(0.21 / 32)


def test_a_share_reached_exactly_takes_no_further_cycle() -> None:
    assert purge.pressure_cycles(q("100 %"), q("1 %"), q("10 atm")).count == 2
    assert purge.vacuum_cycles(q("80 %"), q("10 %"), q("0.5 atm")).count == 3


@given(
    start=st.integers(2, 100),
    end=st.integers(1, 99),
    high=st.integers(2, 20),
)
def test_the_count_is_the_least_that_reaches_the_share(start: int, end: int, high: int) -> None:
    if end >= start:
        with pytest.raises(purge.NothingToPurge):
            purge.dilution_volumes(Quantity.of(start, "%"), Quantity.of(end, "%"))
        return
    cycles = purge.pressure_cycles(Quantity.of(start, "%"), Quantity.of(end, "%"), Quantity.of(high, "atm"))
    assert start / high**cycles.count <= end
    assert cycles.count == 1 or start / high ** (cycles.count - 1) > end


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(purge.NothingToPurge, match=r"^21 % is not below 1 %: there is nothing to purge\.$"):
        purge.dilution_volumes(q("1 %"), q("21 %"))
    with pytest.raises(NotPositive, match="share wanted"):
        purge.dilution_volumes(q("21 %"), q("0 %"))
    with pytest.raises(OutsideRange, match="share of foreign gas"):
        purge.dilution_volumes(q("121 %"), q("1 %"))
    with pytest.raises(purge.NoCycle, match="lower and a higher pressure"):
        purge.pressure_cycles(q("21 %"), q("1 %"), q("1 atm"))
    with pytest.raises(purge.NoCycle):
        purge.vacuum_cycles(q("21 %"), q("1 %"), q("2 atm"))
    with pytest.raises(NotPositive, match="lower pressure"):
        purge.vacuum_cycles(q("21 %"), q("1 %"), q("0 bar(a)"))
    with pytest.raises(DimensionsDiffer):
        purge.pressure_cycles(q("21 %"), q("1 %"), q("5 bar"))
    with pytest.raises(NotPositive, match="number of cycles"):
        purge.cycle_volumes(0, q("1 atm"), q("5 atm"))
