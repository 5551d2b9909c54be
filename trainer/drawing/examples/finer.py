"""What a shape says beside its form: where it stands, openings, threads, materials, how it comes off and turns."""

from __future__ import annotations

from trainer.drawing.examples.example import Example, Seen, seen
from trainer.drawing.examples.forms import EXPLODED

FINER = (
    Example(
        "Where it stands: at, flipped",
        "at lifts the shape's own height 0 to where it belongs; flipped mirrors it about that height.",
        """\
parts: {lower: {material: bronze}, upper: {material: bronze}}
shapes:
  lower: {at: 0, profile: [[16, 0], [40, 0], [40, 6], [24, 6], [24, 16], [16, 16]]}
  upper: {at: 44, flipped: true, profile: [[16, 0], [40, 0], [40, 6], [24, 6], [24, 16], [16, 16]]}
""",
    ),
    Example(
        "Openings: cuts",
        "Rectangles that the cutting plane meets: by r in a turned part, by x in a body; one side or both, threaded, or blind.",
        """\
parts: {flange: {material: cast steel}, block: {material: cast iron}}
shapes:
  flange:
    at: 34
    profile: [[14, 0], [50, 0], [50, 14], [14, 14]]
    cuts:
      - {r: [36, 44], z: [0, 14]}
      - {r: [14, 30], z: [4, 10], side: right, thread: true}
  block:
    body: {loops: [[[-50, 0], [50, 0], [50, 28], [-50, 28]]]}
    cuts: [{x: [-10, 10], z: [8, 28], hole: true}]
""",
    ),
    Example(
        "Windows round a sleeve: windows",
        "How many, their heights, the width of one, and where the first one stands; 0 is in the cutting plane.",
        """\
parts: {guide_sleeve: {material: stainless steel}}
shapes:
  guide_sleeve:
    profile: [[30, 0], [38, 0], [38, 60], [30, 60]]
    windows: {n: 6, z: [10, 34], width: 20, phase: 0}
drawing:
  explode: [{name: Sleeve, parts: [guide_sleeve]}]
""",
        (Seen(), EXPLODED),
    ),
    Example(
        "Threads, hexagon, scribed lines: threads, hex, marks",
        "A thread has its crest, its root and its heights; hex is a hexagon on a turned part; marks are lines scribed round it.",
        """\
parts: {gland_nut: {material: brass}}
shapes:
  gland_nut:
    profile: [[7, 0], [14, 0], [14, 22], [20.8, 22], [20.8, 34], [16, 34], [16, 52], [7, 52]]
    threads: [{r: 14, root: 12.4, z: [2, 18]}]
    hex: {af: 36, z: [22, 34]}
    marks: [40, 46]
drawing:
  explode: [{name: Gland, parts: [gland_nut]}]
""",
        (Seen(), EXPLODED),
    ),
    Example(
        "Drawn whole, cut through: whole, split",
        "Shafts are not cut; screws, nuts and pins are so without saying. split is a ring cut through at one place.",
        """\
parts: {rod: {material: stainless steel}, wear_band: {material: PTFE}}
shapes:
  rod: {whole: true, profile: [[0, 0], [9, 0], [9, 50], [7, 52], [0, 52]]}
  wear_band: {at: 14, split: true, profile: [[26, 0], [30, 0], [30, 14], [26, 14]]}
drawing:
  explode: [{name: Rod, parts: [rod, wear_band]}]
""",
        (Seen(), EXPLODED),
    ),
    Example(
        "Materials: hatch and tone",
        "Hatch and tone follow the material; look overrides it. Direction and spacing are chosen so that neighbours differ.",
        """\
parts:
  a: {name: Cast, material: cast steel}
  b: {name: Steel, material: steel}
  c: {name: Stainless, material: stainless steel}
  d: {name: Bronze, material: bronze}
  e: {name: Clear, material: clear plastic}
  f: {name: PTFE, material: PTFE}
  g: {name: Rubber, material: nitrile}
  h: {name: Gasket}
shapes:
  a: {at: 98, profile: [[10, 0], [40, 0], [40, 12], [10, 12]]}
  b: {at: 84, profile: [[10, 0], [40, 0], [40, 12], [10, 12]]}
  c: {at: 70, profile: [[10, 0], [40, 0], [40, 12], [10, 12]]}
  d: {at: 56, profile: [[10, 0], [40, 0], [40, 12], [10, 12]]}
  e: {at: 42, profile: [[10, 0], [40, 0], [40, 12], [10, 12]]}
  f: {at: 28, profile: [[10, 0], [40, 0], [40, 12], [10, 12]]}
  g: {at: 14, profile: [[10, 0], [40, 0], [40, 12], [10, 12]]}
  h: {at: 0, look: gasket, profile: [[10, 0], [40, 0], [40, 12], [10, 12]]}
""",
        (seen("section", width=340, names=True),),
    ),
    Example(
        "Where the balloon points: label_at",
        "A leader ends at the deepest spot of the cut face. label_at moves it where that spot says little.",
        """\
parts: {hub: {material: cast steel}, rim: {material: bronze}}
shapes:
  hub: {profile: [[0, 0], [20, 0], [20, 30], [0, 30]], label_at: [-14, 26]}
  rim: {profile: [[20, 0], [44, 0], [44, 10], [20, 10]]}
""",
        (seen("section"),),
    ),
    Example(
        "From outside: outside",
        "Where the half-profile does not tell: other profiles, holes on a circle, side connections with holes of their own.",
        """\
sizes: [DN 80, DN 100]
parts: {body: {material: cast steel}}
shapes:
  body:
    profile: [[30, 0], [60, 0], [60, 10], [40, 10, 6], [40, 70], [30, 70]]
    outside:
      profiles: [[[0, 0], [60, 0], [60, 10], [40, 10, 6], [40, 70], [30, 70], [30, 60], [0, 60]]]
      holes: [{r: 50, d: 9, n: {DN 80: 8, DN 100: 12}, face: 10, phase: 22.5}]
      stubs:
        - z: 40
          azimuth: 30
          profile: [[10, 36], [16, 36], [16, 60], [30, 60], [30, 68], [10, 68]]
          holes: [{r: 23, d: 7, n: 4, face: 68, phase: 45}]
drawing:
  explode: [{name: Body, parts: [body]}]
""",
        (
            seen("exploded", "DN 80", size="DN 80", width=320),
            seen("exploded", "DN 100", size="DN 100", width=320),
        ),
    ),
    Example(
        "What lies on its side: lies, level",
        "Its outline is turned about a level axis at the height level; its heights count outwards from the main axis.",
        """\
parts:
  body: {fixed: true, material: cast steel}
  filter: {rests_on: body, faces: {closed end: out}, turned: Dirt goes round it, material: bronze}
fasteners: {fitting: {clamp: filter}}
shapes:
  body:
    body:
      loops:
        - [[-20, 0], [44, 0], [44, 10], [20, 10], [20, 17], [4, 17], [4, 23], [20, 23], [20, 30], [44, 30], [44, 40], [-20, 40]]
      edges: [[20, 10, 20, 30], [44, 10, 44, 30]]
  filter: {lies: right, level: 20, at: 20, leaves: right, profile: [[4, 0], [7, 0], [7, 16, 3], [0, 16], [0, 13], [4, 13]]}
  fitting:
    lies: right
    level: 20
    at: 44
    leaves: right
    look: steel
    profile: [[8, -24], [10, -24], [10, 0], [15, 0], [15, 9], [4, 9], [4, -6], [8, -6]]
steps:
  - {id: out, do: Undo the fitting and draw the filter out, undo: fitting, remove: filter}
  - {id: back, do: Put the filter in and tighten the fitting, install: filter, tighten: fitting}
""",
        (Seen(), seen("way_round", "Wrong", part="filter", wrong=("filter",), width=200)),
    ),
    Example(
        "How it comes off: leaves",
        "The arrow of a step follows leaves: up unless said.",
        """\
parts: {body: {fixed: true, material: cast steel}, plug: {rests_on: body, material: brass}}
shapes:
  body: {profile: [[0, 20], [14, 20], [14, 0], [40, 0], [40, 44], [0, 44]]}
  plug: {at: 0, leaves: down, profile: [[0, 0], [14, 0], [14, 20], [0, 20]]}
steps:
  - {id: out, do: Draw the plug out downwards, remove: plug}
  - {id: back, do: Push the plug in, install: plug}
""",
        (seen("state", "Before the step", step="out"),),
    ),
    Example(
        "The wrong way round: turn",
        "about: the height to turn about; moves: what slides until it touches; without: what finds no room; close_up: its spot.",
        """\
parts:
  seat: {fixed: true, material: bronze}
  disc: {rests_on: seat, faces: {rubber: down}, turned: It lands on metal and passes, material: nitrile}
  holder: {rests_on: disc, material: steel}
  clip: {rests_on: holder, material: spring steel}
shapes:
  seat: {profile: [[20, 0], [40, 0], [40, 10], [30, 10], [28, 16], [26, 16], [24, 10], [20, 10]]}
  disc:
    at: 16
    profile: [[0, 0], [34, 0], [34, 8], [14, 8], [14, 5], [0, 5]]
    turn: {about: 4, moves: [holder], without: [clip], close_up: [22, 22, 26]}
  holder: {at: 21, look: steel, profile: [[0, 0], [14, 0], [14, 3], [38, 3], [38, 9], [0, 9]]}
  clip: {at: 31, profile: [[10, 0], [24, 0], [24, 2], [10, 2]]}
""",
        (
            seen("way_round", "Right", part="disc", width=200),
            seen(
                "way_round",
                "Wrong: the clip finds no room",
                part="disc",
                wrong=("disc",),
                width=200,
            ),
        ),
    ),
)
