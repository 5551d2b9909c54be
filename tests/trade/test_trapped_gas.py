"""Trapped gas: energy in both published forms, TNT, distance."""

from __future__ import annotations

import pytest

from trainer.trade import trapped_gas as gas
from trainer.trade.refusals import Negative, NotPositive, OutsideRange
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse

PCC2 = (
    "ASME PCC-2-2008 Article 5.1 (now 501) Mandatory Appendices II and III, as in a stored page extract and a "
    "committee draft; metric and US equations"
)
JOULE_PER_FOOT_POUND = 1.3558179483314004  # NIST SP 811 (2008), Appendix B.8


def test_energy_in_the_metric_form() -> None:
    # id "pcc2-e-si"; source: PCC2.
    energy = gas.trapped_energy(q("1101000 Pa(a)"), q("0.1 m³"), q("101000 Pa(a)"), unit="J")
    assert float(energy.value) == pytest.approx(136_250, abs=10)


def test_energy_in_the_us_form() -> None:
    # id "pcc2-e-us"; source: PCC2, E = 360 P V (1 - (Pa/P)^0.286) in ft-lb with Pa 14.7 psia.
    energy = gas.trapped_energy(q("114.7 psi(a)"), q("1 ft³"), q("14.7 psi(a)"))
    assert energy.si / JOULE_PER_FOOT_POUND == pytest.approx(18_347.2, abs=0.1)


def test_factors_in_front() -> None:
    # ids "pcc2-k14" and "pcc2-us-360"; source: PCC2.
    assert gas.energy_factor(1.4) == pytest.approx(2.5, abs=1e-9)
    assert 144 * gas.energy_factor(1.4) == pytest.approx(360, abs=1e-9)


def test_the_two_tnt_constants_differ() -> None:
    # id "pcc2-tnt-constants"; source: PCC2, II-3 and II-5: 4.4496 MJ/kg against 4.26692, 4.3 % apart.
    us = gas.TNT_FOOT_POUNDS_PER_POUND * JOULE_PER_FOOT_POUND / 0.45359237 / 1e6
    assert us == pytest.approx(4.4496, abs=0.001)
    assert us / (gas.TNT_JOULE_PER_KILOGRAM / 1e6) == pytest.approx(1.043, abs=0.0005)


@pytest.mark.parametrize(
    ("what", "megajoule_per_kilogram", "closest"),
    [
        ("ASME PCC-2-2008 II-3 (metric), 4 266 920 J/kg", 4.26692, 0.0),
        ("NIST SP 811 ton of TNT, 4.184 E+09 J per ton (1000 kg by value)", 4.184, 0.02),
        ("UC Berkeley EHS, 4.62 kJ per gram", 4.62, 0.085),
        (
            "a laboratory note, 1,551,000 ft-lb per pound",
            1_551_000 * JOULE_PER_FOOT_POUND / 0.45359237 / 1e6,
            0.09,
        ),
    ],
)
def test_other_printed_tnt_constants_lie_within_a_tenth(
    what: str, megajoule_per_kilogram: float, closest: float
) -> None:
    ours = gas.TNT_JOULE_PER_KILOGRAM / 1e6
    assert abs(megajoule_per_kilogram - ours) / ours <= closest, what


@pytest.mark.parametrize(
    ("energy", "expected"),
    [
        pytest.param("1e8 J", "30 m", id="pcc2-dist-1000"),
        pytest.param("2e8 J", "60 m", id="pcc2-dist-2000"),
        ("135500000 J", "30 m"),
        ("271000000 J", "60 m"),
    ],
)
def test_tabled_distance(energy: str, expected: str) -> None:
    # Source: PCC2, Appendix III (a): R 30 m up to 135 500 000 J, 60 m up to 271 000 000 J.
    assert gas.tabled_distance(q(energy)) == q(expected)


def test_above_the_table_only_the_scaled_distance_counts() -> None:
    assert gas.tabled_distance(q("271000001 J")) is None
    assert gas.safe_distance(q("300 MJ")) == gas.scaled_distance(gas.tnt_equivalent(q("300 MJ")))


def test_scaled_distance() -> None:
    # id "pcc2-dist-scaled"; source: PCC2: Rscaled 20 m/kg^(1/3) minimum, 1 kg of TNT.
    assert gas.scaled_distance(q("1 kg"), 20) == q("20 m")
    assert float(gas.scaled_distance(q("8 kg")).value) == pytest.approx(40)


def test_the_greater_distance_governs() -> None:
    # 1 MJ is 0.234 kg of TNT, 12.3 m scaled: the table's 30 m governs. 100 MJ is 23.4 kg, 57.2 m: scaling governs.
    assert gas.safe_distance(q("1 MJ")) == q("30 m")
    assert gas.safe_distance(q("100 MJ")).printed() == "57.2\u202fm"


def test_another_gas() -> None:
    # By the published equation with k = 1.3: 1/0.3 x 1.101e6 x 0.1 x (1 - (0.101/1.101)^(0.3/1.3)).
    energy = gas.trapped_energy(q("1101000 Pa(a)"), q("0.1 m³"), q("101000 Pa(a)"), k=1.3, unit="J")
    assert float(energy.value) == pytest.approx(367_000 * (1 - 0.0917348 ** (3 / 13)), rel=1e-5)


def test_vented_volume() -> None:
    # 2 m³ at 9 bar(a) into 1 bar(a): 16 m³ go out, 2 m³ stay.
    assert gas.vented_volume(q("9 bar(a)"), q("2 m³"), q("1 bar(a)")) == q("16 m³")


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(gas.NothingTrapped, match="no energy is trapped"):
        gas.trapped_energy(q("1 bar(a)"), q("1 m³"))
    with pytest.raises(gas.NothingTrapped):
        gas.vented_volume(q("1 bar(a)"), q("1 m³"))
    with pytest.raises(DimensionsDiffer):
        gas.trapped_energy(q("10 bar"), q("1 m³"))
    with pytest.raises(NotPositive, match="volume"):
        gas.trapped_energy(q("10 bar(a)"), q("0 m³"))
    with pytest.raises(NotPositive, match="pressure of the air"):
        gas.trapped_energy(q("10 bar(a)"), q("1 m³"), q("0 bar(a)"))
    with pytest.raises(OutsideRange, match="ratio of specific heats"):
        gas.energy_factor(1)
    with pytest.raises(Negative, match="energy"):
        gas.tabled_distance(q("-1 J"))
    with pytest.raises(NotPositive, match="scaled distance"):
        gas.scaled_distance(q("1 kg"), 0)
