"""Torque: published worked examples, limits and refusals."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.trade import torque
from trainer.trade.refusals import Negative, NotPositive, OutsideRange
from trainer.trade.units import DimensionsDiffer, Quantity

q = Quantity.parse

SHIGLEY = "Budynas & Nisbett, Shigley's Mechanical Engineering Design, 9th ed., p. 439"
PCC1K = (
    "ASME PCC-1 Appendix K form T = K D F / 12; table computed in a public research note "
    "(Flange bolt-up, Oct. 8, 2026), 50 ksi on root area (secondary)"
)
FHWA = (
    "FHWA Bridges & Structures, High Strength Bolts, Appendix A1 (A490 rotational capacity, long bolts), step 5: "
    "torque shall not exceed 0.25 P D; P chosen here, not read from the table"
)

# id, diameter, root area in², K, expected lbf·ft
PCC1_TABLE = [
    ("pcc1k-1_2-k020", "1/2 in", "0.126", 0.20, 52),
    ("pcc1k-5_8-k016", "5/8 in", "0.202", 0.16, 84),
    ("pcc1k-5_8-k020", "5/8 in", "0.202", 0.20, 105),
    ("pcc1k-3_4-k016", "3/4 in", "0.302", 0.16, 151),
    ("pcc1k-7_8-k016", "7/8 in", "0.419", 0.16, 244),
    ("pcc1k-7_8-k020", "7/8 in", "0.419", 0.20, 305),
    ("pcc1k-1-k016", "1 in", "0.551", 0.16, 367),
    ("pcc1k-1-k020", "1 in", "0.551", 0.20, 459),
    ("pcc1k-1-1_2-k020", "1-1/2 in", "1.405", 0.20, 1756),
]

# id, torque wanted, L, E, angle, expected setting, tolerance, source
ADAPTERS = [
    (
        "adapter-tm1-1500",
        *("300 lbf·in", "10 in", "4 in", 0, 214, 0.5),
        "US Army TM 1-1500-204-23-9, para (a) with figure 8-16",
    ),
    (
        "adapter-navedtra-14315",
        *("100 lbf·in", "12 in", "6 in", 0, 66.7, 0.05),
        "US Navy NAVEDTRA 14315, figures 3-44 and 3-45 (also older edition, chapter 3)",
    ),
    (
        "adapter-tm9-2350",
        *("40 lbf·ft", "12 in", "4 in", 0, 30, 0.001),
        "US Army TM 9-2350-277-40&P p. 44, and TM 9-2350-261-34 p. 116, adapters and conversion formula",
    ),
    (
        "adapter-t50-16-2",
        *("50 lbf·ft", "16 in", "2 in", 0, 44.44, 0.005),
        "A torque wrench user manual, extensions example, p. 7",
    ),
    (
        "adapter-t20-14-3",
        *("20 lbf·ft", "14 in", "3 in", 0, 16.5, 0.05),
        "A motorcycle workshop manual, torque adapters, fig. 21 example",
    ),
    (
        "adapter-rotor-shorten",
        *("135 lbf·in", "10 in", "1.5 in", 180, 158.82, 0.005),
        "A rotorcraft maintenance manual, ch. 20, fig. 20-2, p. 20.4; rule also NAVEDTRA 14008 (subtract when "
        "pointed back) and TM 1-1500-204-23-9 para (b)",
    ),
    (
        "adapter-angle60",
        *("100 lbf·in", "12 in", "6 in", 60, 80, 1e-9),
        "US Army TM 9-254, figure 4-6: effective length from I_T and I_A cos a, T_T = T_A x I_T / L",
    ),
    (
        "adapter-angle180",
        *("135 lbf·in", "10 in", "1.5 in", 180, 158.82, 0.005),
        "TM 9-254 cosine rule at 180° equals the published shortening example",
    ),
]


@pytest.mark.parametrize(
    ("diameter", "area", "k", "expected"), [row[1:] for row in PCC1_TABLE], ids=[row[0] for row in PCC1_TABLE]
)
def test_torque_table_at_50_ksi_on_the_root_area(diameter: str, area: str, k: float, expected: int) -> None:
    # Source: PCC1K above; tolerance 0.6 lbf·ft because the table is printed in whole numbers.
    force = torque.preload(q("50 ksi"), q(f"{area} in²"))
    wanted = torque.torque_from_preload(k, q(diameter), force, "lbf·ft")
    assert float(wanted.value) == pytest.approx(expected, abs=0.6)


def test_torque_from_preload_and_back() -> None:
    # id "shigley-8-3b-torque"; source: SHIGLEY, Example 8-3(b); printed answer from memory, it recomputes.
    wanted = torque.torque_from_preload(0.2, q("0.75 in"), q("25000 lbf"), "lbf·in")
    assert wanted == q("3750 lbf·in")
    assert torque.preload_from_torque(wanted, 0.2, q("0.75 in"), "lbf") == q("25000 lbf")


def test_preload_from_proof_load() -> None:
    # id "kdf-3_8-16-g5-preload"; source: 'What does the nut factor K really encompass?', an engineering
    # company's page, Nov. 15, 2020: Grade 5, 3/8-16 UNC, 0.75 of 85 000 psi on 0.0775 in².
    force = torque.preload(q("85 ksi"), q("0.0775 in²"), 0.75, "lbf")
    assert float(force.value) == pytest.approx(4940, abs=1)


def test_stress_under_an_outside_load() -> None:
    # ids "shigley-8-3-C" and "shigley-8-3a-service"; source: SHIGLEY, Example 8-3(a).
    share = torque.stiffness_share(q("6.5 N/mm"), q("13.8 N/mm"))
    assert share == pytest.approx(0.32, abs=0.0005)
    stress = torque.bolt_stress(0.32, q("6000 lbf"), q("25000 lbf"), q("0.373 in²"))
    assert float(stress.to("ksi").value) == pytest.approx(72.17, abs=0.01)


def test_scatter_of_preload_at_one_torque() -> None:
    # id "shigley-t8-14-mean"; source: SHIGLEY, Table 8-14 (lubricated, 90 N·m).
    readings = [30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5]
    found = torque.scatter([Quantity.of(kn, "kN") for kn in readings])
    assert float(found.mean.value) == pytest.approx(34.18, abs=0.005)
    # Sample standard deviation of the same ten readings, recomputed by hand: 2.88 kN.
    assert float(found.deviation.value) == pytest.approx(2.88, abs=0.005)
    with pytest.raises(torque.ScatterUnknown):
        torque.scatter([q("30 kN")])


def test_nut_factors_as_printed() -> None:
    # Source: SHIGLEY, Table 8-15.
    assert torque.NUT_FACTORS == {
        "nonplated, black finish": 0.3,
        "zinc-plated": 0.2,
        "lubricated": 0.18,
        "cadmium-plated": 0.16,
        "with anti-seize": 0.12,
        "with special lubricated nuts": 0.09,
    }


@pytest.mark.parametrize(
    ("preload", "diameter", "expected"),
    [
        pytest.param("28000 lbf", "3/4 in", 437.5, id="fhwa-025pd-3_4"),
        pytest.param("51000 lbf", "1 in", 1062.5, id="fhwa-025pd-1"),
    ],
)
def test_torque_limit_of_structural_bolts(preload: str, diameter: str, expected: float) -> None:
    # Source: FHWA above.
    assert float(torque.torque_limit(q(preload), q(diameter)).value) == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize(
    ("target", "wrench", "offset", "angle", "expected", "tolerance"),
    [row[1:7] for row in ADAPTERS],
    ids=[row[0] for row in ADAPTERS],
)
def test_wrench_setting(
    target: str, wrench: str, offset: str, angle: float, expected: float, tolerance: float
) -> None:
    setting = torque.wrench_setting(q(target), q(wrench), q(offset), angle)
    assert float(setting.value) == pytest.approx(expected, abs=tolerance)
    assert setting.unit == q(target).unit


def test_applied_torque_from_a_setting() -> None:
    # id "adapter-tm9-254-applied"; source: US Army TM 9-254, figure 4-5 example.
    assert torque.applied_torque(q("60 lbf·in"), q("12 in"), q("2 in")) == q("70 lbf·in")


def test_an_adapter_square_to_the_wrench_changes_nothing() -> None:
    # Source: NAVEDTRA 14008 (no change at 90°).
    assert torque.wrench_setting(q("60 N·m"), q("400 mm"), q("60 mm"), 90) == q("60 N·m")


@given(
    length=st.integers(100, 1500),
    offset=st.integers(0, 99),
    angle=st.integers(0, 180),
    target=st.integers(1, 2000),
)
def test_setting_and_applied_torque_are_each_others_way_back(
    length: int, offset: int, angle: int, target: int
) -> None:
    wrench, adapter = Quantity.of(length, "mm"), Quantity.of(offset, "mm")
    setting = torque.wrench_setting(Quantity.of(target, "N·m"), wrench, adapter, angle)
    back = torque.applied_torque(setting, wrench, adapter, angle)
    assert float(back.value) == pytest.approx(target, rel=1e-20)


def test_effective_length() -> None:
    # Source: US Army TM 9-254, figure 4-6; 12 in + 6 in x cos 60° is 15 in, cos 45° gives 16.243 in.
    assert torque.effective_length(q("12 in"), q("6 in"), 60) == q("15 in")
    assert torque.effective_length(q("12 in"), q("6 in"), 45).printed(5) == "16.243\u202fin"


def test_the_unit_of_lever_lengths_does_not_matter() -> None:
    inch = torque.wrench_setting(q("60 N·m"), q("16 in"), q("2 in"))
    assert float(torque.wrench_setting(q("60 N·m"), q("406.4 mm"), q("50.8 mm")).value) == float(inch.value)


def test_drag_goes_on_both_ends_of_the_range() -> None:
    # id "drag-torque-range"; source: FAA AC 43.13-1B (9/8/98) para 7-40 d and Table 7-1 (3/8-24: 160-190); drag
    # 9.5 lbf·in from the friction torque table of TM 55-1520-240-23-1.
    ends = torque.with_drag(q("160 lbf·in"), q("190 lbf·in"), q("9.5 lbf·in"))
    assert ends == (q("169.5 lbf·in"), q("199.5 lbf·in"))


def test_pass_targets() -> None:
    assert torque.pass_target(q("95 N·m"), 30) == q("28.5 N·m")
    assert [str(torque.pass_target(q("60 N·m"), share)) for share in (30, 60, 100)] == [
        "18 N·m",
        "36 N·m",
        "60 N·m",
    ]


@pytest.mark.parametrize(
    ("target", "expected"),
    [pytest.param("80 lbf·ft", "16 lbf·ft", id="passes-snug-tn38"), ("300 lbf·ft", "20 lbf·ft")],
)
def test_snug_pass(target: str, expected: str) -> None:
    # Source: PPI TN-38 (2011) as quoted in a public installation guide: 10-20 ft-lb, not over 20 % of target.
    assert torque.snug_limit(q(target)) == q(expected)


def test_what_cannot_be_is_refused_in_one_sentence() -> None:
    with pytest.raises(OutsideRange, match=r"^The nut factor K must lie between .*; 20 was given\.$"):
        torque.torque_from_preload(20, q("12 mm"), q("30 kN"))
    with pytest.raises(NotPositive, match="diameter"):
        torque.torque_from_preload(0.2, q("0 mm"), q("30 kN"))
    with pytest.raises(Negative, match="preload"):
        torque.torque_from_preload(0.2, q("12 mm"), q("-30 kN"))
    with pytest.raises(DimensionsDiffer):
        torque.torque_from_preload(0.2, q("12 mm"), q("30 kg"))
    with pytest.raises(OutsideRange, match="share of the proof load"):
        torque.preload(q("600 N/mm²"), q("84.3 mm²"), 1.5)
    with pytest.raises(OutsideRange, match="stiffness share"):
        torque.bolt_stress(1.2, q("1 kN"), q("1 kN"), q("84.3 mm²"))
    with pytest.raises(torque.WrenchTooShort, match="leaves no lever"):
        torque.wrench_setting(q("60 N·m"), q("100 mm"), q("100 mm"), 180)
    with pytest.raises(OutsideRange, match="adapter angle"):
        torque.wrench_setting(q("60 N·m"), q("100 mm"), q("10 mm"), 270)
    with pytest.raises(DimensionsDiffer):
        torque.wrench_setting(q("60 N"), q("100 mm"), q("10 mm"))
    with pytest.raises(OutsideRange, match="upper end of the range"):
        torque.with_drag(q("60 N·m"), q("50 N·m"), q("1 N·m"))
    with pytest.raises(OutsideRange, match="share of a pass"):
        torque.pass_target(q("60 N·m"), 130)
    with pytest.raises(OutsideRange, match="share of a pass"):
        torque.pass_target(q("60 N·m"), Fraction(0))
