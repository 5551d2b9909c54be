"""The moment when a wrong step goes wrong: what is thrown, what holds the gas, and nothing when all is safe."""

from __future__ import annotations

import pytest

from tests.drawing.shipped import numbers, parts, root, valve
from trainer.drawing import VIEWS
from trainer.drawing.curves import rounded
from trainer.drawing.regions import inside
from trainer.drawing.scene import scene
from trainer.drawing.views.incident import incident, shown

VALVE = valve()
STEPS = list(VALVE.steps)


def before(step: str) -> list[str]:
    return STEPS[: STEPS.index(step)]


def dots(svg: str) -> list[tuple[float, float]]:
    gas = [item.get("d", "") for item in root(svg).iter() if item.get("class") == "gas"]
    return [(pair[0], pair[1]) for data in gas for piece in data.split("M")[1:] if (pair := numbers(piece))]


def test_undone_nuts_throw_the_cover_with_all_that_sits_on_it() -> None:
    machine = scene(VALVE, "DN 80")
    found = incident(machine, "nuts_off", ())
    assert found is not None
    assert found.energy.id == "gas_in_body"
    assert found.thrown[0] == "cover"
    assert set(found.thrown) == {
        "cover", "sight_cap", "gland_oring", "gland_nut", "vent_plug", "tube_nut", "loading_line",
    }  # fmt: skip
    assert "nuts" not in found.standing
    assert {"studs", "return_spring", "cover_gasket"} <= set(found.standing)


def test_a_plug_and_a_gland_fly_by_themselves() -> None:
    machine = scene(VALVE, "DN 80")
    assert incident(machine, "plug_out", ()).thrown == ("vent_plug",)  # type: ignore[union-attr]
    assert incident(machine, "gland_off", ("cap_off",)).thrown == ("gland_nut",)  # type: ignore[union-attr]


@pytest.mark.parametrize("step", STEPS)
def test_in_the_right_order_nothing_is_thrown(step: str) -> None:
    assert incident(scene(VALVE, "DN 80"), step, before(step)) is None
    assert VIEWS["incident"].draw(VALVE, "DN 80", 360, step=step, done=before(step)) == ""


def test_an_energy_can_be_chosen() -> None:
    machine = scene(VALVE, "DN 80")
    done = [step for step in before("nuts_off") if step not in ("vent_chamber", "plug_out", "mark")]
    assert incident(machine, "nuts_off", done).energy.id == "loading_gas"  # type: ignore[union-attr]
    assert incident(machine, "nuts_off", done, "spring_force").energy.id == "spring_force"  # type: ignore[union-attr]
    assert incident(machine, "nuts_off", done, "line_gas") is None


def test_gas_is_drawn_only_where_the_space_is_and_nothing_solid() -> None:
    machine = scene(VALVE, "DN 80")
    svg = VIEWS["incident"].draw(VALVE, "DN 80", 360, step="plug_out")
    found = dots(svg)
    assert len(found) > 60
    # The window is read back from two spots whose place in the machine is known: the axis and the scale of the picture.
    space = machine.shapes.spaces["loading_chamber"]
    right = rounded(space.profile)
    loops = (right.points, right.mirrored().points)
    happens = incident(machine, "plug_out", ())
    assert happens is not None
    x0, z0, x1, z1 = shown(machine, happens)
    scale = 360 / (x1 - x0)
    assert z0 < 165 < z1
    for px, py in found:
        x, z = x0 + px / scale, z1 - py / scale
        assert any(inside((loop,), x, z) for loop in loops), (x, z)
        assert not any(inside(machine.pieces[name].face_loops, x, z) for name in happens.standing), (x, z)


def test_a_spring_blows_no_gas() -> None:
    done = before("mark")
    svg = VIEWS["incident"].draw(VALVE, "DN 80", 360, step="nuts_off", done=done)
    assert 'class="arrow"' in svg
    assert 'class="gas"' not in svg
    assert 'class="jet"' not in svg


def test_what_is_thrown_is_marked_and_drawn() -> None:
    svg = VIEWS["incident"].draw(VALVE, "DN 80", 360, step="nuts_off")
    assert parts(svg, "thrown") == ["cover"]
    assert "nuts" not in parts(svg)
