"""The revised NIOSH lifting equation for one task: how much one person should lift, and how a load compares.

The equation exists in two unit systems that are not conversions of one another (51 lb is 23.13 kg, the metric
constant is 23 kg), so the system is always said and lengths are converted into it.

Source: Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH)
    publication 94-110 (1994; rev. 9/2021), sec. 1.3 and Tables 1-5 and 7. Public domain.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, fields
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.trade.refusals import Negative, NotPositive, OutsideRange, must_be_positive, must_not_be_negative
from trainer.trade.units import Dimension, Quantity

if TYPE_CHECKING:
    from collections.abc import Sequence


class System(StrEnum):
    """In which of its two forms the equation is used."""

    US = "us"
    METRIC = "metric"


class Coupling(StrEnum):
    """How well the hands hold the load: handles, a bad grip, or none."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


class Duration(StrEnum):
    """How long the lifting goes on, with the recovery that its class asks for."""

    SHORT = "up to 1 h"
    MODERATE = "over 1 h up to 2 h"
    LONG = "over 2 h up to 8 h"


@dataclass(frozen=True)
class _Form:
    load_constant: int
    length: str
    mass: str
    nearest: int
    farthest: int
    knuckle: int
    highest: int
    per_height: float
    travel_part: float
    longest_travel: int


# Source: 94-110 sec. 1.3, p. 7. `knuckle` is 30 in (75 cm) above the floor.
_FORMS = {
    System.US: _Form(51, "in", "lb", 10, 25, 30, 70, 0.0075, 1.8, 70),
    System.METRIC: _Form(23, "cm", "kg", 25, 63, 75, 175, 0.003, 4.5, 175),
}
_WIDEST_TWIST = 135

# Lifts a minute: up to 1 h, up to 2 h, up to 8 h; each below and from 30 in (75 cm) at the origin.
# Source: 94-110 Table 5, p. 15 (its reprint in chapter 3 has a misprint in the first row).
_FREQUENCY: list[tuple[float, tuple[float, ...]]] = [
    (0.2, (1.00, 1.00, 0.95, 0.95, 0.85, 0.85)),
    (0.5, (0.97, 0.97, 0.92, 0.92, 0.81, 0.81)),
    (1, (0.94, 0.94, 0.88, 0.88, 0.75, 0.75)),
    (2, (0.91, 0.91, 0.84, 0.84, 0.65, 0.65)),
    (3, (0.88, 0.88, 0.79, 0.79, 0.55, 0.55)),
    (4, (0.84, 0.84, 0.72, 0.72, 0.45, 0.45)),
    (5, (0.80, 0.80, 0.60, 0.60, 0.35, 0.35)),
    (6, (0.75, 0.75, 0.50, 0.50, 0.27, 0.27)),
    (7, (0.70, 0.70, 0.42, 0.42, 0.22, 0.22)),
    (8, (0.60, 0.60, 0.35, 0.35, 0.18, 0.18)),
    (9, (0.52, 0.52, 0.30, 0.30, 0.00, 0.15)),
    (10, (0.45, 0.45, 0.26, 0.26, 0.00, 0.13)),
    (11, (0.41, 0.41, 0.00, 0.23, 0.00, 0.00)),
    (12, (0.37, 0.37, 0.00, 0.21, 0.00, 0.00)),
    (13, (0.00, 0.34, 0.00, 0.00, 0.00, 0.00)),
    (14, (0.00, 0.31, 0.00, 0.00, 0.00, 0.00)),
    (15, (0.00, 0.28, 0.00, 0.00, 0.00, 0.00)),
]

# Below and from 30 in (75 cm), at the end of the lift that is looked at. Source: 94-110 Table 7, p. 18.
_COUPLING = {Coupling.GOOD: (1.00, 1.00), Coupling.FAIR: (0.95, 1.00), Coupling.POOR: (0.90, 0.90)}


class LiftRefused(TrainerError):
    """A lift outside the limits of the equation: no weight is right for it."""

    def __init__(self, reasons: Sequence[str]) -> None:
        self.reasons = tuple(reasons)
        super().__init__(f"Nobody should lift this by hand: {'; '.join(reasons)}.")


class WorkTooLong(TrainerError):
    """More lifting in a shift than the equation covers."""

    def __init__(self, minutes: float) -> None:
        super().__init__(
            f"The equation covers up to 8 h of lifting in a shift; this is {minutes / 60:.3g} h."
        )


@dataclass(frozen=True)
class Multipliers:
    """The six factors of one end of a lift, each between 0 and 1."""

    horizontal: float
    vertical: float
    travel: float
    twist: float
    frequency: float
    coupling: float

    @property
    def product(self) -> float:
        """All six multiplied, unrounded."""
        hands = self.horizontal * self.vertical * self.travel * self.twist
        return hands * self.frequency * self.coupling

    @property
    def as_printed(self) -> Multipliers:
        """The factors to two decimals, as the manual's worksheets carry them; its results differ by up to 0.1.

        Only for checking against a printed worksheet: rounding before multiplying is not the equation.
        """
        return Multipliers(*[_two_decimals(getattr(self, f.name)) for f in fields(self)])


