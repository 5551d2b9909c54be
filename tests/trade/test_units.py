"""Units: published factors, spellings, and the three pressures that never mix."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.trade.units import (
    UNITS,
    Dimension,
    DimensionsDiffer,
    Quantity,
    QuantityUnreadable,
    UnitUnknown,
    from_si,
    unit_named,
    units_of,
)

SP811 = "NIST Special Publication 811 (2008 ed.), Appendix B.8/B.9 conversion factors"
CFR = "49 CFR 192.201(a)(2), kPa figure as printed in the rule"
TM_387 = "US Army TM 9-2320-387-24-1, para 6-12 (hub spindle bearing adjustment)"
TM_604 = "US Army TM 9-6115-604-34 / NAVFAC P-633-34, Table 1-3"

# id, value, from, to, expected, tolerance, source
CONVERSIONS = [
    ("conv-lbfft-nm", 1, "lbf·ft", "N·m", 1.355818, 5e-7, SP811),
    ("conv-kgfm-nm", 1, "kgf·m", "N·m", 9.80665, 1e-9, SP811),
    ("conv-lbf-n", 1, "lbf", "N", 4.448222, 5e-7, SP811),
    ("conv-lb-kg", 1, "lb", "kg", 0.4535924, 5e-8, SP811),
    ("conv-psi-pa", 1, "psi", "Pa", 6894.757, 5e-4, SP811),
    ("conv-bar-pa", 1, "bar", "Pa", 100_000, 0, SP811),
    ("conv-atm-pa", 1, "atm", "Pa(a)", 101_325, 0, SP811),
    ("conv-inh2o-60f", 1, "inH2O (60 degF)", "Pa", 248.84, 5e-3, SP811 + "; table value"),
    ("conv-inh2o-39f", 1, "inH2O (39.2 degF)", "Pa", 249.082, 5e-4, SP811 + "; table value"),
    ("conv-mmh2o-conv", 1, "mmH2O", "Pa", 9.80665, 1e-9, SP811),
    ("conv-cfr-60psi-kpa", 60, "psi", "kPa", 414, 0.5, CFR),
    ("conv-cfr-6psi-kpa", 6, "psi", "kPa", 41, 0.5, CFR),
    ("conv-35lbft-47nm", 35, "lbf·ft", "N·m", 47, 0.5, TM_387),
    ("conv-45lbft-61nm", 45, "lbf·ft", "N·m", 61, 0.5, TM_387),
    ("conv-23lbft-31nm", 23, "lbf·ft", "N·m", 31, 0.5, TM_387),
    ("conv-27lbft-37nm", 27, "lbf·ft", "N·m", 37, 0.5, TM_387),
    (
        "conv-225lbft-305nm",
        *(225, "lbf·ft", "N·m", 305, 0.5, "US Army TM 5-3810-305-23, torque wrench adapters note"),
    ),
    ("conv-43lbin-nm", 43, "lbf·in", "N·m", 4.9, 0.06, TM_604),
    ("conv-51lbin-nm", 51, "lbf·in", "N·m", 5.8, 0.06, TM_604),
    (
        "practice-class-600",
        *(
            1480,
            "psi",
            "bar",
            102,
            0.5,
            "common practice, no source: pressure class 600 quoted as 1480 psi or 102 bar",
        ),
    ),
]

# NIST SP 811 (2008) Appendix B, as transcribed in several public repositories; half a unit of the last digit.
FACTORS = [
    ("lbf·ft", "N·m", "1.355818"),
    ("lbf·in", "N·m", "0.1129848"),
    ("kgf·m", "N·m", "9.80665"),
    ("lbf", "N", "4.448222"),
    ("lb", "kg", "0.4535924"),
    ("in", "m", "0.0254"),
    ("ft", "m", "0.3048"),
    ("psi", "Pa", "6894.757"),
    ("bar", "Pa", "100000"),
    ("atm", "Pa(a)", "101325"),
    ("inH2O", "Pa", "249.0889"),
    ("inH2O(60°F)", "Pa", "248.84"),
    ("inH2O(39.2°F)", "Pa", "249.082"),
    ("mmH2O", "Pa", "9.80665"),
    ("ftH2O", "Pa", "2989.067"),
    ("inHg", "Pa", "3386.389"),
    ("mmHg", "Pa", "133.3224"),
]


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected", "tolerance"),
    [c[1:6] for c in CONVERSIONS],
    ids=[c[0] for c in CONVERSIONS],
)
def test_published_conversions(value: int, unit: str, to: str, expected: float, tolerance: float) -> None:
    assert float(Quantity.of(value, unit).to(to).value) == pytest.approx(expected, abs=tolerance, rel=0)


@pytest.mark.parametrize(("unit", "to", "factor"), FACTORS)
def test_published_factors_to_their_last_digit(unit: str, to: str, factor: str) -> None:
    printed = Decimal(factor)
    assert Quantity.of(1, unit).to(to).value.quantize(printed) == printed


def test_three_inches_of_water_are_three_units() -> None:
    pascals = {str(Quantity.of(1, unit).to("Pa").value) for unit in ("inH2O", "inH2O(60°F)", "inH2O(39.2°F)")}
    assert len(pascals) == 3
    # psi to inH2O is 27.68 (conventional) or 27.71 (60 °F), computed from the SP 811 factors.
    assert Quantity.parse("1 psi").to("inH2O").printed(4) == "27.68\u202finH2O"
    assert Quantity.parse("1 psi").to("inH2O(60°F)").printed(4) == "27.71\u202finH2O(60°F)"


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("60 N·m", "60 N·m"),
        ("60 N.m", "60 N·m"),
        ("60Nm", "60 N·m"),
        ("60 N m", "60 N·m"),
        ("44 lbf.ft", "44 lbf·ft"),
        ("44 ft-lb", "44 lbf·ft"),
        ("44 ft-lbs", "44 lbf·ft"),
        ("200 in. lb.", "200 lbf·in"),
        ("0.6 kg", "0.6 kg"),
        ("0.60 kg", "0.60 kg"),
        ("12 lbs", "12 lb"),
        ("3/4 in", "0.75 in"),
        ("1-1/2 in", "1.5 in"),
        ("1 1/8 in", "1.125 in"),
        ("\u22125 °C", "-5 °C"),
        ("40 degF", "40 °F"),
        ("30%", "30 %"),
        ("8 bar(g)", "8 bar"),
        ("8 barg", "8 bar"),
        ("8 bara", "8 bar(a)"),
        ("120 PSIG", "120 psi"),
        ("14.7 psia", "14.7 psi(a)"),
        ("2 psid", "2 psi(d)"),
        ("7 in. w.c.", "7 inH2O"),
        ("7 inH₂O", "7 inH2O"),
        ("1 atm", "1 atm(a)"),
        ("12\u202fN/mm", "12 N/mm"),
        ("90 deg", "90 °"),
        ("10 % LEL", "10 % LEL"),
        ("5 cm³", "5 mL"),
        ("1e5 Pa", "100000 Pa"),
    ],
)
def test_spellings_have_one_printed_name_and_keep_their_decimals(written: str, printed: str) -> None:
    assert str(Quantity.parse(written)) == printed


@pytest.mark.parametrize(
    "text",
    [
        "",
        "kg",
        "60",
        "1,250 N",
        "0,6 kg",
        "3-4 kg",
        "1.2.3 kg",
        "1/3 in",
        "1/0 in",
        "1e99 kg",
        "nan kg",
        "٣ kg",
    ],
)
def test_what_is_no_quantity_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(QuantityUnreadable, match=r"is not a number with a unit: .*\.$"):
        Quantity.parse(text)


@pytest.mark.parametrize(
    ("text", "nearest"),
    [("3 kgs", "kg"), ("60 newton-meteres", "N·m"), ("5 barr", "bar"), ("7 inH2O @ 60 F", "inH2O(60°F)")],
)
def test_unknown_unit_offers_the_nearest(text: str, nearest: str) -> None:
    with pytest.raises(UnitUnknown) as caught:
        Quantity.parse(text)
    assert caught.value.nearest == nearest
    assert str(caught.value).endswith(f"did you mean '{nearest}'?")


def test_unknown_unit_far_from_all() -> None:
    with pytest.raises(UnitUnknown, match=r"^'zzzzzzzzzz' is not a known unit\.$"):
        Quantity.of(1, "zzzzzzzzzz")


@pytest.mark.parametrize(
    ("quantity", "to"),
    [("5 bar", "bar(a)"), ("5 bar(a)", "bar"), ("5 bar", "bar(d)"), ("1 atm", "bar"), ("5 MPa", "N/mm²")],
)
def test_gauge_absolute_difference_and_stress_never_turn_into_each_other(quantity: str, to: str) -> None:
    with pytest.raises(DimensionsDiffer):
        Quantity.parse(quantity).to(to)


def test_dimension_sentence_names_both() -> None:
    with pytest.raises(DimensionsDiffer, match=r"^60 N·m is a torque, not a mass\.$"):
        Quantity.parse("60 N·m").to("kg")
    with pytest.raises(DimensionsDiffer, match="the pressure of the air lies between the two"):
        Quantity.parse("5 bar").to("bar(a)")


def test_temperatures_carry_their_offset() -> None:
    # Fixed points by definition: 0 °C is 273.15 K and 32 °F; −40 is the same on both scales.
    assert Quantity.parse("0 °C").to("K") == Quantity.parse("273.15 K")
    assert Quantity.parse("32 °F").to("°C") == Quantity.parse("0 °C")
    assert Quantity.parse("-40 °F").to("°C") == Quantity.parse("-40 °C")


@pytest.mark.parametrize(
    ("quantity", "printed"),
    [
        ("60 N·m", "60\u202fN·m"),
        ("0.60 kg", "0.60\u202fkg"),
        ("-20 °C", "\u221220\u202f°C"),
        ("45 °", "45°"),
        ("101325 Pa", "101\u202f325\u202fPa"),
        ("1756.25 lbf·ft", "1756\u202flbf·ft"),
        ("0.0001234567 m", "0.000123\u202fm"),
    ],
)
def test_print(quantity: str, printed: str) -> None:
    assert Quantity.parse(quantity).printed() == printed


def test_converted_values_are_printed_with_three_figures_but_keep_all_inside() -> None:
    converted = Quantity.parse("60 N·m").to("lbf·ft")
    assert converted.printed() == "44.3\u202flbf·ft"
    assert float(converted.to("N·m").value) == pytest.approx(60, abs=1e-20)


def test_arithmetic_and_comparison_convert_first() -> None:
    assert Quantity.parse("1 ft") + Quantity.parse("6 in") == Quantity.parse("1.5 ft")
    assert Quantity.parse("1 m") - Quantity.parse("1 cm") == Quantity.parse("0.99 m")
    assert Quantity.parse("1 in") > Quantity.parse("25 mm")
    assert Quantity.parse("1 in") <= Quantity.parse("25.4 mm")
    assert Quantity.parse("1 in") >= Quantity.parse("25.4 mm")
    assert Quantity.parse("80 N·m").scaled(Fraction(3, 10)) == Quantity.parse("24 N·m")
    with pytest.raises(DimensionsDiffer):
        assert Quantity.parse("1 bar") < Quantity.parse("1 bar(a)")


def test_the_constructor_takes_other_spellings_and_refuses_infinity() -> None:
    assert Quantity(Decimal(60), "Nm").unit == "N·m"
    with pytest.raises(QuantityUnreadable, match="no finite value"):
        Quantity.of(float("inf"), "N")


def test_angle_in_si_is_radians() -> None:
    assert Quantity.parse("180 °").si == pytest.approx(3.141592653589793, abs=1e-15)
    assert float(from_si(3.141592653589793, "°").value) == pytest.approx(180, abs=1e-12)


@given(
    value=st.decimals(min_value=-10_000, max_value=10_000, places=3),
    unit=st.sampled_from(sorted(UNITS)),
)
def test_text_and_si_come_back(value: Decimal, unit: str) -> None:
    quantity = Quantity(value, unit)
    assert Quantity.parse(str(quantity)) == quantity
    assert float(from_si(quantity.exact_si, unit).value) == pytest.approx(float(value), abs=1e-15)


@given(
    value=st.decimals(min_value=-1000, max_value=1000, places=2),
    unit=st.sampled_from(sorted(UNITS)),
    data=st.data(),
)
def test_conversion_there_and_back(value: Decimal, unit: str, data: st.DataObject) -> None:
    quantity = Quantity(value, unit)
    other = data.draw(st.sampled_from(units_of(quantity.dimension)))
    assert float(quantity.to(other).to(unit).value) == pytest.approx(float(value), abs=1e-12)


def test_every_unit_is_found_under_its_own_name_and_measures_something() -> None:
    assert all(unit_named(name).name == name for name in UNITS)
    assert {unit.dimension for unit in UNITS.values()} == set(Dimension)
