"""Reckon it: slips of the trade are recognised and named."""

from __future__ import annotations

import pytest

from trainer import drills
from trainer.drills.answer_forms import Number
from trainer.procedure import library
from trainer.procedure.shared_tables import SharedTables

# Invented. 8 bar on 92 mm is 800 000 Pa × π/4 × 0.092² = 5318 N; the factors are those of NIST SP 811, B.8.
PUSH = """\
module: push
title: Reckon with an invented cover
document: T-1
covered_task: T-31
sizes: [DN 50, DN 80]
parts: {body: {fixed: true}}
figures:
  push:
    ask: "Gas at {pressure} on {diameter}. How hard does it push?"
    by: gas-force
    given: {pressure: [8 bar, 4 bar], diameter: {DN 50: 92 mm, DN 80: 122 mm}}
    units: [kN, N, lbf]
    within: 3
steps: [{id: look, do: Look}]
"""
MODULE = library.read_module(PUSH, "push.yaml", SharedTables())
SEED = next(
    seed
    for seed in range(50)
    if isinstance(form := drills.ask(MODULE, "reckon-it", "DN 50", seed).form, Number)
    and form.fields[0].text.startswith("Gas at 8\u202fbar on 92\u202fmm.")
)


@pytest.mark.parametrize(("value", "unit"), [("5.318", "kN"), ("5300", "N"), ("1196", "lbf")])
def test_the_right_figure_may_be_given_in_any_unit_offered(value: str, unit: str) -> None:
    mark = drills.mark(MODULE, "reckon-it", "DN 50", SEED, {"a": {"value": value, "unit": unit}})
    assert mark.right
    assert mark.remarks[0].text == "5.32\u202fkN: F = p × π/4 d²."


@pytest.mark.parametrize(
    ("value", "unit", "told"),
    [
        ("5318", "kN", "that is the figure in N"),
        ("1.196", "kN", "that is the figure in lbf"),
        ("9.35", "kN", "that is the figure for DN 80"),  # 800 000 × π/4 × 0.122²
        ("2.66", "kN", "that is the figure for 4\u202fbar"),
        ("21.3", "kN", "that takes the diameter for the radius"),
        ("1.33", "kN", "that takes the radius for the diameter"),
        ("5.99", "kN", "that adds the pressure of the air"),  # 901 325 × π/4 × 0.092²
        ("53.2", "kN", "the point stands one place off"),
        ("7", "kN", "too much"),
    ],
)
def test_slips_are_named(value: str, unit: str, told: str) -> None:
    if told == "that is the figure in lbf":
        value = "1196"
    mark = drills.mark(MODULE, "reckon-it", "DN 50", SEED, {"a": {"value": value, "unit": unit}})
    assert (mark.right, mark.critical, mark.credit) == (False, False, 0)
    assert told in mark.remarks[0].text
    assert mark.remarks[0].text.endswith("5.32\u202fkN: F = p × π/4 d².")


def test_a_figure_at_the_edge_of_its_tolerance_is_right() -> None:
    for value, right in (("5.46", True), ("5.50", False), ("5.17", True), ("5.14", False)):
        mark = drills.mark(MODULE, "reckon-it", "DN 50", SEED, {"a": {"value": value, "unit": "kN"}})
        assert mark.right is right, value
