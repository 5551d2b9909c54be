"""How a part is lifted, and in which sling: worked out from mass, reach and angle, with the slips that go wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drills.choices import Verdict
from trainer.drills.sketch import sketch
from trainer.procedure.model import Hazard
from trainer.trade import lifting, slings
from trainer.trade.lifting import Coupling, Duration, End, Lift, System
from trainer.trade.slings import Reference
from trainer.trade.units import Quantity

if TYPE_CHECKING:
    from trainer.drills.sketch import Sketch
    from trainer.procedure.draw import Draw
    from trainer.procedure.model import Part

ONE, TWO, HOIST = "One person", "Two people, one on each side", "Hoist and slings"
# Ratings on an invented rack, spaced as the preferred numbers R 10 (ISO 3, from memory).
RACK = (10, 12.5, 16, 20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500)
ANGLES = (30, 45, 60, 75)
_OPTIONS = 4


def is_offered(part: Part, size: str) -> bool:
    """Tell whether there is enough to say how a part is lifted at a size."""
    return _mass(part, size) is not None and part.handled is not None


def limit(part: Part, size: str) -> Quantity:
    """Return the recommended weight limit for one person, for a part lifted now and then with a fair grip.

    It is a hair above nothing where nobody should lift by hand at all: out of reach, too high, twisted too far.
    """
    handled = part.handled
    assert handled is not None and handled.reach is not None and handled.height is not None  # noqa: S101, PT018
    reach, height = handled.reach.at(size), handled.height.at(size)
    assert reach is not None and height is not None  # noqa: S101, PT018  # the checker sees to both
    twist = float(handled.twist.to("°").value) if handled.twist else 0.0
    lift = Lift(End(reach, height, twist), Quantity.of(25, "cm"), 0.2, Duration.SHORT, Coupling.FAIR)
    try:
        return lifting.recommended_weight(System.METRIC, lifting.multipliers(System.METRIC, lift))
    except lifting.LiftRefused:
        return Quantity.of("0.001", "kg")


def lifting_row(part: Part, size: str) -> tuple[str, list[tuple[str, Verdict]], Sketch]:
    """Return how the lift is asked, a verdict on each way of doing it, and what is given as a picture."""
    mass, most = _mass(part, size), limit(part, size)
    assert mass is not None and part.handled is not None  # noqa: S101, PT018  # see is_offered
    right = ONE if mass <= most else TWO if mass <= most.scaled(2) else HOIST
    told = (
        f"There one person should lift up to {most.printed(2)} (NIOSH 94-110), and it has {mass.printed()}."
    )
    text = f"{part.name}, {mass.printed()}, {_where(part, size)}. Who or what lifts it?"
    offered = [(way, _lift_verdict(way, right, told)) for way in (ONE, TWO, HOIST)]
    return text, offered, sketch("lifting", part=part.id)


def _where(part: Part, size: str) -> str:
    handled = part.handled
    assert handled is not None and handled.reach is not None and handled.height is not None  # noqa: S101, PT018
    reach, height = handled.reach.at(size), handled.height.at(size)
    twist = f", body twisted {handled.twist.printed()}" if handled.twist else ""
    assert reach is not None and height is not None  # noqa: S101, PT018
    return f"hands {reach.printed()} out and {height.printed()} over the floor{twist}"


def _lift_verdict(way: str, right: str, told: str) -> Verdict:
    order = (ONE, TWO, HOIST)
    if way == right:
        return Verdict(told, right=True)
    if order.index(way) < order.index(right):
        many = (
            "It is dropped, or a back pays for it." if way == ONE else "Even halved it is too much for each."
        )
        return Verdict(f"{many} {told}", signal=Hazard.CAUTION)
    more = "A second pair of hands is in the way" if way == TWO else "Rigging takes longer than the lift"
    return Verdict(f"{more}, and nothing is gained. {told}")


def sling_row(part: Part, size: str, draw: Draw) -> tuple[str, list[tuple[str, Verdict]], Sketch]:
    """Return how the sling is asked, a verdict on each rating of the rack that is offered, and what is given as a picture."""
    mass = _mass(part, size)
    assert mass is not None and part.handled is not None  # noqa: S101, PT018  # see is_offered
    legs, angle = part.handled.legs, draw.choice(ANGLES)
    reference = draw.choice([r for r in Reference if _stands(angle, r)])
    load = slings.leg_load(mass, legs, angle, reference)
    right = _lightest(load)
    said = {right: Verdict(f"Each leg carries {load.printed(3)}.", right=True)}
    for wrong, words in _slips(mass, legs, angle, reference):
        said.setdefault(_lightest(wrong), _sling_verdict(_lightest(wrong), right, words, load))
    for near in (*RACK[RACK.index(right) + 1 :], *reversed(RACK[: RACK.index(right)])):
        if len(said) < _OPTIONS:
            said.setdefault(near, _sling_verdict(near, right, "", load))
    text = f"{part.name}, {mass.printed()}, hangs on {legs} legs at {angle}° from the {reference}. Which is the lightest"
    offered = sorted(said)[: max(_OPTIONS, sorted(said).index(right) + 1)]
    picture = sketch("lifting", part=part.id, angle=angle, reference=reference.value, legs=legs)
    ratings = [(f"{rating:g} kg a leg", said[rating]) for rating in offered]
    return f"{text} sling that may be used?", ratings, picture


def _stands(angle: int, reference: Reference) -> bool:
    return (angle if reference is Reference.HORIZONTAL else 90 - angle) >= slings.FLATTEST_DEGREES


def _lightest(load: Quantity) -> float:
    kilograms = float(load.to("kg").value)
    return next((rating for rating in RACK if rating >= kilograms), RACK[-1])


def _slips(mass: Quantity, legs: int, angle: int, reference: Reference) -> list[tuple[Quantity, str]]:
    """Return what each leg would carry by the slips of the trade, and how they are called."""
    other = Reference.VERTICAL if reference is Reference.HORIZONTAL else Reference.HORIZONTAL
    slips = [(mass.scaled(1 / legs), "That shares the load out and leaves the angle out")]
    if _stands(angle, other):
        slips.append((slings.leg_load(mass, legs, angle, other), f"That reads the angle from the {other}"))
    return [*slips, (mass, "That gives the whole load to one leg")]


def _sling_verdict(rating: float, right: float, words: str, load: Quantity) -> Verdict:
    lead = f"{words}. " if words else ""
    if rating < right:
        return Verdict(
            f"{lead}{rating:g} kg is overloaded: each leg carries {load.printed(3)}.",
            signal=Hazard.WARNING,
            critical=True,
        )
    return Verdict(f"{lead}{rating:g} kg holds, but a lighter one does: each leg carries {load.printed(3)}.")


def _mass(part: Part, size: str) -> Quantity | None:
    return part.mass.at(size) if part.mass else None
