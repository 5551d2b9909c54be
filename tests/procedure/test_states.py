"""What each verb needs and why: the docstring of each test is the file."""

# ruff: noqa: D205, D212, D415 - the docstring of a test is the file that it is about

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.procedure.written import procedure_of, told
from trainer.procedure import simulate
from trainer.procedure.model import Hazard
from trainer.procedure.states import Aspect

if TYPE_CHECKING:
    from trainer.procedure.window import Procedure


# --- parts on parts ---


def test_what_sits_on_a_part_is_off_first_and_on_last(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cover: {rests_on: body}, cap: {rests_on: cover}}
    steps:
      - {id: cap_off, do: Take the cap off, remove: cap}
      - {id: cover_off, do: Lift the cover, remove: cover}
      - {id: cover_on, do: Lower the cover, install: cover}
      - {id: cap_on, do: Put the cap on, install: cap}
    """
    assert told(procedure) == [
        "cap_off < cover_off: The cap sits on the cover: off first.",
        "cover_off < cap_on: The cap sits on the cover: off first.",
        "cover_off < cover_on: The cover is in already.",
        "cap_off < cap_on: The cap is in already.",
        "cover_on < cap_on: The cap sits on the cover: that goes in first. [notice]",
    ]


def test_what_encloses_a_part_is_off_first_and_on_last(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, piston: {rests_on: body}, cover: {rests_on: body, encloses: piston}}
    steps:
      - {id: cover_off, do: Lift the cover, remove: cover}
      - {id: piston_out, do: Draw the piston, remove: piston}
      - {id: piston_in, do: Lower the piston, install: piston}
      - {id: cover_on, do: Lower the cover, install: cover}
    """
    assert told(procedure) == [
        "cover_off < piston_out: The cover closes the piston in: off first.",
        "piston_out < cover_on: The cover closes the piston in: off first.",
        "piston_out < piston_in: The piston is in already.",
        "cover_off < cover_on: The cover is in already.",
        "piston_in < cover_on: The piston goes in before the cover closes it in. [notice]",
    ]


def test_screws_are_undone_before_what_they_hold_and_tightened_after_it(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cover: {rests_on: body}}
    fasteners: {cover_nuts: {clamp: cover}}
    steps:
      - {id: undo, do: Undo the nuts, undo: cover_nuts}
      - {id: off, do: Lift the cover, remove: cover}
      - {id: on, do: Lower the cover, install: cover}
      - {id: tight, do: Tighten the nuts, tighten: cover_nuts}
    """
    assert told(procedure) == [
        "undo < off: The cover nuts hold the cover: undone first. [notice]",
        "off < tight: Once the cover nuts are tight, the cover cannot come off. [notice]",
        "off < on: The cover is in already.",
        "undo < on: The cover nuts must be off before the cover can go on. [notice]",
        "on < tight: The cover goes on before the cover nuts are tightened. [notice]",
        "on < tight: The cover nuts clamp the cover: that goes in first.",
        "undo < tight: The cover nuts are tight already.",
    ]


def test_a_hidden_fastener_is_reached_with_its_cover_off(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cage: {rests_on: body}, cover: {rests_on: body, encloses: cage}}
    fasteners: {cage_screws: {clamp: cage}}
    steps:
      - {id: off, do: Lift the cover, remove: cover}
      - {id: undo, do: Undo the screws, undo: cage_screws}
      - {id: tight, do: Tighten the screws, tighten: cage_screws}
      - {id: on, do: Lower the cover, install: cover}
    """
    assert told(procedure) == [
        "off < undo: The cover hides the cage screws: off first.",
        "undo < on: The cage screws can no longer be reached once the cover is on.",
        "undo < tight: The cage screws are tight already.",
        "off < tight: The cover hides the cage screws: off first.",
        "tight < on: The cage screws can no longer be reached once the cover is on.",
        "off < on: The cover is in already.",
    ]


def test_what_goes_through_the_cover_as_well_is_reached_from_outside(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cage: {rests_on: body}, cover: {rests_on: body, encloses: cage}}
    fasteners: {long_studs: {clamp: [cover, cage]}}
    steps:
      - {id: undo, do: Undo the studs, undo: long_studs}
      - {id: off, do: Lift the cover, remove: cover}
    """
    assert told(procedure) == [
        "undo < off: The long studs hold the cover: undone first. [notice]",
    ]


def test_a_line_is_off_before_what_it_is_fastened_to_and_on_after_it(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cover: {rests_on: body}}
    lines: {loading_line: {joins: [cover, body]}}
    steps:
      - {id: line_off, do: Take the line off, disconnect: loading_line}
      - {id: off, do: Lift the cover, remove: cover}
      - {id: on, do: Lower the cover, install: cover}
      - {id: line_on, do: Put the line on, connect: loading_line}
    """
    assert told(procedure) == [
        "line_off < off: The loading line is fastened to the cover: off first. [notice]",
        "off < line_on: The loading line is fastened to the cover: off first. [notice]",
        "off < on: The cover is in already.",
        "line_off < line_on: The loading line is on already.",
        "on < line_on: The loading line is fastened to the cover: that goes on first.",
    ]


