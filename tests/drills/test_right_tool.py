"""Right tool: tools with what the wrong one does; lifts and slings worked out."""

from __future__ import annotations

import re
from math import radians, sin

import pytest

from trainer import drills
from trainer.drills import lift_choice
from trainer.drills.answer_forms import Choose, Row
from trainer.procedure import library
from trainer.procedure.model import Hazard

KIND = "right-tool"
VALVE = library.load("piston-valve-overhaul")


def _rows(size: str, begins: str) -> list[tuple[int, Row, str]]:
    """Return seed, row and right option of the rows in 120 seeds whose text begins so."""
    found = []
    for seed in range(120):
        form, key = drills.ask(VALVE, KIND, size, seed).form, drills.key(VALVE, KIND, size, seed)
        assert isinstance(form, Choose)
        assert isinstance(key, dict)
        found += [
            (seed, row, next(o.text for o in row.options if o.id == key[row.id]))
            for row in form.rows
            if row.text.startswith(begins)
        ]
    assert found
    return found


def _told(size: str, seed: int, row: Row, begins: str) -> tuple[str, Hazard | None, bool]:
    key = drills.key(VALVE, KIND, size, seed)
    assert isinstance(key, dict)
    option = next(option.id for option in row.options if option.text.startswith(begins))
    mark = drills.mark(VALVE, KIND, size, seed, {**key, row.id: option})
    remark = next(remark for remark in mark.remarks if remark.about == row.id)
    return remark.text, remark.signal, mark.critical


@pytest.mark.parametrize(("size", "right"), [("DN 50", "18 mm"), ("DN 80", "24 mm")])
def test_a_spanner_goes_by_the_size_on_the_bench(size: str, right: str) -> None:
    seed, row, said = _rows(size, "Slacken the cover nuts")[0]
    assert said == f"Ring spanner, {right}"
    other = next((o.text for o in row.options if o.text.startswith("Ring") and o.text != said), "")
    if other:
        text, _, critical = _told(size, seed, row, other)
        assert f"that is for {'DN 80' if size == 'DN 50' else 'DN 50'}" in text
        assert not critical


def test_the_right_one_that_looks_wrong_is_among_them() -> None:
    seed, row, said = _rows("DN 80", "Lift out the seat ring")[0]
    assert said == "Wooden or plastic pick"
    text, signal, _ = _told("DN 80", seed, row, "Screwdriver")
    assert "leaves a scratch across the land" in text
    assert signal is Hazard.NOTICE


# 23 kg × 25/60 × (1 − 0.003 × |130 − 75|) × 1 × (1 − 0.0032 × 45) × 1 × 1 = 6.85 kg: NIOSH 94-110 (rev. 9/2021),
# section 1.3, with H 60 cm, V 130 cm, D 25 cm, A 45°, up to one hour at 0.2 lifts a minute, fair coupling above 75 cm.
@pytest.mark.parametrize(
    ("size", "right"), [("DN 50", "One person"), ("DN 80", "Two people"), ("DN 100", "Two people")]
)
def test_who_lifts_the_cover_is_worked_out(size: str, right: str) -> None:
    assert float(lift_choice.limit(VALVE.parts["cover"], size).value) == pytest.approx(6.85, abs=0.005)
    for _, _, said in _rows(size, "Cover, "):
        assert said.startswith(right)


def test_the_body_of_the_larger_sizes_goes_on_the_hoist() -> None:
    assert {said for _, row, said in _rows("DN 100", "Body, ") if "Who" in row.text} == {"Hoist and slings"}


def test_the_sling_is_the_lightest_that_carries_its_leg() -> None:
    """Load of a leg = mass / legs / sin of the angle from the horizontal (load angle factors citing ANSI B30.9)."""
    for seed, row, said in _rows("DN 100", "Body, 43"):
        found = re.search(r"on 2 legs at (\d+)° from the (\w+)", row.text)
        if found is None:
            continue
        angle = float(found[1]) if found[2] == "horizontal" else 90 - float(found[1])
        leg = 43 / 2 / sin(radians(angle))
        ratings = [float(option.text.split()[0]) for option in row.options]
        assert float(said.split()[0]) == min(rating for rating in ratings if rating >= leg - 1e-9)
        for rating in ratings:
            text, signal, critical = _told("DN 100", seed, row, f"{rating:g} kg")
            assert critical is (rating < leg - 1e-9)
            assert (signal is Hazard.WARNING) is critical
            assert "ach leg carries" in text


def test_leaving_the_angle_out_is_named() -> None:
    for seed, row, _ in _rows("DN 100", "Body, 43"):
        if "at 30° from the horizontal" in row.text:  # 21.5 kg without the angle: 25 kg would seem to do
            text, _, critical = _told("DN 100", seed, row, "25 kg")
            assert text.startswith("That shares the load out and leaves the angle out. 25 kg is overloaded")
            assert critical
            return
    raise AssertionError("never asked")


def test_a_lift_is_drawn_with_what_is_given_and_not_with_what_is_asked() -> None:
    seen = set()
    for seed in range(40):
        form = drills.ask(VALVE, KIND, "DN 80", seed).form
        assert isinstance(form, Choose)
        for row in form.rows:
            if row.picture is None:
                assert "Who or what lifts" not in row.text
                assert "hangs on" not in row.text
                continue
            options = row.picture.keywords
            assert not options.get("load")
            seen.add("angle" in options)
            if "angle" in options:
                assert f"at {options['angle']}° from the {options['reference']}" in row.text
                assert f"on {options['legs']} legs" in row.text
    assert seen == {True, False}
