"""Overpressure limits: the steps of the rule, its boundaries, the yield strength."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.trade import overpressure
from trainer.trade.refusals import NotPositive, OutsideRange
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse

RULE = "49 CFR 192.201(a)(2), section text current through Sept. 30, 2024"


@pytest.mark.parametrize(
    ("maop", "expected"),
    [
        pytest.param("100 psi", "110 psi", id="limit-192201-100"),
        pytest.param("59 psi", "65 psi", id="limit-192201-59"),
        pytest.param("25 psi", "31 psi", id="limit-192201-25"),
        pytest.param("2 psi", "3 psi", id="limit-192201-2"),
        # The rule is continuous: 60 + 6 equals 60 x 1.10, and 12 x 1.5 equals 12 + 6.
        pytest.param("60 psi", "66 psi", id="limit-continuity-60"),
        pytest.param("12 psi", "18 psi", id="limit-continuity-12"),
    ],
)
def test_limits(maop: str, expected: str) -> None:
    # Source: RULE.
    assert overpressure.overpressure_limit(q(maop)) == q(expected)


def test_yield_strength_may_be_the_lower_one() -> None:
    # id "limit-192201-smys"; source: RULE (whichever is lower); 12.75 in, 0.25 in wall, SMYS 42 000 psi by Barlow
    # P = 2 S t / D (formula of 192.105, from memory).
    at_75 = overpressure.hoop_pressure(q("42 ksi"), q("0.25 in"), q("12.75 in"))
    assert float(at_75.value) == pytest.approx(1235.3, abs=0.1)
    assert overpressure.overpressure_limit(q("1150 psi"), at_75) == at_75
    assert overpressure.overpressure_limit(q("1000 psi"), at_75) == q("1100 psi")


def test_boundary_at_60_takes_the_yield_strength() -> None:
    assert overpressure.overpressure_limit(q("60 psi"), q("65 psi")) == q("65 psi")
    assert overpressure.overpressure_limit(q("59 psi"), q("60 psi")) == q("65 psi")


@given(st.integers(1, 1999))
def test_the_limit_never_jumps(tenths: int) -> None:
    here = overpressure.overpressure_limit(Quantity.of(tenths / 10, "psi"))
    there = overpressure.overpressure_limit(Quantity.of((tenths + 1) / 10, "psi"))
    assert 0 < float(there.value - here.value) <= 0.15 + 1e-12


def test_metric_pressures_answer_in_their_unit() -> None:
    # 4 bar is 58.02 psi: plus 6 psi (41 kPa as printed).
    assert overpressure.overpressure_limit(q("4 bar")).printed(4) == "4.414\u202fbar"


def test_four_percent() -> None:
    # id "limit-192739b"; source: 16 NYCRR 255.739(b), same text as 49 CFR 192.739(b): MAOP plus 4 percent.
    assert overpressure.four_percent_limit(q("1000 psi")) == q("1040 psi")


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(NotPositive, match="MAOP"):
        overpressure.overpressure_limit(q("0 psi"))
    with pytest.raises(DimensionsDiffer):
        overpressure.overpressure_limit(q("100 psi(a)"))
    with pytest.raises(overpressure.FourPercentNotForThis, match="covers 60 psi and more; 59 psi was given"):
        overpressure.four_percent_limit(q("59 psi"))
    with pytest.raises(OutsideRange, match="wall thickness"):
        overpressure.hoop_pressure(q("42 ksi"), q("7 in"), q("12.75 in"))
    with pytest.raises(OutsideRange, match="share of the yield strength"):
        overpressure.hoop_pressure(q("42 ksi"), q("0.25 in"), q("12.75 in"), 75)
    with pytest.raises(NotPositive, match="wall"):
        overpressure.hoop_pressure(q("42 ksi"), q("0 in"), q("12.75 in"))