# --- locks ---


def test_a_locking_part_is_out_before_its_nut_turns_and_in_once_it_is_tight(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, disc: {rests_on: body}, cotter_pin: {rests_on: disc, locks: castle_nut}}
    fasteners: {castle_nut: {clamp: body}}
    steps:
      - {id: pin_out, do: Draw the pin, remove: cotter_pin}
      - {id: nut_off, do: Undo the nut, undo: castle_nut}
      - {id: nut_on, do: Tighten the nut, tighten: castle_nut}
      - {id: pin_in, do: Fit the pin, install: cotter_pin}
    """
    assert told(procedure) == [
        "pin_out < nut_off: The cotter pin locks the castle nut: out first. [notice]",
        "nut_off < pin_in: The cotter pin locks the castle nut: out first. [notice]",
        "nut_off < nut_on: The castle nut is tight already.",
        "pin_out < pin_in: The cotter pin is in already.",
        "nut_on < pin_in: The castle nut must be at torque before the cotter pin locks it. [warning]",
    ]


def test_a_locking_device_is_released_first_and_set_last(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}}
    fasteners: {bearing_nut: {clamp: body, locking: Tab washer}}
    steps:
      - {id: unlock, do: Bend the tab back, unlock: bearing_nut}
      - {id: off, do: Undo the nut, undo: bearing_nut}
      - {id: on, do: Tighten the nut, tighten: bearing_nut}
      - {id: lock, do: Bend the tab over, lock: bearing_nut}
    """
    assert told(procedure) == [
        "unlock < off: The tab washer holds the bearing nut until released. [notice]",
        "off < lock: The tab washer holds the bearing nut until released. [notice]",
        "off < on: The bearing nut is tight already.",
        "unlock < lock: The bearing nut is locked already.",
        "on < lock: The bearing nut must be at torque before the lock is set. [warning]",
    ]


# --- energies and facts ---

GAS = """
facts: {vented: It is vented}
energies:
  gas: {signal: danger, safe_when: vented, otherwise: It blows}
parts: {body: {fixed: true}, cover: {rests_on: body, contains: gas}, plug: {}}
fasteners: {nuts: {clamp: cover}, bleed_screw: {clamp: body, contains: gas}}
lines: {tube: {joins: body, contains: gas}}
steps:
  - {id: vent, do: Vent the body, makes: vented}
  - {id: undo, do: Undo the nuts, undo: nuts}
  - {id: off, do: Lift the cover, remove: cover}
  - {id: bleed_off, do: Undo the bleed screw, undo: bleed_screw}
  - {id: tube_off, do: Take the tube off, disconnect: tube}
  - {id: on, do: Lower the cover, install: cover}
  - {id: tight, do: Tighten the nuts, tighten: nuts}
  - {id: bleed_on, do: Tighten the bleed screw, tighten: bleed_screw}
  - {id: tube_on, do: Put the tube on, connect: tube}
  - {id: fill, do: Let gas in, ends: vented}
"""


def test_an_energy_is_gone_before_anything_that_contains_it_is_touched() -> None:
    assert told(procedure_of(GAS), "vent <") == [
        "vent < undo: Gas must be harmless before the nuts are touched: it is vented. Otherwise: it blows. [danger]",
        "vent < off: Gas must be harmless before the cover is touched: it is vented. Otherwise: it blows. [danger]",
        "vent < bleed_off: Gas must be harmless before the bleed screw is touched: it is vented. Otherwise: it blows. [danger]",
        "vent < tube_off: Gas must be harmless before the tube is touched: it is vented. Otherwise: it blows. [danger]",
        "vent < fill: There is nothing to end before it holds that it is vented.",
    ]


def test_everything_is_closed_before_an_energy_comes_back() -> None:
    assert told(procedure_of(GAS), "< fill") == [
        "undo < fill: The nuts are touched only while it is vented. Otherwise: it blows. [danger]",
        "off < fill: The cover is touched only while it is vented. Otherwise: it blows. [danger]",
        "bleed_off < fill: The bleed screw is touched only while it is vented. Otherwise: it blows. [danger]",
        "tube_off < fill: The tube is touched only while it is vented. Otherwise: it blows. [danger]",
        "vent < fill: There is nothing to end before it holds that it is vented.",
        "on < fill: The cover must be on before the gas comes back. [danger]",
        "tight < fill: The nuts must be tight before the gas comes back. [danger]",
        "bleed_on < fill: The bleed screw must be tight before the gas comes back. [danger]",
        "tube_on < fill: The tube must be connected before the gas comes back. [danger]",
    ]


