"""Published torque tables by thread: standard ranges, maxima, and the least drag of self-locking nuts."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.errors import TrainerError
from trainer.trade.units import Quantity


class ThreadNotInTable(TrainerError):
    """The table has no row for this thread."""

    def __init__(self, thread: str, table: str) -> None:
        super().__init__(f"{table} has no row for the thread '{thread}'.")


@dataclass(frozen=True)
class TorqueRow:
    """One row: recommended range and maximum, all in lbf·in, without drag."""

    low: int
    high: int
    maximum: int

    @property
    def recommended(self) -> tuple[Quantity, Quantity]:
        """Both ends of the recommended range."""
        return Quantity.of(self.low, "lbf·in"), Quantity.of(self.high, "lbf·in")


# Thread: recommended tension, recommended shear, maximum tension, maximum shear.
# Shear values of 1-14, 1-1/8-12 and 1-1/4-12 are marked as estimated in the source.
_AC_43_13 = """
8-36       12-15      7-9       20    12
10-32      20-25      12-15     40    25
1/4-28     50-70      30-40     100   60
5/16-24    100-140    60-85     225   140
3/8-24     160-190    95-110    390   240
7/16-20    450-500    270-300   840   500
1/2-20     480-690    290-410   1100  660
9/16-18    800-1000   480-600   1600  960
5/8-18     1100-1300  600-780   2400  1400
3/4-16     2300-2500  1300-1500 5000  3000
7/8-14     2500-3000  1500-1800 7000  4200
1-14       3700-5500  2200-3300 10000 6000
1-1/8-12   5000-7000  3000-4200 15000 9000
1-1/4-12   9000-11000 5400-6600 25000 15000
8-32       12-15      7-9       20    12
10-24      20-25      12-15     35    21
1/4-20     40-50      25-30     75    45
5/16-18    80-90      48-55     160   100
3/8-16     160-185    95-100    275   170
7/16-14    235-255    140-155   475   280
1/2-13     400-480    240-290   880   520
9/16-12    500-700    300-420   1100  650
5/8-11     700-900    420-540   1500  900
3/4-10     1150-1600  700-950   2500  1500
7/8-9      2200-3000  1300-1800 4600  2700
"""

_LEAST_DRAG = {
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


def _row(recommended: str, maximum: str) -> TorqueRow:
    low, high = recommended.split("-")
    return TorqueRow(int(low), int(high), int(maximum))


def _read(table: str) -> dict[str, tuple[TorqueRow, TorqueRow]]:
    rows = {}
    for line in table.split("\n"):
        if line:
            thread, tension, shear, most_tension, most_shear = line.split()
            rows[thread] = (
                _row(tension, most_tension),
                _row(shear, most_shear),
            )
    return rows


_ROWS = _read(_AC_43_13)


def standard_torque(thread: str, *, shear_nut: bool = False) -> TorqueRow:
    """Return recommended range and maximum for a thread such as `3/8-24`, oil-free cadmium-plated.

    Args:
        thread: size and threads per inch.
        shear_nut: the thin nut for bolts loaded in shear only.

    Raises:
        ThreadNotInTable: there is no such row.

    Source: FAA AC 43.13-1B (9/8/98), Table 7-1.
    """
    if thread not in _ROWS:
        raise ThreadNotInTable(thread, "AC 43.13-1B Table 7-1")
    return _ROWS[thread][1 if shear_nut else 0]


def least_drag(thread: str) -> Quantity:
    """Return the least drag, in lbf·in, at which a self-locking nut of this thread may still be used.

    Raises:
        ThreadNotInTable: there is no such row.

    Source: US Army TM 55-1520-240-23-1, para 1-13, friction torque table.
    """
    if thread not in _LEAST_DRAG:
        raise ThreadNotInTable(thread, "The friction torque table of TM 55-1520-240-23-1")
    return Quantity.of(_LEAST_DRAG[thread], "lbf·in")
