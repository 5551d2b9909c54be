"""Named computations about bolts, nuts and torque wrenches."""

from __future__ import annotations

from trainer.trade import bolt_pattern, castle_nut, threads, torque, torque_tables
from trainer.trade.reckoning import Given, Input, Kind, Reckoning, Result
from trainer.trade.units import Dimension, Quantity

_K = Input(
    "nut_factor", Kind.NUMBER, "nut factor K, such as 0.2 zinc-plated, 0.18 lubricated, 0.12 anti-seize"
)
_DIAMETER = Input("diameter", Dimension.LENGTH, "nominal diameter of the thread")
_PRELOAD = Input("preload", Dimension.FORCE, "preload of the bolt")
_AREA = Input("area", Dimension.AREA, "stress area, or the root area the stress is stated on")
_THREAD = Input("thread", Kind.WORDS, "thread, as M12, M36x3 or 3/4-10 UNC")
_TARGET = Input("target", Dimension.TORQUE, "torque wanted at the fastener")
_LEVERS = (
    Input("wrench", Dimension.LENGTH, "wrench, drive centre to the middle of the grip"),
    Input("offset", Dimension.LENGTH, "adapter, drive centre to the centre of the fastener"),
    Input("angle", Dimension.ANGLE, "0° in line and lengthening, 90° square, 180° folded back", "0 °"),
)
_SHIGLEY = "Shigley's Mechanical Engineering Design, 9th ed., p. 439"
_ADAPTER_SOURCE = "US Army TM 1-1500-204-23-9, para (a) and (b), figure 8-16; TM 9-254, figures 4-5 and 4-6"
_AC_43_13 = "FAA AC 43.13-1B (9/8/98), para 7-40"


def _pass_list(given: Given) -> Result:
    shares = given.quantities("passes")
    target = given.quantity("target")
    return Result(tuple(torque.pass_target(target, 100 * share.exact_si) for share in shares))


def _check_pattern(given: Given) -> Result:
    fault = bolt_pattern.first_fault(given.counts("order"), given.count("bolts"))
    if fault is None:
        return Result("right")
    return Result(f"wrong at position {fault.position}", (fault.sentence,))


def _castle_nut(given: Given) -> Result:
    decision = castle_nut.decide(
        given.word("rule"),
        given.quantity("torque"),
        given.quantity("minimum"),
        given.maybe("maximum"),
        given.maybe("drag"),
        given.yes("aligned"),
    )
    return Result(decision.action.replace("_", " "), (decision.sentence,))


def _standard_torque(given: Given) -> Result:
    row = torque_tables.standard_torque(given.word("thread"), shear_nut=given.word("nut") == "shear")
    return Result(row.recommended, (f"Maximum {row.maximum} lbf·in, without drag.",))


def _scatter(given: Given) -> Result:
    found = torque.scatter(given.quantities("preloads"))
    return Result(found.mean, (f"Sample standard deviation {found.deviation.printed()}.",))


