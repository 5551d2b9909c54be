"""Pressure hold test: what the gauge should read after the gas has cooled or warmed, the loss, pass or fail.

All ratios are taken on absolute pressure and absolute temperature; on gauge pressures 20 psig cooling from
70 °F to 40 °F would be expected to drop by 1.1 psi, where 2.0 is right, and a tight section would fail.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.trade.pressure import STANDARD_ATMOSPHERE, absolute, difference, gauge
from trainer.trade.refusals import must_be_positive, must_not_be_negative
from trainer.trade.units import Dimension, Quantity, from_si

if TYPE_CHECKING:
    from fractions import Fraction


class BelowAbsoluteZero(TrainerError):
    """A temperature that does not exist."""

    def __init__(self, temperature: Quantity) -> None:
        super().__init__(f"{temperature} lies at or below absolute zero.")


@dataclass(frozen=True)
class HoldTest:
    """The outcome: what the gauge should read with no leak, what is missing, and the verdict in a sentence.

    `expected` is a gauge pressure, `loss` a pressure difference, negative when pressure was gained.
    """

    expected: Quantity
    loss: Quantity
    passed: bool
    sentence: str


def reading_after(
    start: Quantity,
    start_temperature: Quantity,
    end_temperature: Quantity,
    atmosphere: Quantity = STANDARD_ATMOSPHERE,
    atmosphere_at_end: Quantity | None = None,
) -> Quantity:
    """Return what a gauge reads when the shut-in gas has changed its temperature: p2 = p1 T2 / T1, absolute.

    Args:
        start: gauge pressure at the start.
        start_temperature: temperature of the gas at the start.
        end_temperature: temperature of the gas at the end.
        atmosphere: absolute pressure of the air at the start.
        atmosphere_at_end: the same at the end, if it was read again.

    Source: gas law at constant volume; 2021 IRC appendix A and IFGC, A.6.5 Example 5: 20 psig at 70 °F reads
        18 psig at 40 °F.
    """
    warm, cold = _kelvin(end_temperature), _kelvin(start_temperature)
    filled = absolute(start, atmosphere)
    return gauge(filled.scaled(warm / cold), atmosphere_at_end or atmosphere)


def hold_test(
    start: Quantity,
    end: Quantity,
    start_temperature: Quantity,
    end_temperature: Quantity,
    permitted_loss: Quantity,
    atmosphere: Quantity = STANDARD_ATMOSPHERE,
    atmosphere_at_end: Quantity | None = None,
) -> HoldTest:
    """Return loss and verdict of a pressure hold test, corrected for temperature and, if read, for the air.

    A gain beyond the permitted loss fails too: gas passes into what was shut in, or a reading is wrong.

    Args:
        start: gauge pressure at the start.
        end: gauge pressure at the end.
        start_temperature: temperature of the gas at the start.
        end_temperature: temperature of the gas at the end.
        permitted_loss: a pressure difference, as the procedure says.
        atmosphere: absolute pressure of the air at the start.
        atmosphere_at_end: the same at the end, if it was read again.

    Source: as `reading_after`; the verdict is common practice, no source.
    """
    must_not_be_negative("permitted loss", permitted_loss.must_be(Dimension.DIFFERENCE))
    must_be_positive("test pressure", start)
    expected = reading_after(start, start_temperature, end_temperature, atmosphere, atmosphere_at_end)
    loss = difference(expected, end.to(start.unit))
    if loss > permitted_loss:
        verdict = f"Fails: {loss.printed()} is lost, {permitted_loss.printed()} is permitted"
        return HoldTest(expected, loss, False, f"{verdict}.")
    if loss < permitted_loss.scaled(-1):
        gained = loss.scaled(-1).printed()
        verdict = f"Fails: {gained} is gained: gas passes into the test section, or a reading is wrong"
        return HoldTest(expected, loss, False, f"{verdict}.")
    return HoldTest(
        expected,
        loss,
        True,
        f"Passes: the gauge should read {expected.printed()} at this temperature and reads {end.printed()}.",
    )


def leak_rate(volume: Quantity, loss: Quantity, duration: Quantity, unit: str = "mbar·L/s") -> Quantity:
    """Return the leak V Δp / t of a shut-in volume, as pressure times volume a time.

    Args:
        volume: inside volume of the test section.
        loss: pressure lost, corrected for temperature, a pressure difference.
        duration: time between the two readings.
        unit: leak rate unit of the answer.

    Source: 40 CFR 1065.644 (vacuum-decay leak rate V/R x (p2/T2 - p1/T1) / (t2 - t1)) at one temperature.
    """
    return from_si(_leak(volume, loss, duration), unit)


def leak_flow(
    volume: Quantity,
    loss: Quantity,
    duration: Quantity,
    reference: Quantity = STANDARD_ATMOSPHERE,
    unit: str = "mL/min",
) -> Quantity:
    """Return the leak as the flow of gas it would be at a reference pressure: V Δp / (t p).

    Args:
        volume: inside volume of the test section.
        loss: pressure lost, a pressure difference.
        duration: time between the two readings.
        reference: absolute pressure at which the flow is counted; the temperature is that of the test.
        unit: flow unit of the answer.

    Source: as `leak_rate`.
    """
    must_be_positive("reference pressure", reference.must_be(Dimension.ABSOLUTE))
    return from_si(_leak(volume, loss, duration) / reference.exact_si, unit)


def time_to_see(volume: Quantity, leak: Quantity, smallest_loss: Quantity, unit: str = "min") -> Quantity:
    """Return how long a test must hold until a leak shows on the gauge: V Δp / leak.

    Args:
        volume: inside volume of the test section.
        leak: the leak that has to be found, a leak rate.
        smallest_loss: the least change the gauge shows, a pressure difference.
        unit: time unit of the answer.

    Source: `leak_rate`, solved for the time.
    """
    must_be_positive("volume", volume.must_be(Dimension.VOLUME))
    must_be_positive("leak rate", leak.must_be(Dimension.LEAK_RATE))
    must_be_positive("smallest loss", smallest_loss.must_be(Dimension.DIFFERENCE))
    return from_si(volume.exact_si * smallest_loss.exact_si / leak.exact_si, unit)


def _leak(volume: Quantity, loss: Quantity, duration: Quantity) -> Fraction:
    must_be_positive("volume", volume.must_be(Dimension.VOLUME))
    must_not_be_negative("loss", loss.must_be(Dimension.DIFFERENCE))
    must_be_positive("time", duration.must_be(Dimension.TIME))
    return volume.exact_si * loss.exact_si / duration.exact_si


def _kelvin(temperature: Quantity) -> Fraction:
    kelvin = temperature.must_be(Dimension.TEMPERATURE).exact_si
    if kelvin <= 0:
        raise BelowAbsoluteZero(temperature)
    return kelvin
