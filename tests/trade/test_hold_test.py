"""Hold test and leak rate: printed examples, verdicts, refusals."""

from __future__ import annotations

import pytest

from trainer.trade import hold_test as hold
from trainer.trade.pressure import BelowVacuum
from trainer.trade.refusals import Negative, NotPositive
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse


def test_a_gauge_falls_when_the_gas_cools() -> None:
    # IRC / IFGC appendix A, A.6.5 Example 5: 20 psig at 70 °F reads 18 psig at 40 °F. The example takes 459 and 14.7
    # (18.03); with 459.67 it is 18.03 too.
    read = hold.reading_after(q("20 psi"), q("70 °F"), q("40 °F"), q("14.7 psi(a)"))
    assert read.printed() == "18\u202fpsi"
    assert float(read.value) == pytest.approx(18.03, abs=0.006)


def test_temperature_and_air_pressure_may_be_in_any_unit() -> None:
    celsius = hold.reading_after(q("8 bar"), q("20 °C"), q("5 °C"))
    kelvin = hold.reading_after(q("8 bar"), q("293.15 K"), q("278.15 K"), q("1.01325 bar(a)"))
    assert celsius == kelvin
    # 9.01325 x 278.15 / 293.15 - 1.01325, by hand.
    assert celsius.printed(4) == "7.539\u202fbar"


def test_a_falling_barometer_lifts_the_reading() -> None:
    # Same gas, air 20 mbar lower at the end: the gauge reads 20 mbar more (definition of gauge pressure).
    still = hold.reading_after(q("100 mbar"), q("20 °C"), q("20 °C"), q("1013 mbar(a)"), q("993 mbar(a)"))
    assert still == q("120 mbar")


@pytest.mark.parametrize(
    ("end", "passed", "loss", "words"),
    [
        ("18 psi", True, "0.0346 psi(d)", "Passes: the gauge should read 18\u202fpsi at this temperature"),
        ("17.5 psi", False, "0.535 psi(d)", "Fails: 0.535\u202fpsi(d) is lost, 0.1\u202fpsi(d) is permitted"),
        ("18.5 psi", False, "-0.465 psi(d)", "Fails: 0.465\u202fpsi(d) is gained: gas passes into"),
    ],
)
def test_verdicts(end: str, passed: bool, loss: str, words: str) -> None:
    # By hand: 34.7 x 499.67 / 529.67 - 14.7 = 18.0346 psi without a leak.
    test = hold.hold_test(
        *(q("20 psi"), q(end), q("70 °F"), q("40 °F"), q("0.1 psi(d)"), q("14.7 psi(a)")),
    )
    assert test.passed is passed
    assert test.loss.rounded(3) == q(loss).rounded(3)
    assert words in test.sentence


def test_a_loss_exactly_as_permitted_passes() -> None:
    test = hold.hold_test(q("5 bar"), q("4.9 bar"), q("20 °C"), q("20 °C"), q("100 mbar(d)"))
    assert test.passed


def test_leak_rate_against_a_vacuum_decay_example() -> None:
    # 40 CFR 1065.644, example: V 2.0000 L, 25.300 to 50.600 kPa at 293.15 K between 10:56:25 and 10:57:35,
    # R 8.314472 J/(mol·K): 0.00030 mol/s (inputs read; the printed result from memory, it recomputes).
    leak = hold.leak_rate(q("2.0000 L"), q("25.300 kPa(d)"), q("70 s"), "Pa·m³/s")
    assert leak.si / (8.314472 * 293.15) == pytest.approx(0.00030, abs=0.000005)


def test_leak_as_flow_and_the_time_to_see_it() -> None:
    # By hand: 10 L x 1 mbar / 60 s = 0.1667 mbar·L/s; at 1013.25 mbar that is 9.869 mL/min.
    assert hold.leak_rate(q("10 L"), q("1 mbar(d)"), q("1 min")).printed(4) == "0.1667\u202fmbar·L/s"
    assert hold.leak_flow(q("10 L"), q("1 mbar(d)"), q("1 min")).printed(4) == "9.869\u202fmL/min"
    leak = q("0.5 mbar·L/s")
    assert hold.time_to_see(q("10 L"), leak, q("6 mbar(d)")) == q("2 min")


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(hold.BelowAbsoluteZero, match=r"^-300 °C lies at or below absolute zero\.$"):
        hold.reading_after(q("8 bar"), q("20 °C"), q("-300 °C"))
    with pytest.raises(BelowVacuum):
        hold.reading_after(q("-3 bar"), q("20 °C"), q("10 °C"))
    with pytest.raises(DimensionsDiffer, match="not a gauge pressure"):
        hold.reading_after(q("8 bar(a)"), q("20 °C"), q("10 °C"))
    with pytest.raises(DimensionsDiffer, match="not a pressure difference"):
        hold.hold_test(q("8 bar"), q("8 bar"), q("20 °C"), q("20 °C"), q("0.1 bar"))
    with pytest.raises(NotPositive, match="test pressure"):
        hold.hold_test(q("0 bar"), q("0 bar"), q("20 °C"), q("20 °C"), q("0.1 bar(d)"))
    with pytest.raises(Negative, match="permitted loss"):
        hold.hold_test(q("8 bar"), q("8 bar"), q("20 °C"), q("20 °C"), q("-0.1 bar(d)"))
    with pytest.raises(NotPositive, match="time"):
        hold.leak_rate(q("1 L"), q("1 mbar(d)"), q("0 s"))
    with pytest.raises(NotPositive, match="volume"):
        hold.leak_rate(q("0 L"), q("1 mbar(d)"), q("1 s"))
    with pytest.raises(Negative, match="loss"):
        hold.leak_rate(q("1 L"), q("-1 mbar(d)"), q("1 s"))
    with pytest.raises(NotPositive, match="reference pressure"):
        hold.leak_flow(q("1 L"), q("1 mbar(d)"), q("1 s"), q("0 bar(a)"))
    with pytest.raises(NotPositive, match="smallest loss"):
        hold.time_to_see(q("1 L"), q("1 mbar·L/s"), q("0 mbar(d)"))