def test_a_fact_is_needed_until_it_is_ended(procedure: Procedure) -> None:
    """
    facts:
      shut: {text: The run is shut, otherwise: The valve is opened against the lock, signal: warning}
    parts: {body: {fixed: true}}
    steps:
      - {id: shut, do: Shut the run, makes: shut}
      - {id: look, do: Look into the valve, needs: shut}
      - {id: open, do: Open the run, ends: shut}
    """
    assert told(procedure) == [
        "shut < look: It must hold first: the run is shut. [warning]",
        "look < open: From then on it no longer holds that the run is shut. [warning]",
        "shut < open: There is nothing to end before it holds that the run is shut.",
    ]


def test_what_is_so_at_the_start_is_ended_once_and_made_again_after_that(procedure: Procedure) -> None:
    """
    facts: {in_service: {text: The valve carries gas, at_start: true}}
    parts: {body: {fixed: true}}
    steps:
      - {id: start, do: Let it carry again, makes: in_service}
      - {id: read, do: Read the set point, needs: in_service, before: stop, because: Once it is shut it is lost}
      - {id: stop, do: Shut it, ends: in_service}
      - {id: report, do: Report it back, needs: in_service, after: stop, because: It was stopped}
    """
    assert told(procedure) == [
        "stop < start: It is so from the start: the valve carries gas.",
        "read < stop: Once it is shut it is lost. [notice]",
        "read < stop: From then on it no longer holds that the valve carries gas. [caution]",
        "stop < report: It was stopped. [notice]",
        "start < report: It must hold first: the valve carries gas. [caution]",
    ]


def test_an_order_in_words_has_its_own_reason_and_signal(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}}
    steps:
      - {id: one, do: Do one, before: two, because: One is first}
      - {id: two, do: Do two}
      - {id: three, do: Do three, after: [one, two], because: Three is last., signal: caution}
      - {id: four, do: Do four, after: one}
    """
    assert told(procedure) == [
        "one < two: One is first. [notice]",
        "one < three: Three is last. [caution]",
        "two < three: Three is last. [caution]",
        "one < four: The procedure asks for this order. [notice]",
    ]


# --- work at the bench ---


def test_clean_first_then_look_then_grease_then_put_in(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, piston: {rests_on: body}}
    steps:
      - {id: out, do: Draw the piston, remove: piston}
      - {id: clean, do: Clean the piston, clean: piston}
      - {id: look, do: Inspect the piston, inspect: piston}
      - {id: size, do: Measure the piston, measure: piston}
      - {id: grease, do: Grease the piston, lubricate: piston}
      - {id: in, do: Lower the piston, install: piston}
    """
    assert told(procedure) == [
        "out < clean: The piston must be out to be cleaned.",
        "clean < in: The piston can no longer be cleaned after that.",
        "clean < in: The piston goes in clean. [notice]",
        "out < look: The piston must be out to be inspected.",
        "look < in: The piston can no longer be inspected after that.",
        "clean < look: Clean the piston first: dirt hides what there is to see and spoils grease. [notice]",
        "out < size: The piston must be out to be measured.",
        "size < in: The piston can no longer be measured after that.",
        "clean < size: Clean the piston first: dirt hides what there is to see and spoils grease. [notice]",
        "out < grease: The piston must be out to be lubricated.",
        "grease < in: The piston can no longer be lubricated after that.",
        "clean < grease: Clean the piston first: dirt hides what there is to see and spoils grease. [notice]",
        "out < in: The piston is in already.",
    ]


def test_fasteners_and_lines_are_worked_on_while_they_are_off(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}}
    fasteners: {nuts: {clamp: body}}
    lines: {tube: {joins: body}}
    steps:
      - {id: undo, do: Undo the nuts, undo: nuts}
      - {id: oil, do: Oil the nuts, lubricate: nuts}
      - {id: tight, do: Tighten the nuts, tighten: nuts}
      - {id: off, do: Take the tube off, disconnect: tube}
      - {id: look, do: Look through the tube, inspect: tube}
      - {id: on, do: Put the tube on, connect: tube}
    """
    assert told(procedure) == [
        "undo < oil: The nuts must be off to be lubricated.",
        "oil < tight: The nuts can no longer be lubricated after that.",
        "undo < tight: The nuts are tight already.",
        "off < look: The tube must be off to be inspected.",
        "look < on: The tube can no longer be inspected after that.",
        "off < on: The tube is on already.",
    ]


def test_a_part_that_stays_is_worked_on_with_everything_off_it(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, gasket: {rests_on: body}, cover: {rests_on: gasket, encloses: body}}
    steps:
      - {id: cover_off, do: Lift the cover, remove: cover}
      - {id: gasket_off, do: Scrape the gasket off, remove: gasket}
      - {id: look, do: Inspect the land, inspect: body}
      - {id: gasket_on, do: Lay the gasket, install: gasket}
      - {id: cover_on, do: Lower the cover, install: cover}
    """
    assert told(procedure) == [
        "cover_off < gasket_off: The cover sits on the gasket: off first.",
        "gasket_off < cover_on: The cover sits on the gasket: off first.",
        "gasket_off < look: The gasket covers the body: off first.",
        "look < gasket_on: The body can no longer be inspected after that.",
        "cover_off < look: The cover covers the body: off first.",
        "look < cover_on: The body can no longer be inspected after that.",
        "gasket_off < gasket_on: The gasket is in already.",
        "cover_off < cover_on: The cover is in already.",
        "gasket_on < cover_on: The cover sits on the gasket: that goes in first. [notice]",
    ]


