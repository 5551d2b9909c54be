"""Stretches of a procedure: phases, chosen steps, what lies between them, and what is not there."""

from __future__ import annotations

from functools import cache

import pytest

from tests.modules import SMALL_VALVE
from tests.procedure.written import procedure_of, whole_file
from trainer.procedure import library, window
from trainer.procedure.shared_tables import SharedTables
from trainer.procedure.window import NoOrder, Procedure, UnknownPhase, UnknownStep


@cache
def valve() -> Procedure:
    return window.prepare(library.read_module(SMALL_VALVE, "m.yaml", SharedTables()))


def test_the_whole_is_every_step_in_the_order_of_the_file() -> None:
    stretch = window.whole(valve())
    assert stretch.steps == tuple(valve().module.steps)
    assert stretch.order == valve().order
    assert set(stretch.relations) >= set(valve().precedence.relations)


def test_a_phase_is_its_steps() -> None:
    assert window.phase(valve(), "make_safe").steps == ("shut", "vent", "relax")


def test_chosen_steps_stand_in_the_order_of_the_file_each_once() -> None:
    assert window.chosen(valve(), ["lift", "shut", "lift", "studs"]).steps == ("shut", "studs", "lift")


def test_what_is_left_out_passes_its_order_and_its_reasons_on() -> None:
    stretch = window.chosen(valve(), ["cap_off", "gasket_off", "relax"])
    assert set(stretch.relations) == {("relax", "cap_off"), ("cap_off", "gasket_off")}
    assert [reason.text for reason in stretch.relations["cap_off", "gasket_off"]] == [
        "The spring cap sits on the bonnet: off first.",
        "The bonnet sits on the bonnet gasket: off first.",
    ]


def test_relations_generate_the_order() -> None:
    stretch = window.phase(valve(), "rebuild")
    assert {(stretch.steps[a], stretch.steps[b]) for a, b in stretch.order.covers()} <= set(stretch.relations)
    for before, after in stretch.relations:
        assert stretch.order.precedes(stretch.steps.index(before), stretch.steps.index(after))


def test_a_phase_without_steps_is_refused() -> None:
    with pytest.raises(
        UnknownPhase, match=r"no phase 'paint' with steps in small-valve; its phases: make_safe, "
    ):
        window.phase(valve(), "paint")


def test_an_unknown_step_is_refused_with_the_nearest_offered() -> None:
    with pytest.raises(UnknownStep, match=r"no step 'lifft' in small-valve\. Did you mean `lift`\?"):
        window.chosen(valve(), ["shut", "lifft"])


def test_a_module_with_a_fault_has_no_windows() -> None:
    procedure = procedure_of("""
parts: {body: {fixed: true}}
steps:
  - {id: one, do: Do one, after: two, because: So}
  - {id: two, do: Do two, after: one, because: So}
""")
    for ask in (window.whole, lambda p: window.chosen(p, ["one"])):
        with pytest.raises(
            NoOrder, match=r"example\.yaml has no order yet: run `trainer check example\.yaml`"
        ):
            ask(procedure)


def test_equal_revisions_are_prepared_once() -> None:
    text = whole_file("parts: {body: {fixed: true}}\nsteps: [{id: look, do: Look}]")
    first = window.prepare(library.read_module(text, "a.yaml", SharedTables()))
    assert window.prepare(library.read_module(text + "# more\n", "b.yaml", SharedTables())) is first
    assert (
        window.prepare(library.read_module(text.replace("Look", "See"), "a.yaml", SharedTables()))
        is not first
    )


def test_what_has_to_be_done_before_is_done_and_what_lies_between_as_soon_as_it_can_be() -> None:
    stretch = window.chosen(valve(), ["cap", "lift", "bonnet_on"])
    assert window.first_failure(stretch, ["cap", "lift", "bonnet_on"]) is None
    failure = window.first_failure(stretch, ["lift", "cap", "bonnet_on"])
    assert failure is not None
    assert (failure.step, failure.position) == ("lift", 1)
