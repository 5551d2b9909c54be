"""From needs to relations: causal links, needs that have two sides, and each fault; the docstring is the file."""

# ruff: noqa: D205, D212, D415 - the docstring of a test is the file that it is about

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.procedure.written import procedure_of, told
from trainer.procedure.conditions import Aspect
from trainer.procedure.precedence import Fault
from trainer.procedure.window import NoOrder

if TYPE_CHECKING:
    from trainer.procedure.window import Procedure


def precedes(procedure: Procedure, before: str, after: str) -> bool:
    index = procedure.precedence.index
    return procedure.order.precedes(index[before], index[after])


def faults(procedure: Procedure) -> list[tuple[Fault, tuple[str, ...]]]:
    return [(trouble.fault, trouble.steps) for trouble in procedure.precedence.troubles]


# --- links ---


def test_a_need_comes_after_its_maker_and_before_who_ends_it(procedure: Procedure) -> None:
    """
    facts: {shut: The run is shut}
    parts: {body: {fixed: true}}
    steps:
      - {id: open, do: Open it, ends: shut}
      - {id: work, do: Work, needs: shut}
      - {id: shut, do: Shut it, makes: shut}
    """
    assert procedure.precedence.troubles == ()
    assert precedes(procedure, "shut", "work")
    assert precedes(procedure, "work", "open")
    assert not precedes(procedure, "open", "shut")


def test_the_order_of_the_file_orders_nothing(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cap: {rests_on: body}, plug: {rests_on: body}}
    steps:
      - {id: cap, do: Take the cap off, remove: cap}
      - {id: plug, do: Draw the plug, remove: plug}
    """
    assert procedure.precedence.relations == {}
    assert procedure.order.before == (0, 0)


def test_phases_order_nothing(procedure: Procedure) -> None:
    """
    phases: {first: First, second: Second}
    parts: {body: {fixed: true}}
    steps:
      - {id: late, do: Do this, phase: second}
      - {id: early, do: Do that, phase: first}
    """
    assert procedure.precedence.relations == {}


def test_what_nobody_changes_needs_no_order(procedure: Procedure) -> None:
    """
    facts: {in_service: {text: It carries gas, at_start: true}}
    parts: {body: {fixed: true}, seat: {rests_on: body}, plug: {rests_on: seat}}
    steps:
      - {id: read, do: Read the gauge, needs: in_service}
      - {id: plug, do: Screw the plug out, remove: plug}
    """
    assert procedure.precedence.relations == {}


def test_reasons_of_one_relation_stand_together_each_once(procedure: Procedure) -> None:
    """
    facts: {shut: The run is shut}
    parts: {body: {fixed: true}}
    steps:
      - {id: shut, do: Shut it, makes: shut}
      - {id: work, do: Work, needs: [shut, shut], after: shut, because: It is the rule}
    """
    assert told(procedure) == [
        "shut < work: It must hold first: the run is shut. [caution]",
        "shut < work: It is the rule. [notice]",
    ]


# --- two sides ---


def test_a_need_from_the_start_goes_before_the_spoiler_when_nobody_restores(procedure: Procedure) -> None:
    """
    facts: {in_service: {text: It carries gas, at_start: true}}
    parts: {body: {fixed: true}}
    steps:
      - {id: shut, do: Shut it, ends: in_service}
      - {id: read, do: Read the set point, needs: in_service}
    """
    assert procedure.precedence.troubles == ()
    assert precedes(procedure, "read", "shut")


BOTH_SIDES = """
facts: {in_service: {text: It carries gas, at_start: true}}
parts: {body: {fixed: true}}
steps:
  - {id: shut, do: Shut it, ends: in_service}
  - {id: start, do: Start it, makes: in_service}
  - {id: read, do: Read the set point, needs: in_service}
