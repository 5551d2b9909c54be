"""What happens when an energy gets free, with forces worked out by hand beside."""

from __future__ import annotations

import math

import pytest

from tests.modules import SMALL_VALVE
from tests.procedure.written import module_of
from trainer.procedure import library
from trainer.procedure.consequence import force, told
from trainer.procedure.shared_tables import SharedTables

THIN = "\N{NARROW NO-BREAK SPACE}"


def energy_told(lines: str, size: str | None = None) -> str:
    """The consequence of an energy with these keys, its spaces plain."""
    keys = "".join(f"\n    {line.strip()}" for line in lines.strip().splitlines())
    module = module_of(f"""
facts: {{safe: It is safe}}
energies:
  energy:
    signal: danger
    safe_when: safe
    otherwise: The cover lifts{keys}
parts: {{body: {{fixed: true}}}}
steps: [{{id: look, do: Look}}]
""")
    return told(module.energies["energy"], module, size).replace(THIN, " ")


def test_without_numbers_there_is_a_sentence() -> None:
    assert energy_told("") == "The cover lifts."


def test_a_gas_pushes_with_pressure_times_area() -> None:
    """8 bar on 108 mm: 0.8 N/mm² × π/4 × (108 mm)² = 0.8 × 9,160.9 = 7,328.7 N."""
    text = energy_told("pressure: 8 bar\nacts_on: 108 mm")
    assert text == "The cover lifts. At 8 bar the gas pushes with about 7.3 kN."


def test_a_spring_pushes_with_rate_times_compression() -> None:
    """4 N/mm × 40 mm = 160 N."""
    assert (
        energy_told("rate: 4 N/mm\ncompression: 40 mm")
        == "The cover lifts. The spring pushes with about 160 N."
    )


BY_SIZE = "pressure: 8 bar\nacts_on: {DN 50: 80 mm, DN 80: 108 mm}"


@pytest.mark.parametrize(("size", "amount"), [
    ("DN 50", "about 4 kN"),  # 0.8 × π/4 × 80² = 4,021.2 N
    ("DN 80", "about 7.3 kN"),  # 0.8 × π/4 × 108² = 7,328.7 N
    (None, "about 4 kN at DN 50 and 7.3 kN at DN 80"),
])  # fmt: skip
def test_a_force_is_told_for_the_size_or_for_the_range_of_sizes(size: str | None, amount: str) -> None:
    assert energy_told(BY_SIZE, size) == f"The cover lifts. At 8 bar the gas pushes with {amount}."


def test_pressures_that_differ_by_size_are_left_out() -> None:
    """16 bar on 80 mm: 1.6 × π/4 × 80² = 8,042.5 N; 8 bar on 80 mm: half of it."""
    text = energy_told("pressure: {DN 50: 16 bar, DN 80: 8 bar}\nacts_on: 80 mm")
    assert text == "The cover lifts. The gas pushes with about 4 kN at DN 80 and 8 kN at DN 50."


def test_sizes_without_values_are_passed_over() -> None:
    lines = "rate: 4 N/mm\ncompression: {DN 80: 40 mm}"
    assert energy_told(lines) == "The cover lifts. The spring pushes with about 160 N."
    assert energy_told(lines, "DN 50") == "The cover lifts."


@pytest.mark.parametrize("lines", [
    "pressure: 8 bar", "acts_on: 80 mm", "rate: 4 N/mm", "pressure: 8 bar\ncompression: 40 mm",
    "pressure: 8 bar\nacts_on: 0 mm",
])  # fmt: skip
def test_half_of_the_numbers_give_none(lines: str) -> None:
    assert energy_told(lines) == "The cover lifts."


def test_a_spring_with_a_gas_pressure_beside_it_stays_a_spring() -> None:
    lines = "pressure: 8 bar\nrate: 4 N/mm\ncompression: 40 mm"
    assert energy_told(lines) == "The cover lifts. The spring pushes with about 160 N."


@pytest.mark.parametrize(("rate", "amount"), [
    ("1 N/mm", "1 N"), ("9.94 N/mm", "9.9 N"), ("99.4 N/mm", "99 N"), ("994 N/mm", "990 N"), ("996 N/mm", "1 kN"),
    ("4021 N/mm", "4 kN"), ("7329 N/mm", "7.3 kN"), ("99400 N/mm", "99 kN"), ("99600 N/mm", "100 kN"),
    ("113097 N/mm", "110 kN"), ("1206000 N/mm", "1200 kN"),
])  # fmt: skip
def test_forces_have_two_figures_and_no_exponent(rate: str, amount: str) -> None:
    """Rate × 1 mm; 113,097 N is 16 bar on a bore of 300 mm."""
    assert energy_told(f"rate: {rate}\ncompression: 1 mm").endswith(f" about {amount}.")


def test_forces_that_print_alike_are_told_once() -> None:
    """4,021.2 N and 4,023.7 N."""
    text = energy_told("pressure: 8 bar\nacts_on: {DN 50: 80 mm, DN 80: 80.025 mm}")
    assert text == "The cover lifts. At 8 bar the gas pushes with about 4 kN."


def test_the_force_itself() -> None:
    module = library.read_module(SMALL_VALVE, "m.yaml", SharedTables())
    gas = module.energies["gas_pressure"]
    for size, diameter in (("DN 50", 0.080), ("DN 80", 0.108), ("DN 100", 0.140)):
        found = force(gas, size)
        assert found is not None
        assert found.si == pytest.approx(8e5 * math.pi / 4 * diameter**2, rel=1e-12)
    assert force(gas, "DN 65") is None
    assert force(module.energies["spring_force"], "DN 50") is None
