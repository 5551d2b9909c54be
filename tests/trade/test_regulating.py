"""Regulators: droop, lock-up, error and classes."""

from __future__ import annotations

import pytest

from trainer.trade import regulating
from trainer.trade.refusals import NotPositive
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse


def test_droop_and_lock_up() -> None:
    # Common practice, no source: 100 mbar set, 96 under flow, 108 with the flow stopped.
    fallen = regulating.droop(q("100 mbar"), q("96 mbar"))
    assert (fallen.pressure, fallen.percent) == (q("4 mbar(d)"), 4)
    risen = regulating.lock_up(q("100 mbar"), q("108 mbar"))
    assert (risen.pressure, risen.percent) == (q("8 mbar(d)"), 8)


def test_readings_in_other_units_come_out_in_that_of_the_set_point() -> None:
    assert regulating.droop(q("100 mbar"), q("9.6 kPa")).pressure == q("4 mbar(d)")
    assert regulating.droop(q("100 mbar"), q("103 mbar")).percent == -3


def test_error_counts_from_the_absolute_set_point() -> None:
    # id "regulator-error-mc"; source: Measurement Canada S-G-03 Part 16, sec. 2.1.1-2.1.2: E = (Po-Pset)/(Pset+Ps)
    # x 100 %, limit ± 1 %. The same 1 kPa is 2.86 % of the gauge set point.
    error = regulating.regulator_error(q("35 kPa"), q("36 kPa"), q("101.325 kPa(a)"))
    assert error == pytest.approx(0.7335, abs=0.0005)
    assert error <= regulating.LEGAL_ERROR_LIMIT_PERCENT
    assert regulating.lock_up(q("35 kPa"), q("36 kPa")).percent == pytest.approx(2.86, abs=0.005)


def test_classes() -> None:
    # ids "en334-ac5" and "en334-sg10"; source: EN 334, from memory.
    assert regulating.accuracy_band(q("100 mbar"), "AC 5") == (q("95 mbar"), q("105 mbar"))
    assert regulating.highest_lock_up(q("100 mbar"), "SG 10") == q("110 mbar")
    assert list(regulating.ACCURACY_CLASSES) == ["AC 1", "AC 2.5", "AC 5", "AC 10", "AC 20", "AC 30"]
    assert list(regulating.LOCK_UP_CLASSES) == ["SG 2.5", "SG 5", "SG 10", "SG 20", "SG 30", "SG 50"]


def test_temperature_classes() -> None:
    # id "en334-temp-class2"; source: EN 334:2019 public scope: class 1 from -10 °C, class 2 from -20 °C, to 60 °C.
    assert regulating.TEMPERATURE_CLASSES[2] == (q("-20 °C"), q("60 °C"))
    assert regulating.TEMPERATURE_CLASSES[1] == (q("-10 °C"), q("60 °C"))


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(regulating.ClassUnknown, match="'AC 4' is not a known class; known are AC 1, "):
        regulating.accuracy_band(q("100 mbar"), "AC 4")
    with pytest.raises(regulating.ClassUnknown):
        regulating.highest_lock_up(q("100 mbar"), "AC 5")
    with pytest.raises(NotPositive, match="set point"):
        regulating.droop(q("0 mbar"), q("5 mbar"))
    with pytest.raises(DimensionsDiffer):
        regulating.droop(q("100 mbar"), q("1.1 bar(a)"))
