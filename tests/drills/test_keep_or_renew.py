"""Keep or renew: the fate and its reason; limits are those of the size on the bench."""

from __future__ import annotations

import re

import pytest

from trainer import drills
from trainer.drills.answer_forms import Choose, Row
from trainer.procedure import library
from trainer.procedure.model import Hazard

KIND = "keep-or-renew"
VALVE = library.load("piston-valve-overhaul")
# Invented limits of the shipped module.
SPRING = {"DN 50": 96.0, "DN 80": 158.0, "DN 100": 204.0}


def _rows(size: str, part: str) -> list[tuple[int, Row, str]]:
    """Return seed, row and right option of each question on a part in 150 seeds."""
    found = []
    for seed in range(150):
        form, key = drills.ask(VALVE, KIND, size, seed).form, drills.key(VALVE, KIND, size, seed)
        assert isinstance(form, Choose)
        assert isinstance(key, dict)
        found += [
            (seed, row, next(o.text for o in row.options if o.id == key[row.id]))
            for row in form.rows
            if row.text.startswith(f"{part}: ")
        ]
    assert found
    return found


@pytest.mark.parametrize("size", SPRING)
def test_a_spring_is_judged_by_the_limit_of_its_size(size: str) -> None:
    seen = set()
    for _, row, right in _rows(size, "Return spring"):
        length = re.search(r"free length ([0-9.]+)", row.text)
        if length:
            passes = float(length[1]) >= SPRING[size]
            assert right == (
                "Use again: this finding passes it" if passes else "Renew: this finding condemns it"
            )
            seen.add(passes)
    assert seen == {True, False}


def test_the_limits_of_all_sizes_are_given() -> None:
    given = drills.ask(VALVE, KIND, "DN 80", 1).given
    assert "at least 96\u202fmm at DN 50, 158\u202fmm at DN 80, 204\u202fmm at DN 100" in given
    assert "at most 0.3\u202fmm" in given


def test_a_ring_that_is_never_used_twice_goes_however_good_it_looks() -> None:
    for seed, row, right in _rows("DN 50", "Piston O-ring"):
        assert right == "Renew: never used twice"
        key = drills.key(VALVE, KIND, "DN 50", seed)
        assert isinstance(key, dict)
        again = next(option.id for option in row.options if option.text.startswith("Use again: this finding"))
        mark = drills.mark(VALVE, KIND, "DN 50", seed, {**key, row.id: again})
        told = next(remark for remark in mark.remarks if remark.about == row.id)
        assert told.signal is Hazard.CAUTION
        assert "The old one goes back in: the piston O-ring has taken a set" in told.text


def test_the_right_fate_for_the_wrong_reason_is_not_right_but_hurts_nobody() -> None:
    seed, row, _ = _rows("DN 50", "Piston O-ring")[0]
    key = drills.key(VALVE, KIND, "DN 50", seed)
    assert isinstance(key, dict)
    other = next(option.id for option in row.options if "condemns" in option.text)
    mark = drills.mark(VALVE, KIND, "DN 50", seed, {**key, row.id: other})
    assert (mark.right, mark.credit, mark.critical) == (False, 0.75, False)
    assert [remark.signal for remark in mark.remarks] == [None] * 4
