"""The forms that a shape can have, one example each."""

from __future__ import annotations

from trainer.drawing.examples.example import Example, Seen, seen

EXPLODED = seen("exploded", "From outside", width=320)

FORMS = (
    Example(
        "A turned part: profile",
        "Corners of the half-profile as [r, z]: r from the axis, z upwards, in mm. The outline closes by itself.",
        """\
parts: {seat_ring: {material: bronze}}
shapes:
  seat_ring:
    profile: [[20, 0], [36, 0], [36, 8], [28, 8], [28, 18], [20, 18]]
""",
    ),
    Example(
        "Rounded corners",
        "A third number rounds a corner with that radius. No arc is ever reckoned by hand.",
        """\
parts: {cover: {material: cast steel}}
shapes:
  cover:
    profile: [[0, 22], [18, 22, 8], [18, 0], [52, 0], [52, 10, 2], [30, 10, 6], [26, 32, 7], [0, 32]]
""",
    ),
    Example(
        "The other side: left",
        "A turned part may have another half-profile on the left, such as a boss on one side.",
        """\
parts: {cap: {material: cast steel}}
shapes:
  cap:
    profile: [[12, 0], [30, 0], [30, 24, 4], [12, 24]]
    left: [[12, 0], [30, 0], [30, 6], [44, 6], [44, 18], [30, 18], [30, 24, 4], [12, 24]]
""",
    ),
    Example(
        "Upside down: mirror_of",
        "The outline of another shape on its head, where two parts are mirror images. Change one and both change.",
        """\
parts: {lower_ring: {material: PTFE}, upper_ring: {material: PTFE}}
shapes:
  lower_ring: {at: 0, profile: [[30, 0], [36, 0], [36, 5], [30, 2.5]]}
  upper_ring: {at: 16, mirror_of: lower_ring}
""",
    ),
    Example(
        "A part that is not turned: body",
        "Closed loops in x and z are the cut faces; edges and curves are what is seen behind the cutting plane.",
        """\
parts: {elbow: {material: cast iron}}
shapes:
  elbow:
    body:
      loops:
        - [[-30, 0], [-16, 0], [-16, 46, 14], [50, 46], [50, 58], [-30, 58, 24]]
        - [[16, 0], [30, 0], [30, 4], [50, 4], [50, 16], [16, 16, 5]]
      edges: [[-16, 0, 16, 0], [50, 16, 50, 46]]
      curves:   # where the two bores meet
        - [[19, 16], [14, 18], [10, 22], [8, 27], [7, 31], [8, 35], [10, 40], [14, 44], [19, 46]]
""",
    ),
    Example(
        "An O-ring: oring",
        "Radius to the middle of the cord, and the cord. In a groove it is squeezed between two radii and keeps its area.",
        """\
parts: {free_ring: {material: nitrile}, fitted_ring: {material: nitrile}, sleeve: {material: steel}}
shapes:
  free_ring: {at: 26, oring: {r: 33, d: 6}}
  fitted_ring: {at: 7, oring: {r: 33, d: 6, groove: [30.6, 35.4]}}
  sleeve: {profile: [[22, 0], [35.4, 0], [35.4, 2.5], [30.6, 2.5], [30.6, 11.5], [35.4, 11.5], [35.4, 15], [22, 15]]}
""",
    ),
    Example(
        "A spring: spring",
        "Radius to the middle of the wire, the wire, the length as fitted, and the coils. With top it is a cone.",
        """\
parts: {closing_spring: {material: spring steel}, return_spring: {material: spring steel}}
shapes:
  return_spring: {spring: {r: 18, wire: 4, length: 52, coils: 6}}
  closing_spring: {at: 56, spring: {r: 18, wire: 3, length: 34, coils: 5, top: 8}}
drawing:
  explode: [{name: Springs, parts: [closing_spring, return_spring]}]
""",
        (Seen(), EXPLODED),
    ),
    Example(
        "Studs and nuts in a set: stud, nut",
        "r is the circle that the set stands on; how many there are is the count of the fastener. dir: down points a nut down.",
        """\
parts: {flange: {material: cast steel}, studs: {count: 8, material: steel}}
fasteners: {nuts: {clamp: flange, count: 8}, under_nuts: {count: 8}}
shapes:
  flange:
    profile: [[14, 0], [50, 0], [50, 14, 2], [14, 14]]
    cuts: [{r: [33, 43], z: [0, 14]}]
  studs: {at: -14, stud: {r: 38, d: 8, length: 42, engaged: 9}}
  nuts: {at: 14, nut: {r: 38, d: 8, af: 13, h: 7}}
  under_nuts: {at: 0, nut: {r: 38, d: 8, af: 13, h: 7, dir: down}}
drawing:
  explode: [{name: Joint, parts: [nuts, flange, studs, under_nuts]}]
""",
        (Seen(), EXPLODED),
    ),
    Example(
        "Bolts: bolt",
        "Heads up unless dir says otherwise. Without r a bolt stands on the main axis.",
        """\
parts: {plate: {material: steel}}
fasteners: {bolts: {count: 6}, hanging: {count: 1}}
shapes:
  plate:
    profile: [[8, 0], [42, 0], [42, 10], [8, 10]]
    cuts: [{r: [25, 34], z: [0, 10]}]
  bolts: {at: 10, bolt: {r: 29.5, d: 8, af: 13, h: 6, length: 26}}
  hanging: {at: -6, bolt: {d: 12, af: 18, h: 8, length: 30, dir: down}}
drawing:
  explode: [{name: Plate, parts: [bolts, plate, hanging]}]
""",
        (Seen(), EXPLODED),
    ),
    Example(
        "A castle nut and its pin: castle_nut, pin",
        "slot is width and height of a slot, slots how many. The pin lies across the axis; its length is from eye to legs.",
        """\
parts: {stud: {material: steel, fixed: true}, cotter_pin: {locks: nut}}
fasteners:
  nut: {torque: 60 N·m, castle: {slots: 6, rule: tighten_to_next_slot}}
shapes:
  stud: {whole: true, profile: [[0, -20], [8, -20], [8, 23], [7, 24], [0, 24]]}
  nut: {castle_nut: {d: 16, af: 24, h: 20, slot: [4.5, 7], slots: 6, dir: up}}
  cotter_pin: {at: 16.5, pin: {d: 4, length: 29}}
""",
        (Seen(), seen("castle_nut", "As a question about it shows it", past=22)),
    ),
    Example(
        "A screw from the side: plug",
        "seat: how far from the axis; length inwards, head outwards; azimuth: from outside; others of a set: height, seat.",
        """\
parts: {body: {material: cast steel}}
fasteners: {vent_plug: {count: 2}, union: {}}
shapes:
  body:
    profile: [[18, 0], [34, 0], [34, 44], [18, 44]]
    cuts: [{r: [18, 34], z: [8, 18], side: left}, {r: [18, 34], z: [26, 36]}]
  vent_plug: {at: 31, plug: {seat: 34, d: 10, length: 12, head: 7, af: 14, azimuth: 35, others: [[31, -34]]}}
  union: {at: 13, plug: {seat: 34, d: 10, length: 12, head: 9, af: 14, bore: 5, side: left, azimuth: 160}}
drawing:
  explode: [{name: Body, parts: [vent_plug, union, body]}]
""",
        (Seen(), EXPLODED),
    ),
    Example(
        "A tube: tube",
        "Points of its middle line; a third number is the radius of the bend. d outside, bore inside.",
        """\
parts: {block: {material: steel}}
lines: {loading_line: {joins: block}}
shapes:
  block: {profile: [[0, 0], [20, 0], [20, 16], [0, 16]]}
  loading_line: {at: 8, tube: {path: [[20, 0], [46, 0, 10], [46, 30, 10], [74, 30]], d: 8, bore: 5}}
""",
    ),
)
