"""Named computations about lifting by hand and by sling."""

from __future__ import annotations

from trainer.trade import lifting, slings
from trainer.trade.reckoning import Given, Input, Kind, Reckoning, Result
from trainer.trade.units import Dimension, Quantity

_NIOSH = "DHHS (NIOSH) 94-110, Applications Manual for the Revised NIOSH Lifting Equation (1994, rev. 9/2021)"
_SLING_SOURCE = "load angle factors citing ANSI B30.9; OSHA training toolbox talk on sling angles (29 CFR 1910.184, 1926.251)"
_DURATIONS = dict(zip(("short", "moderate", "long"), lifting.Duration, strict=True))
_SYSTEM = Input("system", Kind.WORD, "form of the equation", "metric", words=tuple(lifting.System))
_RATE = Input("rate", Kind.NUMBER, "lifts a minute")
_VERTICAL = Input("vertical", Dimension.LENGTH, "height of the hands over the floor")
_ANGLE = Input("angle", Dimension.ANGLE, "angle of the legs")
_REFERENCE = Input("reference", Kind.WORD, "from what the angle is read", words=tuple(slings.Reference))
_WEIGHT = (Dimension.MASS, Dimension.FORCE)


def _lift_limit(given: Given) -> Result:
    system = lifting.System(given.word("system"))
    end = lifting.End(given.quantity("horizontal"), given.quantity("vertical"), given.degrees("twist"))
    origin = end
    if given.has("origin_vertical"):
        origin = lifting.End(end.horizontal, given.quantity("origin_vertical"), end.twist)
    lift = lifting.Lift(
        origin=origin,
        travel=given.quantity("travel"),
        lifts_per_minute=given.number("rate"),
        duration=_DURATIONS[given.word("duration")],
        coupling=lifting.Coupling(given.word("coupling")),
        destination=end,
    )
    factors = lifting.multipliers(system, lift, at_destination=True)
    limit = lifting.recommended_weight(system, factors)
    notes = [
        f"HM {factors.horizontal:.3f}, VM {factors.vertical:.3f}, DM {factors.travel:.3f}, "
        f"AM {factors.twist:.3f}, FM {factors.frequency:.3f}, CM {factors.coupling:.3f}."
    ]
    if given.has("load"):
        load = given.quantity("load")
        notes.append(f"Lifting index of {load.printed()}: {lifting.lifting_index(load, limit):.2f}.")
    return Result(limit, tuple(notes))


def _duration(given: Given) -> Result:
    found = lifting.duration(given.numbers("work"), given.numbers("recovery"))
    return Result(
        next(word for word, duration in _DURATIONS.items() if duration is found), (f"{found.capitalize()}.",)
    )


