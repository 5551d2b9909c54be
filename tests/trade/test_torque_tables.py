"""The two torque tables by thread, every row."""

from __future__ import annotations

import pytest

from trainer.trade.torque_tables import ThreadNotInTable, least_drag, standard_torque
from trainer.trade.units import Quantity

# FAA AC 43.13-1B (9/8/98), Table 7-1, oil-free cadmium plated threads, inch-pounds: thread, recommended tension,
# recommended shear, maximum tension, maximum shear; the shear ranges of the last three fine rows are estimated there.
FINE = """
8-36 12-15 7-9 20 12
10-32 20-25 12-15 40 25
1/4-28 50-70 30-40 100 60
5/16-24 100-140 60-85 225 140
3/8-24 160-190 95-110 390 240
7/16-20 450-500 270-300 840 500
1/2-20 480-690 290-410 1100 660
9/16-18 800-1000 480-600 1600 960
5/8-18 1100-1300 600-780 2400 1400
3/4-16 2300-2500 1300-1500 5000 3000
7/8-14 2500-3000 1500-1800 7000 4200
1-14 3700-5500 2200-3300 10000 6000
1-1/8-12 5000-7000 3000-4200 15000 9000
1-1/4-12 9000-11000 5400-6600 25000 15000
"""
COARSE = """
8-32 12-15 7-9 20 12
10-24 20-25 12-15 35 21
1/4-20 40-50 25-30 75 45
5/16-18 80-90 48-55 160 100
3/8-16 160-185 95-100 275 170
7/16-14 235-255 140-155 475 280
1/2-13 400-480 240-290 880 520
9/16-12 500-700 300-420 1100 650
5/8-11 700-900 420-540 1500 900
3/4-10 1150-1600 700-950 2500 1500
7/8-9 2200-3000 1300-1800 4600 2700
"""
ROWS = [line.split() for line in (FINE + COARSE).splitlines() if line]

# US Army TM 55-1520-240-23-1 para 1-13, lbf·in.
LEAST_DRAG = {
    "8-32": 1.5,
    "10-32": 2.0,
    "1/4-28": 3.5,
    "5/16-24": 6.5,
    "3/8-24": 9.5,
    "7/16-20": 14.0,
    "1/2-20": 18.0,
    "9/16-18": 24.0,
    "5/8-18": 32.0,
    "3/4-16": 50.0,
    "7/8-14": 70.0,
    "1-12": 90.0,
    "1-1/8-12": 117.0,
    "1-1/4-12": 143.0,
}


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_standard_torques(row: list[str]) -> None:
    thread, tension, shear, most_tension, most_shear = row
    for shear_nut, wanted, most in ((False, tension, most_tension), (True, shear, most_shear)):
        found = standard_torque(thread, shear_nut=shear_nut)
        assert f"{found.low}-{found.high}" == wanted
        assert found.maximum == int(most)


def test_a_shear_nut_takes_six_tenths() -> None:
    # id "ac4313-max-ratio"; source: FAA AC 43.13-1B Table 7-1 (90,000 psi against 54,000 psi).
    ratio = standard_torque("1/4-28", shear_nut=True).maximum / standard_torque("1/4-28").maximum
    assert ratio == pytest.approx(0.6, abs=1e-9)


def test_least_drag() -> None:
    assert {thread: float(least_drag(thread).value) for thread in LEAST_DRAG} == LEAST_DRAG


def test_recommended_range_has_its_unit() -> None:
    assert standard_torque("3/8-24").recommended == (Quantity.of(160, "lbf·in"), Quantity.of(190, "lbf·in"))


def test_threads_outside_the_tables() -> None:
    with pytest.raises(ThreadNotInTable, match=r"^AC 43.13-1B Table 7-1 has no row for the thread 'M12'\.$"):
        standard_torque("M12")
    with pytest.raises(ThreadNotInTable, match="friction torque table"):
        least_drag("M12")