"""


def test_with_two_sides_open_the_module_has_no_order() -> None:
    procedure = procedure_of(BOTH_SIDES)
    (trouble,) = procedure.precedence.troubles
    assert trouble.fault is Fault.EITHER_SIDE
    assert trouble.steps == ("read", "shut", "start")
    assert (trouble.variable, trouble.value) == ((Aspect.FACT, "in_service"), True)
    assert trouble.need is not None
    assert trouble.need.why == "It must hold first: it carries gas."
    assert procedure.precedence.order is not None
    with pytest.raises(NoOrder, match=r"example\.yaml has no order yet"):
        _ = procedure.order


@pytest.mark.parametrize(("word", "before", "after"), [
    ("before: shut", "read", "shut"), ("before: start", "read", "shut"),
    ("after: shut", "start", "read"), ("after: start", "start", "read"),
])  # fmt: skip
def test_one_word_settles_the_side(word: str, before: str, after: str) -> None:
    procedure = procedure_of(
        BOTH_SIDES.replace("needs: in_service}", f"needs: in_service, {word}, because: So}}")
    )
    assert procedure.precedence.troubles == ()
    assert precedes(procedure, before, after)


def test_a_side_is_settled_by_what_another_need_has_settled(procedure: Procedure) -> None:
    """
    facts:
      in_service: {text: It carries gas, at_start: true}
      noted: The set point is noted
      compared: The set point is compared
    parts: {body: {fixed: true}}
    steps:
      - {id: shut, do: Shut it, ends: in_service}
      - {id: start, do: Start it, makes: in_service}
      - {id: read_last, do: Read it, needs: [in_service, noted], makes: compared, after: ask, because: So}
      - {id: ask, do: Ask, needs: in_service, after: read_first, because: So}
      - {id: read_first, do: Read it, needs: in_service, makes: noted, after: shut, because: So}
    """
    assert procedure.precedence.troubles == ()
    for step in ("read_first", "ask", "read_last"):
        assert precedes(procedure, "start", step)


def test_settling_goes_on_as_long_as_it_settles_something(procedure: Procedure) -> None:
    """
    facts:
      gas: {text: There is gas, at_start: true}
      light: {text: There is light, at_start: true}
    parts: {body: {fixed: true}}
    steps:
      - {id: gas_off, do: Shut it, ends: gas, needs: light}
      - {id: gas_on, do: Open it, makes: gas}
      - {id: light_off, do: Put it out, ends: light, after: gas_on, because: So}
      - {id: light_on, do: Light it, makes: light}
    """
    assert procedure.precedence.troubles == ()
    assert precedes(procedure, "gas_off", "light_off")


def test_the_cover_must_be_on_before_the_gas_comes_back_though_it_is_on_at_the_start(
    procedure: Procedure,
) -> None:
    """
    facts: {vented: The body is vented}
    energies: {gas: {signal: danger, safe_when: vented, otherwise: It blows}}
    parts: {body: {fixed: true}, cover: {rests_on: body, contains: gas}}
    steps:
      - {id: vent, do: Vent it, makes: vented}
      - {id: off, do: Lift the cover, remove: cover}
      - {id: on, do: Lower the cover, install: cover}
      - {id: fill, do: Let gas in, ends: vented}
    """
    assert procedure.precedence.troubles == ()
    assert precedes(procedure, "on", "fill")


# --- faults ---


def test_a_fact_that_nobody_makes(procedure: Procedure) -> None:
    """
    facts: {shut: The run is shut}
    parts: {body: {fixed: true}}
    steps:
      - {id: work, do: Work, needs: shut}
      - {id: open, do: Open it, ends: shut}
    """
    assert faults(procedure) == [(Fault.NOBODY_MAKES, ("work",)), (Fault.NOBODY_MAKES, ("open",))]
    trouble = procedure.precedence.troubles[0]
    assert (trouble.variable, trouble.value) == ((Aspect.FACT, "shut"), True)
    with pytest.raises(NoOrder):
        _ = procedure.order


@pytest.mark.parametrize(("steps", "stuck", "variable"), [
    ("{id: out, do: Draw it, remove: piston}", "out", (Aspect.IN_PLACE, "cover")),
    ("{id: off, do: Lift it, remove: cover}", "off", (Aspect.TIGHT, "nuts")),
    ("{id: in, do: Put it in, install: cover}", "in", (Aspect.IN_PLACE, "cover")),
    ("{id: tight, do: Tighten it, tighten: nuts}", "tight", (Aspect.TIGHT, "nuts")),
    ("{id: look, do: Look at it, inspect: body}", "look", (Aspect.IN_PLACE, "piston")),
    ("{id: oil, do: Oil them, lubricate: nuts}", "oil", (Aspect.TIGHT, "nuts")),
    ("{id: bend, do: Bend the tab back, unlock: nuts}", "bend", (Aspect.LOCKED, "nuts")),
    ("{id: self, do: Do it, needs: ready, makes: ready}", "self", (Aspect.FACT, "ready")),
    ("{id: again, do: Do it, after: again, because: So}", "again", (Aspect.DONE, "again")),
])  # fmt: skip
def test_a_state_that_nobody_brings_about(steps: str, stuck: str, variable: tuple[Aspect, str]) -> None:
    procedure = procedure_of(f"""
