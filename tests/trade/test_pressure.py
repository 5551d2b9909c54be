"""Pressure: gauge and absolute, forces of gas and spring."""

from __future__ import annotations

import pytest

from trainer.trade import pressure
from trainer.trade.refusals import Negative, NotPositive
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse


def test_gauge_to_absolute_with_the_air_of_the_day() -> None:
    # id "gauge-abs"; 190.5 psig at an air pressure of 14.4 psi is 204.9 psia (a published pressure-drop example;
    # definition, the sum is exact).
    assert pressure.absolute(q("190.5 psi"), q("14.4 psi(a)")) == q("204.9 psi(a)")
    assert pressure.gauge(q("204.9 psi(a)"), q("14.4 psi(a)")) == q("190.5 psi")


def test_without_air_pressure_the_standard_atmosphere_counts() -> None:
    # NIST SP 811 (2008), Appendix B.8: 101 325 Pa.
    assert pressure.absolute(q("0 bar")) == q("1.01325 bar(a)")
    assert pressure.gauge(q("1 atm")) == q("0 bar")


def test_a_difference_is_a_third_thing() -> None:
    assert pressure.difference(q("5 bar"), q("200 kPa")) == q("3 bar(d)")
    assert pressure.difference(q("5 bar(a)"), q("1 atm")) == q("3.98675 bar(d)")
    assert pressure.difference(q("1 atm"), q("1 bar(a)")) == q("0.01325 bar(d)")
    with pytest.raises(DimensionsDiffer):
        pressure.difference(q("5 bar"), q("1 bar(a)"))
    with pytest.raises(DimensionsDiffer):
        pressure.difference(q("5 bar(d)"), q("1 bar"))


def test_force_of_a_gas() -> None:
    # Geometry: 8 bar on 100 mm: 0.8 N/mm² x 7853.98 mm² = 6283.2 N; 100 mbar on 50 mm: 0.01 x 1963.5 = 19.635 N.
    assert pressure.gas_force(q("8 bar"), q("100 mm")).printed(5) == "6.2832\u202fkN"
    assert pressure.gas_force(q("100 mbar"), q("50 mm")).printed(5) == "19.635\u202fN"
    # 100 psi on 4 in: 100 x 12.566 in² = 1256.6 lbf.
    assert pressure.gas_force(q("100 psi"), q("4 in")).to("lbf").printed(5) == "1256.6\u202flbf"
    assert pressure.gas_force(q("8 bar(d)"), q("100 mm")) == pressure.gas_force(q("8 bar"), q("100 mm"))


def test_force_of_a_spring() -> None:
    assert pressure.spring_force(q("12 N/mm"), q("40 mm")) == q("480 N")
    assert pressure.spring_force(q("80 N/mm"), q("4 cm")) == q("3.2 kN")
    assert pressure.spring_force(q("100 lbf/in"), q("1/2 in")).to("lbf").printed() == "50\u202flbf"


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(DimensionsDiffer, match=r"8 bar\(a\) is an absolute pressure, not a gauge pressure"):
        pressure.gas_force(q("8 bar(a)"), q("100 mm"))
    with pytest.raises(Negative, match="pressure"):
        pressure.gas_force(q("-0.2 bar"), q("100 mm"))
    with pytest.raises(NotPositive, match="diameter"):
        pressure.gas_force(q("8 bar"), q("0 mm"))
    with pytest.raises(pressure.BelowVacuum, match=r"^-2 bar lies below a perfect vacuum\.$"):
        pressure.absolute(q("-2 bar"))
    with pytest.raises(pressure.BelowVacuum):
        pressure.gauge(q("-1 bar(a)"))
    with pytest.raises(NotPositive, match="pressure of the air"):
        pressure.absolute(q("2 bar"), q("0 bar(a)"))
    with pytest.raises(NotPositive, match="spring rate"):
        pressure.spring_force(q("0 N/mm"), q("4 mm"))
    with pytest.raises(Negative, match="compression"):
        pressure.spring_force(q("5 N/mm"), q("-4 mm"))