RECKONINGS = (
    Reckoning(
        "torque-from-preload",
        "Torque that brings a preload",
        (_K, _DIAMETER, _PRELOAD),
        "T = K D F",
        f"{_SHIGLEY} (T = K F d, Table 8-15)",
        lambda g: Result(
            torque.torque_from_preload(g.number("nut_factor"), g.quantity("diameter"), g.quantity("preload"))
        ),
        {"nut_factor": "0.2", "diameter": "0.75 in", "preload": "25000 lbf", "unit": "lbf·in"},
        unit_of_choice=True,
    ),
    Reckoning(
        "preload-from-torque",
        "Preload that a torque brings",
        (Input("torque", Dimension.TORQUE, "torque at the fastener"), _K, _DIAMETER),
        "F = T / (K D)",
        f"{_SHIGLEY} (T = K F d, solved for F)",
        lambda g: Result(
            torque.preload_from_torque(g.quantity("torque"), g.number("nut_factor"), g.quantity("diameter"))
        ),
        {"torque": "60 N·m", "nut_factor": "0.2", "diameter": "12 mm"},
        unit_of_choice=True,
    ),
    Reckoning(
        "preload",
        "Preload from a stress and an area",
        (
            Input("stress", Dimension.STRESS, "proof strength, or the stress wanted"),
            _AREA,
            Input("fraction", Kind.NUMBER, "share of the stress, as 0.75", "1"),
        ),
        "F = fraction × S × A",
        "Shigley's Mechanical Engineering Design, 9th ed., sec. 8-9 (from memory)",
        lambda g: Result(torque.preload(g.quantity("stress"), g.quantity("area"), g.number("fraction"))),
        {"stress": "600 MPa", "area": "84.3 mm²", "fraction": "0.75"},
        unit_of_choice=True,
    ),
    Reckoning(
        "stress-area",
        "Tensile stress area of a thread",
        (_THREAD,),
        "A = π/4 (d − 0.9382 P)², inch threads π/4 (D − 0.9743/n)²",
        "EN ISO 898-1; ASME B1.1; ASME PCC-1 Table H-1 (reproduced tables)",
        lambda g: Result(threads.thread(g.word("thread")).stress_area),
        {"thread": "M12"},
        unit_of_choice=True,
    ),
    Reckoning(
        "root-area",
        "Root area of an inch thread",
        (_DIAMETER, Input("per_inch", Kind.COUNT, "threads per inch")),
        "A = π/4 (D − 1.3/n)²",
        "ASME PCC-1 Table H-1 (reproduced)",
        lambda g: Result(threads.unified_root_area(g.quantity("diameter"), g.count("per_inch"))),
        {"diameter": "3/4 in", "per_inch": "10"},
        unit_of_choice=True,
    ),
    Reckoning(
        "breaking-load",
        "Least breaking load of a bolt",
        (_AREA, Input("strength", Dimension.STRESS, "least tensile strength Rm")),
        "F = A × Rm",
        "EN ISO 898-1, minimum ultimate tensile loads, coarse thread (reproduced)",
        lambda g: Result(threads.ultimate_load(g.quantity("area"), g.quantity("strength"), "kN")),
        {"area": "58.0 mm²", "strength": "800 N/mm²"},
        unit_of_choice=True,
    ),
    Reckoning(
        "stiffness-share",
        "Share of an outside load that a bolt takes",
        (
            Input("bolt", Dimension.STIFFNESS, "stiffness of the bolt"),
            Input("members", Dimension.STIFFNESS, "stiffness of what it clamps"),
        ),
        "C = kb / (kb + km)",
        f"{_SHIGLEY}, Example 8-3",
        lambda g: Result(torque.stiffness_share(g.quantity("bolt"), g.quantity("members"))),
        {"bolt": "6.5 kN/m", "members": "13.8 kN/m"},
    ),
    Reckoning(
        "bolt-stress",
        "Stress in a preloaded bolt under an outside load",
        (
            Input("share", Kind.NUMBER, "stiffness share C"),
            Input("load", Dimension.FORCE, "outside load on one bolt"),
            _PRELOAD,
            _AREA,
        ),
        "S = (C P + F) / A",
        f"{_SHIGLEY}, Example 8-3(a)",
        lambda g: Result(
            torque.bolt_stress(
                g.number("share"), g.quantity("load"), g.quantity("preload"), g.quantity("area")
            )
        ),
        {"share": "0.32", "load": "6000 lbf", "preload": "25000 lbf", "area": "0.373 in²", "unit": "ksi"},
        unit_of_choice=True,
    ),
    Reckoning(
        "preload-scatter",
        "How far preloads at one torque lie apart",
        (Input("preloads", Kind.QUANTITIES, "measured preloads"),),
        "mean and sample standard deviation",
        f"{_SHIGLEY}, Table 8-14",
        _scatter,
        {"preloads": "30.3 kN, 34.3 kN, 40.5 kN"},
        unit_of_choice=True,
    ),
    Reckoning(
        "wrench-setting",
        "What to set on a torque wrench with an adapter",
        (_TARGET, *_LEVERS),
        "T × L / (L + E cos a)",
        _ADAPTER_SOURCE,
        lambda g: Result(
            torque.wrench_setting(
                g.quantity("target"), g.quantity("wrench"), g.quantity("offset"), g.degrees("angle")
            )
        ),
        {"target": "60 N·m", "wrench": "400 mm", "offset": "60 mm", "angle": "0 °"},
        unit_of_choice=True,
    ),
    Reckoning(
        "applied-torque",
        "What the fastener gets from a wrench with an adapter",
        (Input("setting", Dimension.TORQUE, "torque set on the wrench"), *_LEVERS),
        "T × (L + E cos a) / L",
        _ADAPTER_SOURCE,
        lambda g: Result(
            torque.applied_torque(
                g.quantity("setting"), g.quantity("wrench"), g.quantity("offset"), g.degrees("angle")
            )
        ),
        {"setting": "60 lbf·in", "wrench": "12 in", "offset": "2 in"},
        unit_of_choice=True,
    ),
    Reckoning(
        "drag-range",
        "Torque range with the friction drag of the nut",
        (
            Input("minimum", Dimension.TORQUE, "lower end, without drag"),
            Input("maximum", Dimension.TORQUE, "upper end, without drag"),
            Input("drag", Dimension.TORQUE, "torque that turns the nut before it seats"),
        ),
        "minimum + drag, maximum + drag",
        f"{_AC_43_13} d",
        lambda g: Result(torque.with_drag(g.quantity("minimum"), g.quantity("maximum"), g.quantity("drag"))),
        {"minimum": "160 lbf·in", "maximum": "190 lbf·in", "drag": "9.5 lbf·in"},
        unit_of_choice=True,
    ),
    Reckoning(
        "torque-limit",
        "Torque that a structural bolt shall not exceed",
        (_PRELOAD, _DIAMETER),
        "T = 0.25 P D",
        "FHWA Bridges & Structures, High Strength Bolts, Appendix A1, step 5",
        lambda g: Result(torque.torque_limit(g.quantity("preload"), g.quantity("diameter"))),
        {"preload": "28000 lbf", "diameter": "3/4 in"},
        unit_of_choice=True,
    ),
    Reckoning(
        "pass-list",
        "Torque of each pass",
        (_TARGET, Input("passes", Kind.QUANTITIES, "shares of the target", "30 %, 60 %, 100 %")),
        "T × share",
        "the shares are the procedure's to say; ASME PCC-1 Legacy 20-30, 50-70, 100 % and a round (secondary)",
        _pass_list,
        {"target": "95 N·m"},
        unit_of_choice=True,
    ),
    Reckoning(
        "snug-limit",
        "Most that a snug pass may reach",
        (_TARGET,),
        "the lower of 20 lbf·ft and 0.20 T",
        "PPI TN-38 (2011), as quoted in a public installation guide",
        lambda g: Result(torque.snug_limit(g.quantity("target"))),
        {"target": "80 lbf·ft"},
        unit_of_choice=True,
    ),
    Reckoning(
        "cross-pattern",
        "Order of tightening, crosswise",
        (Input("bolts", Kind.COUNT, "number of bolts, even, 4 to 24"),),
        "each bolt once; then the opposite bolt (n/2); then the pair at 90° (n/4)",
        "ASME PCC-1 Legacy cross pattern, public copies (secondary); 6, 10, 14, 18, 22: common practice, no source",
        lambda g: Result(bolt_pattern.cross(g.count("bolts"))),
        {"bolts": "8"},
    ),
    Reckoning(
        "check-pattern",
        "Whether an order of tightening is a cross pattern",
        (
            Input("bolts", Kind.COUNT, "number of bolts, even, 4 to 24"),
            Input("order", Kind.COUNTS, "bolt numbers, clockwise from the top, in the order of tightening"),
        ),
        "each bolt once; then the opposite bolt (n/2); then the pair at 90° (n/4)",
        "structure of the ASME PCC-1 Legacy lists, public copies (secondary)",
        _check_pattern,
        {"bolts": "8", "order": "1, 5, 2, 6, 3, 7, 4, 8"},
    ),
    Reckoning(
        "slot-angle",
        "Turn from one slot of a castle nut to the next",
        (
            Input("slots", Kind.COUNT, "slots around the nut"),
            Input("holes", Kind.COUNT, "holes drilled through the bolt", "1"),
        ),
        "360° / least common multiple of slots and 2 × holes",
        "US Army TM 55-1520-240-23-1, para 1-13 note 5 (one castellation of six = 60°); geometry",
        lambda g: Result(Quantity.of(castle_nut.slot_angle(g.count("slots"), g.count("holes")), "°")),
        {"slots": "6"},
    ),
    Reckoning(
        "slot-travel",
        "How far a nut moves along its thread in a turn",
        (_THREAD, Input("turn", Dimension.ANGLE, "turn of the nut", "60 °")),
        "lead × turn / 360°",
        "geometry",
        lambda g: Result(castle_nut.advance(threads.thread(g.word("thread")), g.degrees("turn"))),
        {"thread": "3/8-24"},
        unit_of_choice=True,
    ),
    Reckoning(
        "castle-nut",
        "What to do with a castle nut now",
        (
            Input("rule", Kind.WORD, "the procedure's rule", words=tuple(castle_nut.Rule)),
            Input("torque", Dimension.TORQUE, "torque reached, drag included"),
            Input("minimum", Dimension.TORQUE, "least torque, without drag"),
            Input("maximum", Dimension.TORQUE, "most torque, without drag", optional=True),
            Input("drag", Dimension.TORQUE, "friction drag of the nut", optional=True),
            Input("aligned", Kind.YES_NO, "a slot lines up with the hole", "no"),
        ),
        "start at minimum + drag; never over maximum + drag",
        f"{_AC_43_13} f and NOTE; US Army TM 55-1520-240-23-1, para 1-13 note 5 and 1-14 d(2)",
        _castle_nut,
        {
            "rule": "tighten_to_next_slot",
            "torque": "85 N·m",
            "minimum": "80 N·m",
            "maximum": "105 N·m",
            "drag": "5 N·m",
        },
    ),
    Reckoning(
        "standard-torque",
        "Standard torque range of an inch thread, oil-free cadmium-plated",
        (
            Input("thread", Kind.WORDS, "size and threads per inch, as 3/8-24"),
            Input("nut", Kind.WORD, "kind of nut", "tension", words=("tension", "shear")),
        ),
        "table",
        "FAA AC 43.13-1B (9/8/98), Table 7-1",
        _standard_torque,
        {"thread": "3/8-24"},
        unit_of_choice=True,
    ),
    Reckoning(
        "least-drag",
        "Least drag at which a self-locking nut may still be used",
        (Input("thread", Kind.WORDS, "size and threads per inch, as 3/8-24"),),
        "table",
        "US Army TM 55-1520-240-23-1, para 1-13, friction torque table",
        lambda g: Result(torque_tables.least_drag(g.word("thread"))),
        {"thread": "3/8-24"},
        unit_of_choice=True,
    ),
)
