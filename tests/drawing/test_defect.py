"""Parts as found: every form and damage over many seeds; what is seen is told, what it is called is not."""

from __future__ import annotations

import math
import re
from functools import cache
from itertools import combinations

import pytest

from tests.drawing.shipped import numbers, root, valve
from trainer.drawing.defects import FORMS
from trainer.drawing.views import defect
from trainer.procedure import library
from trainer.procedure.damage import DAMAGES, MARKS, SOUND, SeenAs, as_found

LIMIT = 40 * 1024
SEEDS = range(6)
CASES = [(form, name) for form in SeenAs for name in ("", *(d.id for d in DAMAGES[form]))]
each_case = pytest.mark.parametrize(("form", "damage"), CASES, ids=["-".join(case) for case in CASES])


@cache
def found(form: str, damage: str, seed: int, width: int = 420) -> str:
    return defect.draw(valve(), None, width, form=form, damage=damage, seed=str(seed), prefix="q7")


def test_every_form_can_be_painted() -> None:
    assert set(FORMS) == set(SeenAs) == set(DAMAGES) == set(SOUND) == set(MARKS)


@each_case
def test_it_parses_is_small_and_holds_plain_numbers(form: str, damage: str) -> None:
    for seed in SEEDS:
        for width in (300, 420):
            svg = found(form, damage, seed, width)
            assert len(svg.encode()) < LIMIT
            for item in root(svg).iter():
                for key in ("d", "cx", "cy", "r", "x", "y", "transform", "offset", "stop-opacity"):
                    written = item.get(key, "")
                    assert not re.search(r"nan|inf|j|\de", written), written
                    assert all(math.isfinite(value) for value in numbers(written))


@each_case
def test_no_style_no_pattern_no_other_host_and_no_id_without_its_prefix(form: str, damage: str) -> None:
    for seed in SEEDS:
        svg = found(form, damage, seed)
        assert "style" not in svg
        assert "<pattern" not in svg
        assert "http" not in svg.replace("http://www.w3.org/2000/svg", "")
        ids = re.findall(r'\bid="([^"]*)"', svg)
        assert len(ids) == len(set(ids))
        assert all(re.fullmatch(r"q7-[a-z0-9]+", name) for name in ids)
        assert set(re.findall(r"(?:url\(#|href=\"#)([^)\"]*)", svg)) <= set(ids)


@each_case
def test_filters_work_in_the_colours_of_the_screen(form: str, damage: str) -> None:
    filters = [item for item in root(found(form, damage, 1)).iter() if item.tag.endswith("filter")]
    assert filters
    assert {item.get("color-interpolation-filters") for item in filters} == {"sRGB"}


@each_case
def test_the_same_seed_is_the_same_bytes_and_no_two_seeds_look_alike(form: str, damage: str) -> None:
    again = defect.draw(valve(), None, 420, form=form, damage=damage, seed="2", prefix="q7")
    assert again == found(form, damage, 2)
    for one, other in combinations(SEEDS, 2):
        a, b = (
            numbers("".join(re.findall(r' d="([^"]*)"', found(form, damage, seed)))) for seed in (one, other)
        )
        assert sum(x == y for x, y in zip(a, b, strict=False)) < 0.5 * min(len(a), len(b))


def test_the_light_does_not_fall_the_same_way_on_every_seat() -> None:
    falls = {re.findall(r'azimuth="([^"]*)"', found("seat_ring", "", seed))[0] for seed in range(20)}
    assert len(falls) > 15


@each_case
def test_neither_title_nor_words_nor_anything_drawn_names_the_damage(form: str, damage: str) -> None:
    names = [one.name for one in DAMAGES[SeenAs(form)]] + [one.id for one in DAMAGES[SeenAs(form)]]
    for seed in SEEDS:
        svg = found(form, damage, seed)
        said = re.findall(r"<(?:title|desc)[^>]*>([^<]*)<", svg)
        assert len(said) == 2
        for name in names:
            bare = name.removeprefix("a ").removeprefix("an ").replace("_", " ")
            assert not re.search(rf"\b{bare}\b", " ".join(said)), (bare, said)
            assert f'"{name}"' not in svg
        assert said[1] == as_found(SeenAs(form), damage, str(seed)).words


def test_named_it_says_what_it_is_and_why() -> None:
    svg = defect.draw(valve(), None, 420, form="o_ring", damage="blister", seed="1", named=True)
    assert "<title" in svg
    assert "O ring, a blister" in svg
    assert "let down too fast" in svg


@each_case
def test_marks_lie_on_sound_and_damaged_ones_alike(form: str, damage: str) -> None:
    """No mark, and not the want of one, may tell sound from damaged."""
    seen = [as_found(SeenAs(form), damage, str(seed)).marks for seed in range(80)]
    assert {mark for marks in seen for mark in marks} == set(MARKS[SeenAs(form)])
    assert any(not marks for marks in seen)
    for seed in SEEDS:
        words = as_found(SeenAs(form), damage, str(seed)).words
        assert "{" not in words


def test_words_follow_the_particulars_of_the_picture() -> None:
    for seed in range(30):
        part = as_found(SeenAs.O_RING, "extruded", str(seed))
        assert ("inner" if part.side == 0 else "outer") in part.words
        swollen = as_found(SeenAs.O_RING, "blister", str(seed))
        assert ("zero", "one", "two", "three", "four", "five")[swollen.count] in swollen.words
        # A swelling each, and none of another count.
        assert found("o_ring", "blister", seed).count("<path") > swollen.count


def test_the_loupe_is_held_where_it_is_asked_for() -> None:
    def glass(angle: float) -> tuple[float, float]:
        svg = defect.draw(valve(), None, 420, form="gasket", damage="torn", seed="1", angle=angle)
        spot = next(item for item in root(svg).iter() if item.get("class") == "loupe")
        return float(spot.get("cx", "")), float(spot.get("cy", ""))

    right, left = glass(0), glass(180)
    assert right[0] > left[0] + 100
    assert right[1] == pytest.approx(left[1], abs=1)


def test_a_part_of_the_module_says_how_it_is_shown() -> None:
    svg = defect.draw(valve(), "DN 80", 300, part="seat_ring", damage="nick", seed="4")
    assert "Seat ring, as found" in svg
    with pytest.raises(defect.NoSuchForm, match="cover"):
        defect.draw(valve(), "DN 80", 300, part="cover")
    with pytest.raises(defect.NoSuchDamage, match="galled"):
        defect.draw(valve(), "DN 80", 300, part="seat_ring", damage="galled")
    with pytest.raises(defect.NoSuchForm, match="hat"):
        defect.draw(valve(), "DN 80", 300, form="hat")


def test_every_damage_says_what_is_seen_of_it_and_why() -> None:
    for form, damages in DAMAGES.items():
        assert len({one.id for one in damages}) == len(damages) >= 4
        for one in damages:
            assert one.why, (form, one.id)
            assert len(one.seen) >= 2


def test_a_procedure_reads_form_and_damages() -> None:
    module = library.read_module(
        "module: m\nparts: {r: {renew: on_condition, kit: R, seen_as: o_ring, damages: [nick]}}\n", "m.yaml"
    )
    assert module.parts["r"].seen_as is SeenAs.O_RING
    assert module.parts["r"].damages == ("nick",)