RECKONINGS = (
    Reckoning(
        "lift-limit",
        "Recommended weight limit of a lift by one person",
        (
            Input("horizontal", Dimension.LENGTH, "hands out from the middle between the ankles"),
            _VERTICAL,
            Input("travel", Dimension.LENGTH, "how far up or down the hands move"),
            _RATE,
            Input("twist", Dimension.ANGLE, "twist of the body", "0 °"),
            Input(
                "duration", Kind.WORD, "length of work: up to 1, 2 or 8 h", "short", words=tuple(_DURATIONS)
            ),
            Input("coupling", Kind.WORD, "grip", "fair", words=tuple(lifting.Coupling)),
            _SYSTEM,
            Input(
                "origin_vertical",
                Dimension.LENGTH,
                "height at the origin, when this is the destination",
                optional=True,
            ),
            Input("load", Dimension.MASS, "mass of the load, for its lifting index", optional=True),
        ),
        "RWL = LC × HM × VM × DM × AM × FM × CM",
        f"{_NIOSH}, sec. 1.3, Tables 1-5 and 7",
        _lift_limit,
        {"horizontal": "30 cm", "vertical": "75 cm", "travel": "50 cm", "rate": "0.2", "load": "20 kg"},
        unit_of_choice=True,
    ),
    Reckoning(
        "lifting-index",
        "A load as a multiple of the recommended weight limit",
        (
            Input("load", Dimension.MASS, "mass of the load"),
            Input("limit", Dimension.MASS, "recommended weight limit"),
        ),
        "LI = L / RWL",
        f"{_NIOSH}, sec. 1.2 (section from memory)",
        lambda g: Result(lifting.lifting_index(g.quantity("load"), g.quantity("limit"))),
        {"load": "26 lb", "limit": "15.2 lb"},
    ),
    Reckoning(
        "lift-duration",
        "Class of duration of lifting sessions",
        (
            Input("work", Kind.NUMBERS, "minutes of lifting, session by session"),
            Input("recovery", Kind.NUMBERS, "minutes between them, one fewer", optional=True),
        ),
        "sessions count as one when the recovery is under 1.0 × (up to 1 h) or 0.3 × (up to 2 h) the work before",
        f"{_NIOSH}, sec. 1.3.5.2, p. 14",
        _duration,
        {"work": "30, 45", "recovery": "10"},
    ),
    Reckoning(
        "lift-rate",
        "Lifts a minute to use when lifting fills part of a window",
        (
            _RATE,
            Input("minutes", Kind.NUMBER, "minutes of lifting in each window"),
            Input("window", Kind.NUMBER, "minutes of the window", "15"),
        ),
        "rate × minutes / window",
        f"{_NIOSH}, sec. 1.3.5.5, p. 16",
        lambda g: Result(
            lifting.average_rate(g.number("rate"), g.number("minutes"), g.number("window")), unit="lifts/min"
        ),
        {"rate": "10", "minutes": "5"},
    ),
    Reckoning(
        "horizontal-estimate",
        "Horizontal distance of the hands from the width of the load",
        (Input("width", Dimension.LENGTH, "depth of the load away from the body"), _VERTICAL, _SYSTEM),
        "H = 20 + W/2, or 25 + W/2 with the hands below 25 cm (8 and 10 below 10 in)",
        f"{_NIOSH}, sec. 1.3.1.1, p. 8",
        lambda g: Result(
            lifting.estimated_horizontal(
                lifting.System(g.word("system")), g.quantity("width"), g.quantity("vertical")
            )
        ),
        {"width": "40 cm", "vertical": "75 cm"},
        unit_of_choice=True,
    ),
    Reckoning(
        "sling-leg",
        "Load on one sling leg",
        (
            Input("load", _WEIGHT, "load"),
            Input("legs", Kind.COUNT, "legs that carry evenly"),
            _ANGLE,
            _REFERENCE,
        ),
        "load / legs / sin(angle from the horizontal)",
        _SLING_SOURCE,
        lambda g: Result(
            _leg(g), ("A rigid load on three or four legs hangs on two: common practice, no source.",)
        ),
        {"load": "200 kg", "legs": "2", "angle": "60 °", "reference": "horizontal"},
        unit_of_choice=True,
    ),
    Reckoning(
        "sling-capacity",
        "What may hang on sling legs at an angle",
        (
            Input("rating", _WEIGHT, "rating of one leg pulled straight"),
            _ANGLE,
            _REFERENCE,
            Input("legs", Kind.COUNT, "legs that carry evenly", "1"),
        ),
        "rating × legs × sin(angle from the horizontal)",
        _SLING_SOURCE,
        lambda g: Result(
            slings.capacity(
                g.quantity("rating"),
                g.degrees("angle"),
                slings.Reference(g.word("reference")),
                g.count("legs"),
            )
        ),
        {"rating": "1000 lb", "angle": "60 °", "reference": "horizontal"},
        unit_of_choice=True,
    ),
)


def _leg(given: Given) -> Quantity:
    return slings.leg_load(
        given.quantity("load"),
        given.count("legs"),
        given.degrees("angle"),
        slings.Reference(given.word("reference")),
    )