facts: {{ready: It is ready}}
parts: {{body: {{fixed: true}}, piston: {{rests_on: body}}, cover: {{encloses: piston}}}}
fasteners: {{nuts: {{clamp: cover}}}}
steps: [{steps}]
""")
    troubles = procedure.precedence.troubles
    assert {trouble.fault for trouble in troubles} == {Fault.NOBODY_MAKES}
    assert (stuck, variable) in {(*trouble.steps, trouble.variable) for trouble in troubles}


def test_two_makers(procedure: Procedure) -> None:
    """
    facts: {shut: The run is shut}
    parts: {body: {fixed: true}, plug: {rests_on: body}}
    steps:
      - {id: shut, do: Shut it, makes: shut}
      - {id: shut_too, do: Shut the other, makes: shut}
      - {id: out, do: Draw the plug, remove: plug}
      - {id: in, do: Fit the plug, install: plug}
      - {id: in_again, do: Fit the plug, install: plug}
    """
    assert faults(procedure) == [
        (Fault.TWO_MAKERS, ("shut", "shut_too")),
        (Fault.TWO_MAKERS, ("in", "in_again")),
    ]
    first, second = procedure.precedence.troubles
    assert (first.variable, first.value) == ((Aspect.FACT, "shut"), True)
    assert (second.variable, second.value) == ((Aspect.IN_PLACE, "plug"), True)
    with pytest.raises(NoOrder):
        _ = procedure.order


def test_two_who_take_the_same_part_out(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, plug: {rests_on: body}}
    steps:
      - {id: out, do: Draw the plug, remove: plug}
      - {id: out_too, do: Draw the plug, remove: plug}
    """
    (trouble,) = procedure.precedence.troubles
    assert (trouble.fault, trouble.steps) == (Fault.TWO_MAKERS, ("out", "out_too"))
    assert (trouble.variable, trouble.value) == ((Aspect.IN_PLACE, "plug"), False)


def test_a_circle_is_told_with_the_steps_on_it(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cap: {rests_on: body}, plug: {rests_on: body}, key: {rests_on: body}}
    steps:
      - {id: look, do: Look}
      - {id: cap, do: Take the cap off, remove: cap, after: [key, look], because: So}
      - {id: plug, do: Draw the plug, remove: plug, after: cap, because: So}
      - {id: key, do: Draw the key, remove: key, after: plug, because: So}
    """
    (trouble,) = procedure.precedence.troubles
    assert trouble.fault is Fault.CYCLE
    assert trouble.steps == ("cap", "plug", "key")
    assert procedure.precedence.order is None
    circle = list(trouble.steps)
    assert set(zip(circle, [*circle[1:], circle[0]], strict=True)) <= set(procedure.precedence.relations)
    with pytest.raises(NoOrder):
        _ = procedure.order


def test_parts_that_sit_on_each_other_run_in_a_circle(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, left: {rests_on: [body, right]}, right: {rests_on: [body, left]}}
    steps:
      - {id: left, do: Take it off, remove: left}
      - {id: right, do: Take it off, remove: right}
    """
    assert faults(procedure) == [(Fault.CYCLE, ("left", "right"))]


def test_a_need_settled_into_a_circle_is_told_as_one(procedure: Procedure) -> None:
    """
    facts: {in_service: {text: It carries gas, at_start: true}}
    parts: {body: {fixed: true}}
    steps:
      - {id: shut, do: Shut it, ends: in_service}
      - {id: read, do: Read it, needs: in_service, after: shut, before: start, because: So}
      - {id: start, do: Start it, makes: in_service}
    """
    assert faults(procedure) == [(Fault.CYCLE, ("read", "start"))]


def test_all_faults_are_told_in_one_run(procedure: Procedure) -> None:
    """
    facts: {shut: The run is shut, dry: It is dry, in_service: {text: It carries gas, at_start: true}}
    parts: {body: {fixed: true}}
    steps:
      - {id: one, do: Shut it, makes: shut}
      - {id: two, do: Shut it, makes: shut}
      - {id: three, do: Work, needs: dry}
      - {id: four, do: Stop it, ends: in_service}
      - {id: five, do: Start it, makes: in_service}
      - {id: six, do: Read it, needs: in_service}
    """
    assert [fault for fault, _ in faults(procedure)] == [
        Fault.TWO_MAKERS,
        Fault.NOBODY_MAKES,
        Fault.EITHER_SIDE,
    ]