def test_what_is_never_used_twice_is_renewed_between_out_and_in(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, gasket: {rests_on: body, renew: always_when_disturbed}}
    fasteners: {lock_nuts: {clamp: body, renew: always_when_disturbed}}
    steps:
      - {id: out, do: Take the gasket out, remove: gasket}
      - {id: new, do: Lay the new gasket out, renew: gasket}
      - {id: in, do: Lay the gasket in, install: gasket}
      - {id: undo, do: Undo the nuts, undo: lock_nuts}
      - {id: new_nuts, do: Lay the new nuts out, renew: lock_nuts}
      - {id: tight, do: Tighten the nuts, tighten: lock_nuts}
    """
    assert told(procedure) == [
        "out < new: The gasket must be out to be renewed.",
        "out < new: The gasket is renewed once the old one is out.",
        "new < in: The gasket can no longer be renewed after that.",
        "new < in: The gasket is never used twice: new from the kit. [caution]",
        "out < in: The gasket is in already.",
        "undo < new_nuts: The lock nuts must be off to be renewed.",
        "undo < new_nuts: The lock nuts are renewed once the old one is out.",
        "new_nuts < tight: The lock nuts can no longer be renewed after that.",
        "new_nuts < tight: The lock nuts are never used twice: new from the kit. [caution]",
        "undo < tight: The lock nuts are tight already.",
    ]


def test_what_is_renewed_on_condition_may_go_in_again(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, spring: {rests_on: body, renew: on_condition}}
    steps:
      - {id: out, do: Take the spring out, remove: spring}
      - {id: new, do: Lay a new spring out, renew: spring}
      - {id: in, do: Set the spring in, install: spring}
    """
    assert told(procedure) == [
        "out < new: The spring must be out to be renewed.",
        "new < in: The spring can no longer be renewed after that.",
        "out < in: The spring is in already.",
    ]


# --- units, worked at the bench ---

UNIT = """
parts:
  body: {fixed: true}
  seat: {rests_on: body}
  piston: {rests_on: seat}
  disc: {rests_on: [piston, seat]}
  retainer: {rests_on: disc}
  spring: {rests_on: retainer}
fasteners:
  disc_screw: {clamp: [retainer, piston]}
steps:
  - {id: spring_out, do: Take the spring out, remove: spring}
  - {id: piston_out, do: Draw the piston, remove: piston, with: [disc, retainer]}
  - {id: seat_out, do: Lift the seat out, remove: seat}
  - {id: screw_off, do: Undo the screw, undo: disc_screw}
  - {id: retainer_off, do: Take the retainer off, remove: retainer}
  - {id: disc_off, do: Take the disc off, remove: disc}
  - {id: disc_on, do: Lay the disc on, install: disc}
  - {id: retainer_on, do: Lay the retainer on, install: retainer}
  - {id: screw_on, do: Tighten the screw, tighten: disc_screw}
  - {id: seat_in, do: Set the seat in, install: seat}
  - {id: piston_in, do: Lower the piston, install: piston}
  - {id: spring_in, do: Set the spring in, install: spring}
"""


def test_a_unit_is_taken_apart_after_it_is_out_and_built_up_before_it_goes_in() -> None:
    assert told(procedure_of(UNIT), "bench") == [
        "piston_out < screw_off: The disc screw can only be reached at the bench: the piston comes out first.",
        "piston_out < retainer_off: The retainer is worked at the bench: the piston comes out first.",
        "retainer_off < piston_in: The retainer is worked at the bench, before the piston goes in again.",
        "piston_out < disc_off: The disc is worked at the bench: the piston comes out first.",
        "disc_off < piston_in: The disc is worked at the bench, before the piston goes in again.",
        "piston_out < disc_on: The disc is worked at the bench: the piston comes out first.",
        "disc_on < piston_in: The disc is worked at the bench, before the piston goes in again.",
        "disc_on < piston_in: The disc goes in as one unit with the piston: built up at the bench first. [notice]",
        "piston_out < retainer_on: The retainer is worked at the bench: the piston comes out first.",
        "retainer_on < piston_in: The retainer is worked at the bench, before the piston goes in again.",
        "retainer_on < piston_in: The retainer goes in as one unit with the piston: built up at the bench first. [notice]",
        "piston_out < screw_on: The disc screw can only be reached at the bench: the piston comes out first.",
    ]


