"""One cause, one finding: what follows from a mistake is not told a second time."""

from __future__ import annotations

import pytest

from tests.checker.samples import SHARED
from tests.modules import SMALL_VALVE
from trainer.checker.check import check_text
from trainer.procedure.findings import Signal

STEPS = [line for line in SMALL_VALVE.splitlines() if "- {id:" in line]


def errors(text: str) -> list[str]:
    _, findings = check_text(text, "valve.yaml", SHARED)
    return [finding.code for finding in findings if finding.signal is Signal.ERROR]


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.split(",")[0].split(" ")[-1])
def test_a_step_left_out_is_one_error_at_most_for_each_thing_that_it_does(step: str) -> None:
    found = errors(
        SMALL_VALVE.replace(step + "\n", "").replace("after: fill, because: The run", "note: The run")
    )
    assert len(found) <= step.count("renew:") + step.count("install:") + 1


@pytest.mark.parametrize(
    ("mistake", "code"),
    [
        (("install: bonnet}", "note: Forgotten}"), "removed-never-installed"),
        (("tighten: bonnet_studs", "note: Forgotten"), "undone-never-tightened"),
        (("renew: seat_gasket, ", ""), "disturbed-never-renewed"),
        (("tighten: bonnet_studs", "tighten: bonnet_stud"), "unknown-name"),
        (("prove: body_vented", "prove: body_vent"), "unknown-name"),
        (("guide_cage: {rests_on: [seat_ring]}", "guide_cage: {rests_on: [bonnet]}"), "rests-on-itself"),
        (("remove: piston}", "remove: piston, install: piston}"), "undoes-itself"),
        (("remove: piston}", "remove: [piston, spring_cap]}"), "two-makers"),
        (("torque: 22 N·m", "torque: 22"), "unit"),
        (("DN 80: 95 N·m", "DN 8O: 95 N·m"), "value-for-unknown-size"),
        (("remove: return_spring}", "note: Forgotten}"), "nobody-makes"),
        (("needs: run_shut, prove: body_vented", "prove: body_vented, after: fill, because: So"), "cycle"),
    ],
)
def test_a_mistake_is_told_under_its_own_code_alone(mistake: tuple[str, str], code: str) -> None:
    assert mistake[0] in SMALL_VALVE
    assert set(errors(SMALL_VALVE.replace(*mistake))) == {code}


def test_two_circles_that_have_nothing_to_do_with_each_other_are_both_told() -> None:
    text = """\
module: two-circles
title: Two circles
covered_task: T-31
sizes: DN 50
facts: {a: A is so, b: B is so, c: C is so, d: D is so}
parts: {body: {fixed: true}}
steps:
  - {id: one, do: Do one, needs: a, makes: b}
  - {id: two, do: Do two, needs: b, makes: a}
  - {id: three, do: Do three, needs: c, makes: d}
  - {id: four, do: Do four, needs: d, makes: c}
"""
    assert errors(text) == ["cycle", "cycle"]