@dataclass(frozen=True)
class End:
    """Where the hands are at one end of a lift, and how far the body is twisted.

    `horizontal` counts from the middle between the ankles, `vertical` from the floor; `twist` in degrees.
    """

    horizontal: Quantity
    vertical: Quantity
    twist: float = 0


@dataclass(frozen=True)
class Lift:
    """A lift from an origin; `travel` is how far up or down the hands move."""

    origin: End
    travel: Quantity
    lifts_per_minute: float
    duration: Duration
    coupling: Coupling
    destination: End | None = None


def horizontal_multiplier(system: System, horizontal: Quantity) -> float:
    """Return HM = 10/H (25/H in cm); nearer than that counts as that, 0 beyond 25 in (63 cm).

    Source: 94-110 sec. 1.3 and Table 1, pp. 8-9.
    """
    must_be_positive("horizontal distance", horizontal)
    form = _FORMS[system]
    h = max(_in(horizontal, form.length), form.nearest)
    return 0.0 if h > form.farthest else form.nearest / h


def vertical_multiplier(system: System, vertical: Quantity) -> float:
    """Return VM = 1 - 0.0075 |V - 30| (1 - 0.003 |V - 75| in cm); 0 above 70 in (175 cm).

    Source: 94-110 sec. 1.3 and Table 2, p. 10.
    """
    must_not_be_negative("height of the hands", vertical)
    form = _FORMS[system]
    v = _in(vertical, form.length)
    return 0.0 if v > form.highest else 1 - form.per_height * abs(v - form.knuckle)


def travel_multiplier(system: System, travel: Quantity) -> float:
    """Return DM = 0.82 + 1.8/D (0.82 + 4.5/D in cm); less than 10 in (25 cm) counts as 1, 0 beyond 70 in (175 cm).

    Source: 94-110 sec. 1.3 and Table 3, p. 11.
    """
    must_not_be_negative("travel", travel)
    form = _FORMS[system]
    d = max(_in(travel, form.length), form.nearest)
    return 0.0 if d > form.longest_travel else 0.82 + form.travel_part / d


def twist_multiplier(degrees: float) -> float:
    """Return AM = 1 - 0.0032 A; 0 beyond 135°.

    Source: 94-110 sec. 1.3 and Table 4, p. 13.
    """
    if not 0 <= degrees <= 180:
        raise OutsideRange("twist", degrees, "0°", "180°")
    return 0.0 if degrees > _WIDEST_TWIST else 1 - 0.0032 * degrees


def frequency_multiplier(
    system: System, lifts_per_minute: float, duration: Duration, vertical_at_origin: Quantity
) -> float:
    """Return FM from the table, between two rows on the straight line; 0 where the table ends.

    A row of zero is an end, not a value: nothing is interpolated towards it. Below 0.2 lifts a minute counts
    as 0.2. The height is the one at the origin, for either end of the lift.

    Source: 94-110 Table 5, p. 15; interpolation p. 7.
    """
    if lifts_per_minute <= 0:
        raise NotPositive("number of lifts a minute", lifts_per_minute)
    must_not_be_negative("height of the hands", vertical_at_origin)
    column = 2 * list(Duration).index(duration) + _is_high(system, vertical_at_origin)
    rate = max(lifts_per_minute, _FREQUENCY[0][0])
    for (slow, above), (fast, below) in itertools.pairwise(_FREQUENCY):
        if rate == slow:
            return above[column]
        if rate < fast:
            if below[column] == 0:
                return 0.0
            share = (rate - slow) / (fast - slow)
            return above[column] + share * (below[column] - above[column])
    last, row = _FREQUENCY[-1]
    return row[column] if rate == last else 0.0


def coupling_multiplier(system: System, coupling: Coupling, vertical: Quantity) -> float:
    """Return CM for a grip, with the height at the end of the lift that is looked at.

    Source: 94-110 Table 7, p. 18; Example 4 uses the height of the end being evaluated.
    """
    return _COUPLING[coupling][_is_high(system, vertical)]


def multipliers(system: System, lift: Lift, *, at_destination: bool = False) -> Multipliers:
    """Return the six factors at the origin of a lift, or at its destination.

    Source: 94-110 sec. 1.3, p. 7; the destination is looked at when the load has to be placed with care.
    """
    end = lift.destination if at_destination and lift.destination else lift.origin
    return Multipliers(
        horizontal=horizontal_multiplier(system, end.horizontal),
        vertical=vertical_multiplier(system, end.vertical),
        travel=travel_multiplier(system, lift.travel),
        twist=twist_multiplier(end.twist),
        frequency=frequency_multiplier(system, lift.lifts_per_minute, lift.duration, lift.origin.vertical),
        coupling=coupling_multiplier(system, lift.coupling, end.vertical),
    )