def test_seen_from_the_machine_a_unit_is_one_part() -> None:
    """The disc sits on the seat, but at the bench it is in nobody's way; the spring sits on the whole unit."""
    procedure = procedure_of(UNIT)
    assert told(procedure, "seat_out") == [
        "piston_out < seat_out: The piston sits on the seat: off first.",
        "piston_out < seat_out: The disc sits on the seat: off first.",
        "seat_out < piston_in: The piston sits on the seat: off first.",
        "seat_out < piston_in: The disc sits on the seat: off first.",
        "seat_out < seat_in: The seat is in already.",
    ]
    assert told(procedure, "seat_in") == [
        "seat_out < seat_in: The seat is in already.",
        "seat_in < piston_in: The piston sits on the seat: that goes in first. [notice]",
    ]
    assert told(procedure, "spring_in") == [
        "piston_out < spring_in: The spring sits on the piston: off first.",
        "retainer_off < spring_in: The spring sits on the retainer: off first.",
        "spring_out < spring_in: The spring is in already.",
        "piston_in < spring_in: The spring sits on the retainer: that goes in first. [notice]",
    ]
    order = procedure.order
    index = procedure.precedence.index
    assert not order.precedes(index["disc_off"], index["seat_out"])
    assert not order.precedes(index["seat_in"], index["disc_on"])


def test_among_themselves_the_parts_of_a_unit_sit_on_one_another() -> None:
    procedure = procedure_of(UNIT)
    assert told(procedure, "retainer", "disc_o") == [
        "retainer_off < disc_off: The retainer sits on the disc: off first.",
        "disc_off < retainer_on: The retainer sits on the disc: off first.",
        "disc_on < retainer_on: The retainer sits on the disc: that goes in first. [notice]",
    ]


def test_a_unit_goes_in_on_what_its_parts_sit_on_and_around_what_they_enclose(procedure: Procedure) -> None:
    """
    parts:
      body: {fixed: true}
      pin: {rests_on: body}
      seat: {rests_on: body}
      bonnet: {rests_on: body}
      guide: {rests_on: [bonnet, seat], encloses: pin}
    steps:
      - {id: bonnet_off, do: Lift the bonnet, remove: bonnet, with: guide}
      - {id: pin_out, do: Draw the pin, remove: pin}
      - {id: seat_out, do: Lift the seat, remove: seat}
      - {id: pin_in, do: Fit the pin, install: pin}
      - {id: seat_in, do: Set the seat in, install: seat}
      - {id: bonnet_on, do: Lower the bonnet, install: bonnet, with: guide}
    """
    assert told(procedure) == [
        "bonnet_off < pin_out: The guide closes the pin in: off first.",
        "pin_out < bonnet_on: The guide closes the pin in: off first.",
        "bonnet_off < seat_out: The guide sits on the seat: off first.",
        "seat_out < bonnet_on: The guide sits on the seat: off first.",
        "pin_out < pin_in: The pin is in already.",
        "seat_out < seat_in: The seat is in already.",
        "bonnet_off < bonnet_on: The bonnet is in already.",
        "seat_in < bonnet_on: The bonnet sits on the seat: that goes in first. [notice]",
        "pin_in < bonnet_on: The pin goes in before the bonnet closes it in. [notice]",
    ]


