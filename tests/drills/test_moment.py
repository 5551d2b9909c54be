"""The moment when a wrong order goes wrong: the step, what was done before it, and the energy that gets free."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest

from trainer import drills
from trainer.drawing import VIEWS
from trainer.drills.answer_forms import Arrange
from trainer.procedure import library
from trainer.procedure.simulate import run
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from trainer.drills.kind import Moment

MODULE = library.load("piston-valve-overhaul")


def _moments(skill: str) -> list[tuple[Moment, str]]:
    """Return the moments of questions answered as they are shown, with the text of the incident."""
    found = []
    for start in range(0, 400, 10):
        seed = drills.seed_for(MODULE, skill, start)
        form = drills.ask(MODULE, "order", "DN 80", seed).form
        assert isinstance(form, Arrange)
        shown = [line.id for line in form.lines]
        moment = drills.moment(MODULE, "order", "DN 80", seed, shown)
        incident = drills.mark(MODULE, "order", "DN 80", seed, shown).incident
        assert incident is not None
        if moment is not None:
            found.append((moment, incident.text))
    return found


def test_the_moment_is_that_of_the_simulation() -> None:
    found = _moments("order:teardown")
    assert len(found) > 5
    for moment, text in found:
        energy = MODULE.energies[moment.energy]
        assert text.startswith(energy.otherwise)
        failure = run(prepare(MODULE).plan, [*moment.done, moment.step])
        assert failure is not None
        assert (failure.step, failure.position) == (moment.step, len(moment.done) + 1)


def test_the_moment_can_be_drawn() -> None:
    drawn = [
        VIEWS["incident"].draw(MODULE, "DN 80", 300, step=m.step, done=m.done, energy=m.energy)
        for m, _ in _moments("order:teardown")
    ]
    assert any(drawn)
    for picture in filter(None, drawn):
        assert ET.fromstring(picture).tag.endswith("svg")  # noqa: S314  # our own drawing


@pytest.mark.parametrize("kind", ["way-round", "torque-pass"])
def test_other_kinds_let_nothing_loose(kind: str) -> None:
    assert drills.moment(MODULE, kind, "DN 80", 1, drills.key(MODULE, kind, "DN 80", 1)) is None


def test_a_right_order_lets_nothing_loose() -> None:
    seed = drills.seed_for(MODULE, "order:teardown", 0)
    assert drills.moment(MODULE, "order", "DN 80", seed, drills.key(MODULE, "order", "DN 80", seed)) is None
