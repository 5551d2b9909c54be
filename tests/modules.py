"""Small invented modules as text, as a person would write them."""

from __future__ import annotations

SMALL_VALVE = """\
module: small-valve
title: Overhaul a small invented valve
document: TEST-0001
covered_task: T-31
sizes: [DN 50, DN 80, DN 100]
phases:
  make_safe: Make safe
  teardown: Teardown
  inspect: Inspect and renew
  rebuild: Rebuild
  return: Return to service
facts:
  run_shut: {text: The run is shut and locked at both ends, hand_back: true}
  body_vented: The body reads zero and stays at zero
  spring_backed_off: The spring carries no load
energies:
  gas_pressure:
    name: Gas in the body
    signal: danger
    safe_when: body_vented
    otherwise: The bonnet is thrown by trapped pressure
    pressure: 8 bar
    acts_on: {DN 50: 80 mm, DN 80: 108 mm, DN 100: 140 mm}
  spring_force:
    signal: warning
    safe_when: spring_backed_off
    otherwise: The cap flies when the last screw lets go
parts:
  body: {fixed: true}
  seat_gasket: {rests_on: body, renew: always_when_disturbed, kit: Seat gasket}
  seat_ring:
    rests_on: [seat_gasket]
    faces: {conical face: up}
    turned: The disc lands on a flat face and the valve passes gas
    mass: {DN 50: 0.6 kg, DN 80: 1.1 kg, DN 100: 1.9 kg}
  guide_cage: {rests_on: [seat_ring]}
  piston: {rests_on: [guide_cage]}
  bonnet_gasket: {rests_on: [guide_cage], renew: always_when_disturbed, kit: Bonnet gasket}
  bonnet: {rests_on: [bonnet_gasket], encloses: [piston], contains: [gas_pressure]}
  return_spring: {rests_on: [piston]}
  spring_cap: {rests_on: [return_spring, bonnet], contains: [spring_force]}
fasteners:
  bonnet_studs:
    clamp: [bonnet]
    count: {DN 50: 8, DN 80: 8, DN 100: 12}
    torque: {DN 50: 60 N·m, DN 80: 95 N·m, DN 100: 140 N·m}
    passes: [30 %, 60 %, 100 %, round]
    pattern: cross
  cap_screws: {clamp: [spring_cap], count: 4, torque: 22 N·m}
cautions:
  trapped_gas: {signal: danger, text: Gas may still stand in the body. Watch the gauge until it stays at zero.}
  spring: {signal: warning, text: The spring pushes on the cap. Keep your face out of its way.}
steps:
  - {id: shut, do: Close and lock both run valves, phase: make_safe, makes: run_shut}
  - {id: vent, do: Vent the body and watch the gauge, phase: make_safe, needs: run_shut, prove: body_vented, caution: trapped_gas}
  - {id: relax, do: Back the spring off, phase: make_safe, needs: run_shut, makes: spring_backed_off, caution: spring}
  - {id: cap, do: Undo the cap screws, phase: teardown, undo: cap_screws, caution: spring}
  - {id: cap_off, do: Lift the spring cap off, phase: teardown, remove: spring_cap}
  - {id: spring_out, do: Take the return spring out, phase: teardown, remove: return_spring}
  - {id: studs, do: Slacken and remove the bonnet nuts, phase: teardown, undo: bonnet_studs, caution: trapped_gas}
  - {id: lift, do: Lift the bonnet clear, phase: teardown, remove: bonnet}
  - {id: gasket_off, do: Scrap the bonnet gasket, phase: teardown, remove: bonnet_gasket}
  - {id: piston_out, do: Draw the piston, phase: teardown, remove: piston}
  - {id: cage_out, do: Draw the guide cage, phase: teardown, remove: guide_cage}
  - {id: seat_out, do: Lift the seat ring out, phase: teardown, remove: seat_ring}
  - {id: seat_gasket_off, do: Scrap the seat gasket, phase: teardown, remove: seat_gasket}
  - {id: clean, do: Clean the seat ring and the piston, phase: inspect, clean: [seat_ring, piston]}
  - {id: look, do: Inspect the seat ring for cuts, phase: inspect, inspect: seat_ring}
  - {id: seat_gasket_new, do: Lay a new seat gasket in, phase: rebuild, renew: seat_gasket, install: seat_gasket}
  - {id: seat_in, do: Set the seat ring in, phase: rebuild, install: seat_ring}
  - {id: cage_in, do: Set the guide cage in, phase: rebuild, install: guide_cage}
  - {id: piston_in, do: Lower the piston in, phase: rebuild, install: piston}
  - {id: gasket_new, do: Lay a new bonnet gasket on, phase: rebuild, renew: bonnet_gasket, install: bonnet_gasket}
  - {id: bonnet_on, do: Lower the bonnet on, phase: rebuild, install: bonnet}
  - {id: studs_tight, do: Tighten the bonnet nuts in passes, phase: rebuild, tighten: bonnet_studs}
  - {id: spring_in, do: Set the return spring in, phase: rebuild, install: return_spring}
  - {id: cap_on, do: Set the spring cap on, phase: rebuild, install: spring_cap}
  - {id: cap_tight, do: Tighten the cap screws, phase: rebuild, tighten: cap_screws}
  - {id: load, do: Load the spring again, phase: return, ends: spring_backed_off}
  - {id: fill, do: Let gas in slowly, phase: return, ends: body_vented}
  - id: hand_back
    do: Take the locks off and open the run
    phase: return
    ends: run_shut
    after: fill
    because: The run is opened only on a body that has held its pressure
"""