def test_a_unit_within_a_unit_is_worked_after_both_are_out(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cover: {rests_on: body}, pilot: {rests_on: cover}, needle: {rests_on: pilot}}
    steps:
      - {id: cover_off, do: Lift the cover with the pilot, remove: cover, with: pilot}
      - {id: pilot_off, do: Take the pilot off with its needle, remove: pilot, with: needle}
      - {id: needle_out, do: Draw the needle, remove: needle}
      - {id: needle_in, do: Fit the needle, install: needle}
      - {id: pilot_on, do: Set the pilot on, install: pilot}
      - {id: cover_on, do: Lower the cover, install: cover}
    """
    assert told(procedure) == [
        "cover_off < pilot_off: The pilot is worked at the bench: the cover comes out first.",
        "pilot_off < cover_on: The pilot is worked at the bench, before the cover goes in again.",
        "pilot_off < needle_out: The needle is worked at the bench: the pilot comes out first.",
        "needle_out < pilot_on: The needle is worked at the bench, before the pilot goes in again.",
        "needle_out < needle_in: The needle is in already.",
        "pilot_off < needle_in: The needle is worked at the bench: the pilot comes out first.",
        "needle_in < pilot_on: The needle is worked at the bench, before the pilot goes in again.",
        "needle_in < pilot_on: The needle goes in as one unit with the pilot: built up at the bench first. [notice]",
        "pilot_off < pilot_on: The pilot is in already.",
        "cover_off < pilot_on: The pilot is worked at the bench: the cover comes out first.",
        "pilot_on < cover_on: The pilot is worked at the bench, before the cover goes in again.",
        "pilot_on < cover_on: The pilot goes in as one unit with the cover: built up at the bench first. [notice]",
        "cover_off < cover_on: The cover is in already.",
        "needle_in < cover_on: The needle goes in as one unit with the cover: built up at the bench first. [notice]",
    ]


def test_a_fastener_from_a_unit_into_the_machine_is_reached_in_the_machine(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cover: {rests_on: body}, pilot: {rests_on: cover}}
    fasteners: {bracket_screws: {clamp: [pilot, body]}}
    lines: {tube: {joins: [pilot, body]}}
    steps:
      - {id: undo, do: Undo the bracket, undo: bracket_screws}
      - {id: tube_off, do: Take the tube off, disconnect: tube}
      - {id: off, do: Lift the cover with the pilot, remove: cover, with: pilot}
      - {id: on, do: Lower the cover with the pilot, install: cover, with: pilot}
      - {id: tight, do: Tighten the bracket, tighten: bracket_screws}
      - {id: tube_on, do: Put the tube on, connect: tube}
    """
    assert told(procedure) == [
        "undo < off: The bracket screws hold the cover: undone first. [notice]",
        "off < tight: Once the bracket screws are tight, the cover cannot come off. [notice]",
        "tube_off < off: The tube is fastened to the cover: off first. [notice]",
        "off < tube_on: The tube is fastened to the cover: off first. [notice]",
        "off < on: The cover is in already.",
        "undo < on: The bracket screws must be off before the cover can go on. [notice]",
        "on < tight: The cover goes on before the bracket screws are tightened. [notice]",
        "on < tight: The bracket screws clamp the pilot: that goes in first.",
        "undo < tight: The bracket screws are tight already.",
        "tube_off < tube_on: The tube is on already.",
        "on < tube_on: The tube is fastened to the pilot: that goes on first.",
    ]


