"""What the drawing as a whole says: lengths by name and by size, columns, spaces, spots and flows."""

from __future__ import annotations

from trainer.drawing.examples.example import Example, Seen, seen

_PLAIN = (("labels", False),)

WHOLE = (
    Example(
        "Lengths by name and by size: dimensions, scale",
        "A length may be a sum of named dimensions. scale multiplies every figure; a dimension given by size stays as it is.",
        """\
sizes: [DN 50, DN 80]
parts: {flange: {material: cast steel}, studs: {count: 8}}
drawing:
  scale: {DN 50: 0.7, DN 80: 1}
  dimensions:
    circle: 40
    stud: {DN 50: 8, DN 80: 10}
shapes:
  flange:
    profile: [[16, 0], [circle + 12, 0], [circle + 12, 14, 2], [16, 14]]
    cuts: [{r: [circle - stud / 2 - 1, circle + stud / 2 + 1], z: [0, 14]}]
  studs: {at: -8, stud: {r: circle, d: stud, length: 34}}
""",
        (Seen("section", _PLAIN, 180, "DN 50", "DN 50"), Seen("section", _PLAIN, 260, "DN 80", "DN 80")),
    ),
    Example(
        "Taken apart: explode",
        "Columns of what belongs together, each from top to bottom; the room between them follows from the shapes.",
        """\
parts:
  cover: {material: cast steel}
  gasket: {material: gasket}
  sleeve: {material: bronze}
shapes:
  cover: {at: 30, profile: [[0, 8], [20, 8], [20, 0], [44, 0], [44, 10, 2], [24, 10, 3], [24, 18, 4], [0, 18]]}
  gasket: {at: 28.5, profile: [[30, 0], [44, 0], [44, 1.5], [30, 1.5]]}
  sleeve: {profile: [[20, 0], [28, 0], [28, 28], [20, 28]]}
drawing:
  explode:
    - {name: Cover, parts: [cover, gasket]}
    - {name: Sleeve, parts: [sleeve]}
""",
        (seen("exploded", width=360),),
    ),
    Example(
        "Spaces that hold gas: spaces",
        "A half-profile, or loops, and the energies that stand in it. What a wrong step lets loose is drawn from them.",
        """\
facts: {vented: The vessel reads zero}
energies:
  gas:
    name: Gas in the vessel
    signal: danger
    safe_when: vented
    otherwise: The cover flies off on the gas below it
parts:
  vessel: {fixed: true, material: cast steel}
  cover: {rests_on: vessel, contains: gas, material: steel}
fasteners: {bolts: {clamp: cover, contains: gas, count: 8}}
shapes:
  vessel: {profile: [[0, 0], [44, 0], [44, 40], [20, 40], [20, 12, 4], [0, 12]]}
  cover:
    at: 40
    profile: [[0, 34], [20, 34, 8], [20, 0], [44, 0], [44, 12], [29, 12, 4], [29, 43, 12], [0, 43]]
    cuts: [{r: [33, 41], z: [0, 12]}]
  bolts: {at: 52, bolt: {r: 37, d: 7, af: 12, h: 6, length: 26}}
drawing:
  spaces:
    below: {name: Vessel, holds: gas, profile: [[0, 12], [20, 12], [20, 40], [0, 40]]}
    dome: {name: Dome, holds: gas, loops: [[[-20, 40], [20, 40], [20, 72], [14, 74], [-14, 74], [-20, 72]]]}
steps:
  - {id: vent, do: Vent the vessel, prove: vented}
  - {id: loose, do: Slacken the bolts, undo: bolts}
  - {id: off, do: Lift the cover off, remove: cover}
""",
        (seen("incident", "The bolts slackened before the gas was let off", step="loose"),),
    ),
    Example(
        "Spots and flows: features, flows",
        "A spot with a name but no item number, and arrows for the way of the gas.",
        """\
parts: {body: {material: cast steel}}
shapes:
  body: {profile: [[24, 0], [40, 0], [40, 60], [24, 60]], cuts: [{r: [24, 40], z: [36, 44], side: right}]}
drawing:
  features: [{name: bleed hole, at: [32, 40]}]
  flows:
    - {name: inlet, at: [0, 16], toward: up}
    - {name: outlet, at: [0, 48], toward: up}
""",
        (seen("section", width=520, names=True),),
    ),
)
