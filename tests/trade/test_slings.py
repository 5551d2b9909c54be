"""Sling legs: printed factors, and the reference of the angle."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.trade import slings
from trainer.trade.refusals import NotPositive, OutsideRange
from trainer.trade.slings import Reference, SlingTooFlat
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse
FLAT, UPRIGHT = Reference.HORIZONTAL, Reference.VERTICAL

TALK = "OSHA training toolbox talk, Material handling: how sling angles affect capacity (ref. 29 CFR 1910.184 / 1926.251)"


@pytest.mark.parametrize(
    ("angle", "load_factor", "capacity_factor"),
    [(90, 1.0, 1.0), (60, 1.155, 0.866), (50, 1.305, None), (45, 1.414, 0.707), (30, 2.0, 0.5)],
)
def test_printed_factors(angle: float, load_factor: float, capacity_factor: float | None) -> None:
    # Source: load angle factor table citing ANSI B30.9; capacity factors from TALK. 1.154 is in print too.
    found = slings.load_factor(angle, FLAT)
    assert found == pytest.approx(load_factor, abs=0.0006)
    if capacity_factor is not None:
        assert 1 / found == pytest.approx(capacity_factor, abs=0.0005)


@pytest.mark.parametrize(
    ("angle", "expected"),
    [
        pytest.param(60, 866, id="sling-capacity-60"),
        (45, 707),
        pytest.param(30, 500, id="sling-capacity-30"),
    ],
)
def test_capacity(angle: float, expected: float) -> None:
    # Source: TALK.
    found = slings.capacity(q("1000 lb"), angle, FLAT)
    assert float(found.value) == pytest.approx(expected, abs=0.6)


def test_leg_load_with_the_angle_read_at_the_hook() -> None:
    # id "sling-vertical-angle-60"; source: as TALK: 1000 lb on a leg at 60° from the vertical loads it with 2000 lb.
    found = slings.leg_load(q("1000 lb"), 1, 60, UPRIGHT)
    assert float(found.value) == pytest.approx(2000, abs=1e-6)


@given(st.integers(30, 90))
def test_the_two_references_are_complements(angle: int) -> None:
    assert slings.load_factor(angle, FLAT) == pytest.approx(slings.load_factor(90 - angle, UPRIGHT))


def test_two_legs_share_the_load() -> None:
    # Two legs at 60° from the horizontal under 200 kg: 100 kg each, times 1.155.
    assert slings.leg_load(q("200 kg"), 2, 60, FLAT).printed(4) == "115.5\u202fkg"
    assert slings.capacity(q("500 kg"), 60, FLAT, legs=2).printed(4) == "866\u202fkg"
    assert slings.leg_load(q("10 kN"), 2, 0, UPRIGHT) == q("5 kN")


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(SlingTooFlat, match=r"^At 29° from the horizontal the legs lie too flat"):
        slings.load_factor(29, FLAT)
    with pytest.raises(SlingTooFlat, match="At 29° from the horizontal"):
        slings.load_factor(61, UPRIGHT)
    with pytest.raises(OutsideRange, match="sling angle"):
        slings.load_factor(120, FLAT)
    with pytest.raises(NotPositive, match="carrying legs"):
        slings.leg_load(q("100 kg"), 0, 60, FLAT)
    with pytest.raises(NotPositive, match="carrying legs"):
        slings.capacity(q("100 kg"), 60, FLAT, legs=0)
    with pytest.raises(NotPositive, match="load"):
        slings.leg_load(q("0 kg"), 2, 60, FLAT)
    with pytest.raises(DimensionsDiffer):
        slings.capacity(q("100 N·m"), 60, FLAT)