def test_what_came_along_can_be_worked_on_at_the_bench_without_being_taken_off(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cover: {rests_on: body}, window: {rests_on: cover}}
    steps:
      - {id: off, do: Lift the cover with its window, remove: cover, with: window}
      - {id: wipe, do: Clean the window, clean: window}
      - {id: on, do: Lower the cover, install: cover}
    """
    assert told(procedure) == [
        "off < wipe: The cover must be at the bench.",
        "wipe < on: The window can no longer be cleaned after that.",
        "off < on: The cover is in already.",
    ]


# --- several things in one step ---


def test_what_a_step_does_first_is_no_need_of_it(procedure: Procedure) -> None:
    """
    parts: {body: {fixed: true}, cover: {rests_on: body}, cap: {rests_on: cover}}
    fasteners: {nuts: {clamp: cover}}
    steps:
      - {id: apart, do: Undo the nuts and lift cap and cover, undo: nuts, remove: [cap, cover]}
      - {id: together, do: Put all of it on, install: [cover, cap], tighten: nuts}
    """
    assert told(procedure) == [
        "apart < together: The cover is in already.",
        "apart < together: The nuts must be off before the cover can go on. [notice]",
        "apart < together: The cap is in already.",
        "apart < together: The nuts are tight already.",
    ]
    assert {need.variable for need in procedure.plan.operations["apart"].needs} == {
        (Aspect.TIGHT, "nuts"), (Aspect.IN_PLACE, "cap"), (Aspect.IN_PLACE, "cover"),
    }  # fmt: skip


def test_a_step_that_undoes_its_own_work_is_told(procedure: Procedure) -> None:
    """
    facts: {open: The valve is open}
    parts: {body: {fixed: true}, plug: {rests_on: body}}
    steps:
      - {id: out_and_in, do: Take the plug out and put it in, remove: plug, install: plug}
      - {id: stroke, do: Open and shut the valve, makes: open, ends: open}
    """
    assert procedure.plan.self_undoing == (
        ("out_and_in", (Aspect.IN_PLACE, "plug")),
        ("stroke", (Aspect.FACT, "open")),
    )


def test_a_proof_makes_its_fact(procedure: Procedure) -> None:
    """
    facts: {zero: The gauge has stood at zero}
    parts: {body: {fixed: true}}
    steps:
      - {id: watch, do: Watch the gauge, prove: zero}
      - {id: open, do: Open it, needs: zero}
    """
    assert told(procedure) == [
        "watch < open: It must hold first: the gauge has stood at zero. [caution]",
    ]
    assert procedure.module.steps["watch"].makes == procedure.module.steps["watch"].proves == ("zero",)


def test_names_that_are_not_defined_are_passed_over(procedure: Procedure) -> None:
    """
    energies: {gas: {signal: danger, safe_when: vented, otherwise: It blows}}
    parts: {body: {fixed: true}, cover: {rests_on: [body, gasket], encloses: piston, contains: [gas, steam], locks: nut}}
    fasteners: {nuts: {clamp: [cover, flange], contains: air}}
    lines: {tube: {joins: [cover, flange], contains: air}}
    steps:
      - {id: undo, do: Undo, undo: [nuts, screws], needs: shut, after: before_all, because: So}
      - {id: off, do: Lift, disconnect: [tube, pipe], remove: [cover, lid], with: [ring], caution: hot, tools: key}
      - {id: work, do: Work, clean: [cover, ring], inspect: ring, renew: ring}
      - {id: on, do: Lower, install: [cover, lid], connect: [tube, pipe], ends: vented}
      - {id: tight, do: Tighten, tighten: [nuts, screws], lock: [cotter], makes: leak_free, before: nothing, because: So}
    """
    assert told(procedure) == [
        "undo < off: The nuts hold the cover: undone first. [notice]",
        "off < tight: Once the nuts are tight, the cover cannot come off. [notice]",
        "off < work: The cover must be out to be cleaned.",
        "work < on: The cover can no longer be cleaned after that.",
        "work < on: The cover goes in clean. [notice]",
        "off < on: The cover is in already.",
        "off < on: The tube is on already.",
        "undo < on: The nuts must be off before the cover can go on. [notice]",
        "on < tight: The cover goes on before the nuts are tightened. [notice]",
        "on < tight: The nuts clamp the cover: that goes in first.",
        "undo < tight: The nuts are tight already.",
    ]


# --- what would happen ---

EVERYTHING = """
facts:
  vented: The body is vented
  shut: {text: The run is shut, otherwise: The valve is opened against the lock, signal: warning}
energies:
  gas: {name: Gas in the body, signal: danger, safe_when: vented, otherwise: The cover is thrown}
parts:
  body: {fixed: true}
  gasket: {rests_on: body, renew: always_when_disturbed}
  piston: {rests_on: body}
  cover: {rests_on: gasket, encloses: piston, contains: gas}
  cotter_pin: {rests_on: cover, locks: nut}
fasteners:
  nut: {clamp: cover}
  plug: {clamp: [], locking: Tab washer}
lines: {tube: {joins: cover}}
steps:
  - {id: shut, do: Shut the run, makes: shut}
  - {id: vent, do: Vent the body, needs: shut, makes: vented}
  - {id: pin_out, do: Draw the pin, remove: cotter_pin}
  - {id: undo, do: Undo the nut, undo: nut}
  - {id: tube_off, do: Take the tube off, disconnect: tube}
  - {id: cover_off, do: Lift the cover, remove: cover}
  - {id: gasket_off, do: Scrap the gasket, remove: gasket}
  - {id: piston_out, do: Draw the piston, remove: piston}
  - {id: bend, do: Bend the tab back, unlock: plug}
  - {id: plug_out, do: Undo the plug, undo: plug}
  - {id: clean, do: Clean the piston, clean: piston}
  - {id: look, do: Inspect the piston, inspect: piston}
  - {id: new, do: Lay a new gasket out, renew: gasket}
  - {id: piston_in, do: Lower the piston, install: piston}
  - {id: gasket_on, do: Lay the gasket, install: gasket}
  - {id: cover_on, do: Lower the cover, install: cover}
  - {id: tight, do: Tighten the nut, tighten: nut}
  - {id: pin_in, do: Fit the pin, install: cotter_pin}
  - {id: tube_on, do: Put the tube on, connect: tube}
  - {id: plug_in, do: Tighten the plug, tighten: plug}
  - {id: bend_over, do: Bend the tab over, lock: plug}
  - {id: fill, do: Let gas in, ends: vented}
  - {id: open, do: Open the run, ends: shut, after: fill, because: The gas comes in slowly first}