def recommended_weight(system: System, factors: Multipliers) -> Quantity:
    """Return the recommended weight limit RWL = LC x HM x VM x DM x AM x FM x CM, unrounded, in lb or kg.

    Raises:
        LiftRefused: a factor is zero, with the reason of each.

    Source: 94-110 sec. 1.3, p. 7; LC 51 lb or 23 kg.
    """
    form = _FORMS[system]
    reasons = {
        f"the hands are farther out than {form.farthest} {form.length}": factors.horizontal,
        f"the hands are higher than {form.highest} {form.length}": factors.vertical,
        f"the load travels more than {form.longest_travel} {form.length}": factors.travel,
        f"the body is twisted more than {_WIDEST_TWIST}°": factors.twist,
        "it is lifted too often for this length of work": factors.frequency,
    }
    found = [reason for reason, factor in reasons.items() if factor == 0]
    if found:
        raise LiftRefused(found)
    return Quantity.of(form.load_constant * factors.product, form.mass)


def lifting_index(load: Quantity, limit: Quantity) -> float:
    """Return LI = L / RWL: the load as a multiple of the recommended weight limit.

    Source: 94-110 sec. 1.2 (LI above 1.0 is a raised risk for some of the workforce; section from memory).
    """
    must_not_be_negative("load", load.must_be(Dimension.MASS))
    must_be_positive("recommended weight limit", limit.must_be(Dimension.MASS))
    return float(load.exact_si / limit.exact_si)


def estimated_horizontal(system: System, width: Quantity, vertical: Quantity) -> Quantity:
    """Return H where it cannot be measured: 8 + W/2, or 10 + W/2 with the hands below 10 in (in cm 20, 25).

    Args:
        system: US or metric.
        width: depth W of the load, away from the body.
        vertical: height of the hands.

    Source: 94-110 sec. 1.3.1.1, p. 8.
    """
    must_be_positive("width of the load", width)
    must_not_be_negative("height of the hands", vertical)
    form = _FORMS[system]
    high, low = (8, 10) if system is System.US else (20, 25)
    base = high if _in(vertical, form.length) >= form.nearest else low
    return Quantity.of(base + _in(width, form.length) / 2, form.length)


def average_rate(lifts_per_minute: float, minutes: float, window_minutes: float = 15) -> float:
    """Return the lifts a minute to use when lifting goes on for part of each 15-minute window only.

    Source: 94-110 sec. 1.3.5.5, p. 16 (10 a minute for 5 of 15 minutes; printed 3.4 for 50/15, which is 3.33).
    """
    if lifts_per_minute <= 0:
        raise NotPositive("number of lifts a minute", lifts_per_minute)
    if not 0 < minutes <= window_minutes:
        raise OutsideRange(
            "time of lifting in a window", minutes, "more than 0 min", f"{window_minutes:g} min"
        )
    return lifts_per_minute * minutes / window_minutes


def duration(work_minutes: Sequence[float], recovery_minutes: Sequence[float] = ()) -> Duration:
    """Return the class of duration of work sessions with light work or rest between them.

    Sessions count as one when the recovery between them is too short: less than the work before it up to 1 h,
    less than 0.3 of it up to 2 h. The longest such stretch decides.

    Args:
        work_minutes: sessions in order.
        recovery_minutes: the time between each and the next; one fewer.

    Raises:
        WorkTooLong: more than 8 h.

    Source: 94-110 sec. 1.3.5.2, p. 14 (rev. 2021: recovery at least 1.0 x work; the 1994 print said 1.2).
    """
    if not work_minutes or len(recovery_minutes) != len(work_minutes) - 1:
        raise OutsideRange("number of recoveries", len(recovery_minutes), "the sessions", "less one")
    if min(work_minutes) <= 0:
        raise NotPositive("time of lifting", min(work_minutes))
    if recovery_minutes and min(recovery_minutes) < 0:
        raise Negative("recovery", min(recovery_minutes))
    if sum(work_minutes) > 480:
        raise WorkTooLong(sum(work_minutes))
    stretch = longest = work_minutes[0]
    for rest, work in zip(recovery_minutes, work_minutes[1:], strict=True):
        stretch = work if _recovered(stretch, rest) else stretch + work
        longest = max(longest, stretch)
    return Duration.SHORT if longest <= 60 else Duration.MODERATE if longest <= 120 else Duration.LONG


def _recovered(stretch: float, rest: float) -> bool:
    return rest >= stretch if stretch <= 60 else stretch <= 120 and rest >= 0.3 * stretch


def _two_decimals(factor: float) -> float:
    # 0.925 is a hair below itself as a float; nine decimals first, so that halves go up as in the tables.
    return float(Decimal(f"{factor:.9f}").quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def _is_high(system: System, vertical: Quantity) -> bool:
    form = _FORMS[system]
    return _in(vertical, form.length) >= form.knuckle


def _in(length: Quantity, unit: str) -> float:
    return float(length.to(unit).value)
