"""The lifting equation: every printed table row, the printed examples, and the lifts it refuses."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.trade import lifting
from trainer.trade.lifting import Coupling, Duration, End, Lift, LiftRefused, Multipliers, System
from trainer.trade.refusals import Negative, NotPositive, OutsideRange
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse
US, METRIC = System.US, System.METRIC

MANUAL = (
    "Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110 "
    "(1994; rev. 9/2021), public domain"
)

# Table 1, p. 8 and p. 9. Rows 22 and 23 in are rounded up against the formula there (.4545, .4348).
HM_IN = {
    10: 1.0,
    11: 0.91,
    12: 0.83,
    13: 0.77,
    14: 0.71,
    15: 0.67,
    16: 0.63,
    17: 0.59,
    18: 0.56,
    19: 0.53,
    20: 0.5,
    21: 0.48,
    22: 0.46,
    23: 0.44,
    24: 0.42,
    25: 0.4,
    26: 0.0,
}
HM_CM = {
    25: 1.0,
    28: 0.89,
    30: 0.83,
    32: 0.78,
    34: 0.74,
    36: 0.69,
    38: 0.66,
    40: 0.63,
    42: 0.6,
    44: 0.57,
    46: 0.54,
    48: 0.52,
    50: 0.5,
    52: 0.48,
    54: 0.46,
    56: 0.45,
    58: 0.43,
    60: 0.42,
    63: 0.4,
    64: 0.0,
}
# Table 2, p. 10.
VM_IN = {
    0: 0.78,
    5: 0.81,
    10: 0.85,
    15: 0.89,
    20: 0.93,
    25: 0.96,
    30: 1.0,
    35: 0.96,
    40: 0.93,
    45: 0.89,
    50: 0.85,
    55: 0.81,
    60: 0.78,
    65: 0.74,
    70: 0.7,
    71: 0.0,
}
VM_CM = {
    0: 0.78,
    10: 0.81,
    20: 0.84,
    30: 0.87,
    40: 0.9,
    50: 0.93,
    60: 0.96,
    70: 0.99,
    80: 0.99,
    90: 0.96,
    100: 0.93,
    110: 0.9,
    120: 0.87,
    130: 0.84,
    140: 0.81,
    150: 0.78,
    160: 0.75,
    170: 0.72,
    175: 0.7,
    176: 0.0,
}
# Table 3, p. 11. Row 130 cm is rounded up against the formula there (.8546).
DM_IN = {
    5: 1.0,
    10: 1.0,
    15: 0.94,
    20: 0.91,
    25: 0.89,
    30: 0.88,
    35: 0.87,
    40: 0.87,
    45: 0.86,
    50: 0.86,
    55: 0.85,
    60: 0.85,
    70: 0.85,
    71: 0.0,
}
DM_CM = {
    20: 1.0,
    25: 1.0,
    40: 0.93,
    55: 0.9,
    70: 0.88,
    85: 0.87,
    100: 0.87,
    115: 0.86,
    130: 0.86,
    145: 0.85,
    160: 0.85,
    175: 0.85,
    176: 0.0,
}
# Table 4, p. 13.
AM = {
    0: 1.0,
    15: 0.95,
    30: 0.9,
    45: 0.86,
    60: 0.81,
    75: 0.76,
    90: 0.71,
    105: 0.66,
    120: 0.62,
    135: 0.57,
    136: 0.0,
}

# Table 5, p. 15: lifts a minute; up to 1 h, 2 h, 8 h, each with V below and from 30 in (75 cm).
FM = """
0.2 1.0 1.0 0.95 0.95 0.85 0.85
0.5 0.97 0.97 0.92 0.92 0.81 0.81
1 0.94 0.94 0.88 0.88 0.75 0.75
2 0.91 0.91 0.84 0.84 0.65 0.65
3 0.88 0.88 0.79 0.79 0.55 0.55
4 0.84 0.84 0.72 0.72 0.45 0.45
5 0.8 0.8 0.6 0.6 0.35 0.35
6 0.75 0.75 0.5 0.5 0.27 0.27
7 0.7 0.7 0.42 0.42 0.22 0.22
8 0.6 0.6 0.35 0.35 0.18 0.18
9 0.52 0.52 0.3 0.3 0.0 0.15
10 0.45 0.45 0.26 0.26 0.0 0.13
11 0.41 0.41 0.0 0.23 0.0 0.0
12 0.37 0.37 0.0 0.21 0.0 0.0
13 0.0 0.34 0.0 0.0 0.0 0.0
14 0.0 0.31 0.0 0.0 0.0 0.0
15 0.0 0.28 0.0 0.0 0.0 0.0
15.1 0.0 0.0 0.0 0.0 0.0 0.0
"""
FM_ROWS = [[float(cell) for cell in line.split()] for line in FM.splitlines() if line]

# Where the printed tables differ from the formula by more than rounding: these three rows, no others (computed).
EXCEPTIONS = {("HM in", 22): 0.4545, ("HM in", 23): 0.4348, ("DM cm", 130): 0.8546}


def _formula(table: str, value: float) -> float:
    if table == "AM":
        return lifting.twist_multiplier(value)
    function = {
        "HM": lifting.horizontal_multiplier,
        "VM": lifting.vertical_multiplier,
        "DM": lifting.travel_multiplier,
    }[table[:2]]
    unit = table[3:]
    return function(US if unit == "in" else METRIC, Quantity.of(value, unit))


TABLES = {
    "HM in": HM_IN,
    "HM cm": HM_CM,
    "VM in": VM_IN,
    "VM cm": VM_CM,
    "DM in": DM_IN,
    "DM cm": DM_CM,
    "AM": AM,
}
TABLE_ROWS = [(table, value, printed) for table, rows in TABLES.items() for value, printed in rows.items()]


@pytest.mark.parametrize(("table", "value", "printed"), TABLE_ROWS)
def test_printed_multiplier_tables(table: str, value: int, printed: float) -> None:
    # Source: MANUAL, Tables 1-4.
    found = _formula(table, value)
    if (table, value) in EXCEPTIONS:
        assert found == pytest.approx(EXCEPTIONS[(table, value)], abs=5e-5)
        assert abs(found - printed) > 0.005
    else:
        assert found == pytest.approx(printed, abs=0.005 + 1e-9)


@pytest.mark.parametrize(
    ("table", "value", "expected", "tolerance"),
    [
        pytest.param("HM in", 18, 0.56, 0.005, id="niosh-hm-in-18"),
        pytest.param("HM in", 13, 0.77, 0.005, id="niosh-hm-in-13"),
        pytest.param("VM in", 20, 0.93, 0.0051, id="niosh-vm-in-20"),
        pytest.param("VM in", 70, 0.7, 1e-9, id="niosh-vm-in-70"),
        pytest.param("DM in", 40, 0.87, 0.0051, id="niosh-dm-in-40"),
        pytest.param("AM", 30, 0.9, 0.005, id="niosh-am-30"),
        pytest.param("AM", 135, 0.57, 0.005, id="niosh-am-135"),
        pytest.param("AM", 90, 0.71, 0.005, id="niosh-am-90"),
        pytest.param("HM cm", 50, 0.5, 1e-9, id="niosh-hm-cm-50"),
        pytest.param("VM cm", 0, 0.78, 0.0051, id="niosh-vm-cm-0"),
        pytest.param("VM cm", 140, 0.81, 0.0051, id="niosh-vm-cm-140"),
        pytest.param("DM cm", 55, 0.9, 0.005, id="niosh-dm-cm-55"),
        pytest.param("VM in", 71, 0.0, 1e-9, id="niosh-vm-over"),
        pytest.param("DM in", 5, 1.0, 1e-9, id="niosh-dm-under"),
        pytest.param("HM in", 23, 0.44, 0.006, id="niosh-hm-23-misprint"),
    ],
)
def test_multipliers_as_printed_to_two_digits(
    table: str, value: float, expected: float, tolerance: float
) -> None:
    # Source: MANUAL, Tables 1-4; the tables print two digits of the formulas.
    assert _formula(table, value) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("row", FM_ROWS, ids=lambda row: f"{row[0]} a minute")
def test_frequency_table(row: list[float]) -> None:
    # Source: MANUAL, Table 5, p. 15.
    for column, printed in enumerate(row[1:]):
        duration = list(Duration)[column // 2]
        us = "30 in" if column % 2 else "29.9 in"
        metric = "75 cm" if column % 2 else "74.9 cm"
        assert lifting.frequency_multiplier(US, row[0], duration, q(us)) == printed
        assert lifting.frequency_multiplier(METRIC, row[0], duration, q(metric)) == printed


def test_frequency_between_two_rows() -> None:
    # id "niosh-fm-2.4"; source: MANUAL, interpolation rule p. 7 and Example 7 (F 2.4 between rows 2 and 3, pp. 56-57).
    found = lifting.frequency_multiplier(US, 2.4, Duration.SHORT, q("30 in"))
    assert found == pytest.approx(0.898, abs=1e-9)


def test_frequency_below_the_first_row_counts_as_the_first_row() -> None:
    # Source: MANUAL, Table 5 rules.
    assert lifting.frequency_multiplier(US, 0.05, Duration.LONG, q("20 in")) == 0.85


def test_nothing_is_interpolated_towards_a_zero_row() -> None:
    assert lifting.frequency_multiplier(US, 8.5, Duration.LONG, q("20 in")) == 0
    assert lifting.frequency_multiplier(US, 8.5, Duration.LONG, q("30 in")) == pytest.approx(0.165)
    assert lifting.frequency_multiplier(US, 12.5, Duration.SHORT, q("20 in")) == 0


@pytest.mark.parametrize(
    ("coupling", "below", "above"),
    [(Coupling.GOOD, 1.0, 1.0), (Coupling.FAIR, 0.95, 1.0), (Coupling.POOR, 0.9, 0.9)],
)
def test_coupling_table(coupling: Coupling, below: float, above: float) -> None:
    # Source: MANUAL, Table 7, p. 18.
    assert lifting.coupling_multiplier(US, coupling, q("29 in")) == below
    assert lifting.coupling_multiplier(US, coupling, q("30 in")) == above
    assert lifting.coupling_multiplier(METRIC, coupling, q("74 cm")) == below
    assert lifting.coupling_multiplier(METRIC, coupling, q("75 cm")) == above


FIGURE_14 = f"{MANUAL}, Example 4, Package Inspection, figure 14, p. 46; rounded multipliers, as printed"
EXAMPLES_1_TO_3 = f"{MANUAL}, Examples 1-3 (pp. 33-43); from memory, they recompute"

# id, system, HM VM DM AM FM CM as printed, expected RWL, tolerance, source
PRINTED_PRODUCTS = [
    ("niosh-ex4-origin", US, (1.0, 0.94, 0.87, 1.0, 0.88, 0.95), 34.9, 0.05, FIGURE_14),
    ("niosh-ex4-dest", US, (0.5, 0.78, 0.87, 1.0, 0.88, 1.0), 15.2, 0.05, FIGURE_14),
    ("niosh-ex1-origin", US, (0.44, 0.89, 0.86, 1, 1, 0.95), 16.3, 0.06, EXAMPLES_1_TO_3),
    ("niosh-ex1-dest", US, (0.44, 0.75, 0.86, 1, 1, 1), 14.5, 0.06, EXAMPLES_1_TO_3),
    ("niosh-ex2-origin", US, (0.67, 0.98, 0.93, 1, 1, 0.9), 28.0, 0.06, EXAMPLES_1_TO_3),
    ("niosh-ex2-dest", US, (0.5, 0.85, 0.93, 1, 1, 0.9), 18.1, 0.06, EXAMPLES_1_TO_3),
    ("niosh-ex3-origin", US, (0.56, 0.89, 0.91, 0.86, 1, 0.95), 18.9, 0.06, EXAMPLES_1_TO_3),
    (
        "ccohs-vertical-handles",
        *(METRIC, (0.8, 1, 0.95, 1, 1, 1), 17.5, 0.051),
        "CCOHS OSH Answers, NIOSH lifting equation, page on vertical distance (doc confirmed current Oct 1, 2010); "
        "a product check only, its multipliers are coarser",
    ),
    (
        "metric form of example 4",
        *(METRIC, (1.0, 0.94, 0.87, 1.0, 0.88, 0.95), 15.7, 0.05),
        "metric form of Example 4, read in a worksheet",
    ),
    ("niosh-rwl-ideal-lb", US, (1, 1, 1, 1, 1, 1), 51, 0, f"{MANUAL}, sec. 1.3"),
    ("niosh-rwl-ideal-kg", METRIC, (1, 1, 1, 1, 1, 1), 23, 0, f"{MANUAL}, sec. 1.3"),
]


@pytest.mark.parametrize(
    ("system", "factors", "expected", "tolerance"),
    [row[1:5] for row in PRINTED_PRODUCTS],
    ids=[row[0] for row in PRINTED_PRODUCTS],
)
def test_recommended_weight_from_printed_multipliers(
    system: System, factors: tuple[float, ...], expected: float, tolerance: float
) -> None:
    limit = lifting.recommended_weight(system, Multipliers(*factors))
    assert float(limit.value) == pytest.approx(expected, abs=tolerance)
    assert limit.unit == ("lb" if system is US else "kg")


DISHES = Lift(
    origin=End(q("20 in"), q("44 in"), 30),
    destination=End(q("20 in"), q("7 in"), 30),
    travel=q("37 in"),
    lifts_per_minute=5,
    duration=Duration.SHORT,
    coupling=Coupling.GOOD,
)
EXAMPLE_5 = (
    "Example 5, Dish-Washing Machine Unloading, as in Waters & Putz-Anderson, Fundamentals and Assessment Tools for "
    "Occupational Ergonomics, sec. 46.7.2, fig. 46.10"
)


@pytest.mark.parametrize(
    ("at_destination", "expected", "index"),
    [
        # The index of each end: ids "niosh-ex5-li-origin" and "niosh-ex5-li-dest".
        pytest.param(False, 14.4, 1.4, id="niosh-ex5-origin"),
        pytest.param(True, 13.3, 1.5, id="niosh-ex5-dest"),
    ],
)
def test_a_whole_lift(at_destination: bool, expected: float, index: float) -> None:
    # Source: EXAMPLE_5, whose worksheet carries two decimals; at full precision it is 14.3 and 13.3.
    factors = lifting.multipliers(US, DISHES, at_destination=at_destination)
    assert factors.frequency == 0.8
    worksheet = lifting.recommended_weight(US, factors.as_printed)
    assert float(worksheet.value) == pytest.approx(expected, abs=0.05)
    limit = lifting.recommended_weight(US, factors)
    assert float(limit.value) == pytest.approx(expected, abs=0.1)
    assert lifting.lifting_index(q("20 lb"), limit) == pytest.approx(index, abs=0.05)
    assert lifting.lifting_index(q("20 lb"), Quantity.of(expected, "lb")) == pytest.approx(index, abs=0.05)


# Horizontal, vertical, travel in inches, twist, coupling, load lb, expected RWL, LI; source EXAMPLES_1_TO_3.
# At H 23 in the manual carries .44 where the formula gives .43, hence the wider tolerance there.
WHOLE_LIFTS = [
    (23, 15, 48, 0, Coupling.FAIR, 44, 16.3, 2.7, 0.4),
    (23, 63, 48, 0, Coupling.FAIR, 44, 14.5, 3.0, 0.4),
    (15, 27, 17, 0, Coupling.POOR, 35, 28.0, 1.3, 0.06),
    (20, 10, 17, 0, Coupling.POOR, 35, 18.1, 1.9, 0.06),
    (18, 15, 21, 45, Coupling.FAIR, 40, 18.9, 2.1, 0.06),
]


@pytest.mark.parametrize(
    ("h", "v", "d", "twist", "coupling", "load", "expected", "index", "tolerance"), WHOLE_LIFTS
)
def test_whole_lifts_from_memory(
    h: int,
    v: int,
    d: int,
    twist: int,
    coupling: Coupling,
    load: int,
    expected: float,
    index: float,
    tolerance: float,
) -> None:
    end = End(Quantity.of(h, "in"), Quantity.of(v, "in"), twist)
    lift = Lift(end, Quantity.of(d, "in"), 0.1, Duration.SHORT, coupling)
    limit = lifting.recommended_weight(US, lifting.multipliers(US, lift).as_printed)
    assert float(limit.value) == pytest.approx(expected, abs=tolerance)
    assert lifting.lifting_index(Quantity.of(load, "lb"), limit) == pytest.approx(index, abs=0.12)


def test_index_of_example_4() -> None:
    # id "niosh-ex4-li-dest"; source: FIGURE_14; from memory.
    assert lifting.lifting_index(q("26 lb"), q("15.2 lb")) == pytest.approx(1.7, abs=0.05)


def test_the_two_unit_systems_are_not_conversions_of_each_other() -> None:
    # id "niosh-units-mismatch"; source: MANUAL (LC 51 lb or 23 kg).
    pounds = lifting.recommended_weight(US, Multipliers(1, 1, 1, 1, 1, 1))
    kilograms = lifting.recommended_weight(METRIC, Multipliers(1, 1, 1, 1, 1, 1))
    assert float(pounds.to("kg").value) == pytest.approx(23.13, abs=0.005)
    assert kilograms == q("23 kg")


def test_special_frequency() -> None:
    # id "niosh-special-freq-2"; source: MANUAL, sec. 1.3.5.5, p. 16: printed 3.4, exact 50/15 = 3.33.
    assert lifting.average_rate(10, 5) == pytest.approx(3.4, abs=0.07)
    assert lifting.average_rate(10, 5) == pytest.approx(50 / 15)


@pytest.mark.parametrize(
    ("work", "recovery", "expected"),
    [
        # 30 + 45 min with 10 min between count as one stretch of 75 min.
        pytest.param([30, 45], [10], Duration.MODERATE, id="niosh-duration-75"),
        pytest.param([30, 45], [30], Duration.SHORT, id="niosh-duration-30rest"),
        ([60], [], Duration.SHORT),
        ([61], [], Duration.MODERATE),
        ([120], [], Duration.MODERATE),
        ([121], [], Duration.LONG),
        ([100, 60], [30], Duration.MODERATE),
        ([100, 60], [29], Duration.LONG),
        ([200, 30], [200], Duration.LONG),
    ],
)
def test_duration(work: list[float], recovery: list[float], expected: Duration) -> None:
    # Source: MANUAL, sec. 1.3.5.2, p. 14 (recovery at least 1.0 x work; the 1994 print said 1.2).
    assert lifting.duration(work, recovery) is expected


@pytest.mark.parametrize(
    ("system", "width", "vertical", "expected"),
    [
        (US, "16 in", "20 in", "16 in"),
        (US, "16 in", "9 in", "18 in"),
        (METRIC, "40 cm", "25 cm", "40 cm"),
        (METRIC, "40 cm", "24 cm", "45 cm"),
    ],
)
def test_horizontal_distance_estimated(system: System, width: str, vertical: str, expected: str) -> None:
    # Source: MANUAL, sec. 1.3.1.1, p. 8.
    assert lifting.estimated_horizontal(system, q(width), q(vertical)) == q(expected)


def test_metres_are_fine_for_the_us_form() -> None:
    assert lifting.horizontal_multiplier(US, q("0.508 m")) == lifting.horizontal_multiplier(US, q("20 in"))


def test_frequency_looks_at_the_origin_and_coupling_at_the_end_looked_at() -> None:
    # Source: MANUAL, Table 5 (V at the origin); Example 4 (fair coupling .95 at the origin, 1.0 at the destination).
    lift = Lift(
        End(q("10 in"), q("20 in")), q("39 in"), 9, Duration.LONG, Coupling.FAIR, End(q("10 in"), q("59 in"))
    )
    at_end = lifting.multipliers(US, lift, at_destination=True)
    assert (at_end.frequency, at_end.coupling) == (0.0, 1.0)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"horizontal": 0.0}, "the hands are farther out than 63 cm"),
        ({"vertical": 0.0}, "the hands are higher than 175 cm"),
        ({"travel": 0.0}, "the load travels more than 175 cm"),
        ({"twist": 0.0}, "the body is twisted more than 135°"),
        ({"frequency": 0.0}, "it is lifted too often for this length of work"),
    ],
)
def test_a_lift_outside_the_limits_is_refused_with_its_reason(change: dict[str, float], reason: str) -> None:
    ones = dict.fromkeys(["horizontal", "vertical", "travel", "twist", "frequency", "coupling"], 1.0)
    with pytest.raises(LiftRefused, match=r"^Nobody should lift this by hand: ") as caught:
        lifting.recommended_weight(METRIC, Multipliers(**(ones | change)))
    assert caught.value.reasons == (reason,)


@given(
    h=st.integers(1, 100),
    v=st.integers(0, 250),
    d=st.integers(0, 250),
    twist=st.integers(0, 180),
    rate=st.floats(0.01, 20),
)
def test_a_limit_is_never_over_the_load_constant_and_outside_means_refused(
    h: int, v: int, d: int, twist: int, rate: float
) -> None:
    lift = Lift(
        End(Quantity.of(h, "cm"), Quantity.of(v, "cm"), twist),
        Quantity.of(d, "cm"),
        rate,
        Duration.SHORT,
        Coupling.FAIR,
    )
    factors = lifting.multipliers(METRIC, lift)
    if h > 63 or v > 175 or d > 175 or twist > 135 or rate > 15:
        with pytest.raises(LiftRefused):
            lifting.recommended_weight(METRIC, factors)
    elif factors.frequency:
        assert 0 < lifting.recommended_weight(METRIC, factors).value <= 23


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(NotPositive, match="horizontal distance"):
        lifting.horizontal_multiplier(US, q("0 in"))
    with pytest.raises(Negative, match="height of the hands"):
        lifting.vertical_multiplier(US, q("-1 in"))
    with pytest.raises(OutsideRange, match="twist"):
        lifting.twist_multiplier(270)
    with pytest.raises(NotPositive, match="lifts a minute"):
        lifting.frequency_multiplier(US, 0, Duration.SHORT, q("30 in"))
    with pytest.raises(lifting.WorkTooLong, match=r"this is 8\.33 h"):
        lifting.duration([500])
    with pytest.raises(OutsideRange, match="number of recoveries"):
        lifting.duration([30, 30])
    with pytest.raises(OutsideRange, match="number of recoveries"):
        lifting.duration([])
    with pytest.raises(NotPositive, match="time of lifting"):
        lifting.duration([0])
    with pytest.raises(Negative, match="recovery"):
        lifting.duration([10, 10], [-1])
    with pytest.raises(OutsideRange, match="time of lifting in a window"):
        lifting.average_rate(10, 20)
    with pytest.raises(NotPositive, match="lifts a minute"):
        lifting.average_rate(0, 5)
    with pytest.raises(NotPositive, match="recommended weight limit"):
        lifting.lifting_index(q("10 kg"), q("0 kg"))
    with pytest.raises(DimensionsDiffer):
        lifting.lifting_index(q("10 N"), q("10 kg"))