"""

HAPPENS = [
    ("vent", Hazard.WARNING, "The valve is opened against the lock."),
    ("shut pin_out undo", Hazard.DANGER, "The cover is thrown."),
    ("shut vent undo", Hazard.NOTICE, "The cotter pin is still in: turning the nut shears it off."),
    ("shut vent pin_out undo cover_off", Hazard.NOTICE, "The tube is torn off with the cover."),
    (
        "shut vent pin_out cover_off",
        Hazard.NOTICE,
        "The nut still holds the cover: pulling bends or breaks something.",
    ),
    (
        "shut vent pin_out undo tube_off gasket_off",
        Hazard.NOTICE,
        "The gasket cannot come out: the cover still sits on it.",
    ),
    (
        "shut vent pin_out undo tube_off piston_out",
        Hazard.NOTICE,
        "The piston cannot be reached: the cover is still on.",
    ),
    ("plug_out", Hazard.NOTICE, "The tab washer holds on: the thread or the lock tears."),
    (
        "shut vent pin_out undo tube_off cover_off look",
        Hazard.NOTICE,
        "The piston is still dirty: a crack or a cut stays hidden.",
    ),
    (
        "shut vent pin_out undo tube_off cover_off piston_out look",
        Hazard.NOTICE,
        "The piston is still dirty: a crack or a cut stays hidden.",
    ),
    (
        "shut vent pin_out undo tube_off cover_off piston_out piston_in",
        Hazard.NOTICE,
        "Dirt goes in with the piston and cuts the seals.",
    ),
    (
        "shut vent pin_out undo tube_off cover_off gasket_off gasket_on",
        Hazard.CAUTION,
        "The old one goes back in: the gasket has taken a set and leaks under pressure.",
    ),
    ("new", Hazard.NOTICE, "The gasket cannot be renewed yet: it must come out first."),
    (
        "shut vent pin_out undo tube_off cover_off gasket_off piston_out clean look new cover_on",
        Hazard.NOTICE,
        "The cover has nothing to sit on: the gasket is still out. All of it comes off again.",
    ),
    (
        "shut vent pin_out undo tube_off cover_off gasket_off piston_out clean look new gasket_on cover_on",
        Hazard.NOTICE,
        "The cover is closed over a gap: the piston is still on the bench. All of it comes off again.",
    ),
    (
        "shut vent pin_out undo tube_off cover_off gasket_off piston_out clean look new piston_in gasket_on tight",
        Hazard.NOTICE,
        "The nut would be tightened with the cover still out.",
    ),
    (
        "shut vent pin_out undo tube_off cover_off gasket_off piston_out clean look new piston_in gasket_on cover_on pin_in",
        Hazard.WARNING,
        "The nut is locked before the torque is on, and works loose in service.",
    ),
    (
        "shut vent pin_out undo tube_off cover_off gasket_off piston_out clean look new piston_in gasket_on tube_on",
        Hazard.NOTICE,
        "The tube has nothing to be fastened to: the cover is still off.",
    ),
    (
        "shut vent pin_out undo tube_off cover_off gasket_off piston_out clean look new piston_in gasket_on cover_on fill",
        Hazard.DANGER,
        "The cover is thrown.",
    ),
    ("bend_over", Hazard.NOTICE, "The plug is locked already."),
    ("shut vent open", Hazard.NOTICE, "The gas comes in slowly first."),
    ("bend plug_out bend_over", Hazard.WARNING, "The plug would be locked loose and work off in service."),
]


@pytest.mark.parametrize(("order", "signal", "happens"), HAPPENS)
def test_what_happens_at_the_first_wrong_step_is_told(order: str, signal: Hazard, happens: str) -> None:
    failure = simulate.run(procedure_of(EVERYTHING).plan, order.split())
    assert failure is not None
    assert failure.step == order.split()[-1]
    assert (failure.signal, failure.need.happens) == (signal, happens)


def test_the_worst_of_several_things_is_told() -> None:
    """The nut is undone with the pin in and gas behind the cover: the gas counts."""
    failure = simulate.run(procedure_of(EVERYTHING).plan, ["undo"])
    assert failure is not None
    assert failure.need.variable == (Aspect.FACT, "vented")
    assert (failure.position, failure.signal) == (1, Hazard.DANGER)


def test_what_cannot_be_done_at_all_counts_as_a_notice() -> None:
    failure = simulate.run(procedure_of(EVERYTHING).plan, ["piston_out"])
    assert failure is not None
    assert (failure.need.signal, failure.signal) == (None, Hazard.NOTICE)


def test_a_clean_run_has_no_failure_and_can_go_on_from_where_it_stopped() -> None:
    plan = procedure_of(EVERYTHING).plan
    steps = list(plan.operations)
    assert simulate.run(plan, steps) is None
    bench = simulate.Bench(plan)
    for step in steps[:7]:
        assert bench.unmet(step) is None
        bench.do(step)
    assert simulate.run(plan, steps[7:], bench.states) is None
    assert simulate.run(plan, steps[7:]) is not None
