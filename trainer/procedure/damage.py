"""What the eye finds on a part that is renewed on condition: forms of part, their damages, and marks that are none.

Names and causes of damages and what is harmless are common practice, no source. A part as found is drawn from a seed
as plain facts; whoever makes a picture of it and whoever says it in words take the same facts.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from trainer.procedure.draw import Draw
from trainer.procedure.wording import capital, full_stop

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping


class SeenAs(StrEnum):
    """The form of a part as the eye judges it."""

    O_RING = "o_ring"
    DIAPHRAGM = "diaphragm"
    SOFT_DISC = "soft_disc"
    SEAT_RING = "seat_ring"
    GASKET = "gasket"
    THREAD = "thread"


@dataclass(frozen=True)
class Damage:
    """A damage: its name, what makes it, and what is seen of it without naming it.

    `seen` may speak of `{side}` and `{count}`. `goes_back` when the part is cleaned and used again all the same.
    """

    id: str
    name: str
    why: str
    seen: tuple[str, ...]
    sides: tuple[str, str] = ("", "")
    counts: tuple[int, int] = (1, 1)
    goes_back: bool = False


_GAS_SOAKED = "Gas had soaked in, and the pressure was let down too fast for it to get out"
_WASHED = "Gas that leaked through a small gap has washed the gap wider"

DAMAGES: Mapping[SeenAs, tuple[Damage, ...]] = {
    SeenAs.O_RING: (
        Damage(
            "nick",
            "a nick",
            "An edge or a tool has cut into it, and gas finds the cut",
            (
                "in one place a short slit stands open in the cord, one of its sides a little raised",
                "a short slanting slit goes into the cord, and the rest is round and even",
            ),
        ),
        Damage(
            "extruded",
            "extrusion",
            "Pressure has pressed the ring into the gap, and the gap has nibbled it",
            (
                "along a stretch of the ring the {side} edge is drawn out into a thin ragged lip with small bites out of it",
                "the {side} edge is frayed over a finger's width and more, and little pieces are missing from it",
            ),
            sides=("inner", "outer"),
        ),
        Damage(
            "set",
            "compression set",
            "It has kept the shape of its groove and does not press any more",
            (
                "an even flat with a sharp edge on both sides runs all the way round, above and below",
                "above and below the cord is as flat as the faces it lay between, all the way round",
            ),
        ),
        Damage(
            "blister",
            "a blister",
            _GAS_SOAKED,
            (
                "in one place {count} of different size stand up out of the cord, the largest with a split on top",
                "the cord has {count} close together, soft under the finger, and the skin of the largest has burst",
            ),
            counts=(2, 5),
        ),
        Damage(
            "worn",
            "wear",
            "It has rubbed along a moving face until it was no longer round",
            (
                "along a good part of its {side} side the cord is flat and dull with fine lines, and round before and after",
                "a dull band with fine lines in it runs along the {side} side for a good way and then ends",
            ),
            sides=("inner", "outer"),
        ),
    ),
    SeenAs.DIAPHRAGM: (
        Damage(
            "torn",
            "a tear",
            "The cloth has given way, and gas goes straight through",
            (
                "a slit as long as a fingernail {side} stands open, and broken threads stand in it",
                "{side} there is an opening through which the bench shows, with threads across it",
            ),
            sides=("beside the place of the plate", "across the fold"),
        ),
        Damage(
            "cracked",
            "cracks along the crease",
            "Folding has tired the rubber, and the cloth is next",
            (
                "at the {side} foot of the fold fine dark lines run round side by side, branching, and gape when it is bent",
                "bent over a finger it shows dark branching lines along the {side} foot of the fold, and pale rubber beside them",
            ),
            sides=("inner", "outer"),
        ),
        Damage(
            "blister",
            "a blister",
            _GAS_SOAKED,
            (
                "a soft swelling {side} stands up like a pillow, wrinkled on top, with smaller ones beside it",
                "{side} the rubber has come up from the cloth in a soft hump that a finger pushes down and that comes back",
            ),
            sides=("on the flat", "on the fold"),
        ),
        Damage(
            "chafed",
            "wear at the clamp",
            "The rim has worked between its faces down to the cloth",
            (
                "at one side of the rim, where it lay between the faces, the rubber is gone and the bare weave shows",
                "part of the rim is down to its threads, with a wavy edge of rubber left beside them",
            ),
        ),
    ),
    SeenAs.SOFT_DISC: (
        Damage(
            "wire_drawn",
            "a wire-drawn groove",
            _WASHED,
            (
                "{count} straight across the print from inside to outside, smooth as if washed",
                "across the print {count}, their floors smooth and their edges soft",
            ),
            counts=(2, 4),
        ),
        Damage(
            "grit",
            "embedded grit",
            "Dirt was pressed into it and holds the crown off",
            (
                "in the print sit hard angular grains, each in a little pit, and none of them wipes off",
                "sharp light grains stand in the print, and a cloth does not take them along",
            ),
        ),
        Damage(
            "deep",
            "an indentation too deep",
            "The crown has sunk in so far that it no longer finds fresh rubber",
            (
                "the print of the crown is a broad ditch with steep walls all the way round, and rubber stands up beside it",
                "all the way round the print is a ditch in which a fingernail stands, and its edges begin to split",
            ),
        ),
        Damage(
            "nick",
            "a nick",
            "An edge or a tool has cut into it, and gas finds the cut",
            (
                "one short cut with a sharp edge lies across the print, one side of it raised",
                "the print is crossed by a single sharp slit, and even everywhere else",
            ),
        ),
    ),
    SeenAs.SEAT_RING: (
        Damage(
            "wire_drawn",
            "a wire-drawn groove",
            _WASHED,
            (
                "{count} straight across the crown, and the bright line is broken at each",
                "across the crown {count}, smooth in their floors as if washed out",
            ),
            counts=(2, 5),
        ),
        Damage(
            "nick",
            "a nick",
            "Something hard was shut in or fell on the crown, and gas finds the dent",
            (
                "at one place the bright line is broken by a short dent that throws a shadow, with a burr beside it",
                "a fingernail drawn along the crown catches once, at a dark dent with a bright splinter of metal beside it",
            ),
        ),
        Damage(
            "worn",
            "a worn crown",
            "The narrow crown has become a broad one and presses too little",
            (
                "where a narrow bright line should be runs a broad dull band with fine lines along it, all the way round",
                "the bright line has become a dull band several times as broad, all the way round",
            ),
        ),
        Damage(
            "pitted",
            "pitting",
            "Wet has stood on it and eaten into the crown",
            (
                "on one side the crown and the metal beside it have many small dark holes with brown round them",
                "a patch of pinholes with brown edges lies over the crown on one side",
            ),
        ),
    ),
    SeenAs.GASKET: (
        Damage(
            "cracked",
            "a crack",
            "It has gone hard and broken across",
            (
                "a dark jagged line goes across the ring from one edge, and opens when the ring is bent a little",
                "from its edge a jagged dark line runs through the ring, with a small fork in it",
            ),
        ),
        Damage(
            "torn",
            "a tear",
            "A piece stayed on the face when the joint came apart",
            (
                "a piece is missing from the {side} edge, and the break is fibrous",
                "at the {side} edge there is a bay with fibres standing out of it",
            ),
            sides=("inner", "outer"),
        ),
        Damage(
            "crushed",
            "a crushed place",
            "It was nipped out of line and squeezed flat on one side",
            (
                "over a part of the ring it is thin, dark and shiny, and stuff has been pressed out beyond both edges",
                "on one side it is much thinner than on the other, smooth as glass, and bulges out at both edges",
            ),
        ),
        Damage(
            "residue",
            "old residue",
            "The remains of an older one stick to it and hold the faces apart",
            (
                "dark brittle patches of another, older stuff stick to it and stand up from it",
                "flakes of something older and darker sit on it, raised, and do not come off with a cloth",
            ),
        ),
    ),
    SeenAs.THREAD: (
        Damage(
            "galled",
            "galling",
            "The flanks have welded and torn each other",
            (
                "over two or three turns the flanks are torn up, and bright lumps of metal are smeared over the crests",
                "some turns are rough with lumps of smeared metal and torn places beside them",
            ),
        ),
        Damage(
            "stripped",
            "a stripped thread",
            "The crests have been sheared off and hold nothing",
            (
                "for several turns the crests are gone down to a low wavy rest, and slivers of metal lie about",
                "a stretch of some turns is almost smooth, much lower than the turns on both sides of it",
            ),
        ),
        Damage(
            "corroded",
            "corrosion",
            "Rust has eaten the flanks and cannot be brushed back",
            (
                "crests and flanks are brown and rough, eaten into small holes",
                "brown spreads over several turns, and small holes go into crests and flanks",
            ),
        ),
        Damage(
            "dirty",
            "dirt only",
            "Old grease and dust come off with a brush",
            (
                "dark soft paste with dust in it sits in some of the roots, and the metal under it is even and sharp",
                "some roots are filled with dark paste that a fingernail pushes out, and bright even flanks are beneath",
            ),
            goes_back=True,
        ),
    ),
}
# How a sound one is spoken of.
SOUND: Mapping[SeenAs, tuple[str, ...]] = {
    SeenAs.O_RING: (
        "the cord is round and even all the way",
        "round cord everywhere, supple, of one thickness",
    ),
    SeenAs.DIAPHRAGM: (
        "rubber whole and supple from the hole to the rim",
        "nothing opens when it is bent over a finger",
    ),
    SeenAs.SOFT_DISC: (
        "the print of the crown is a narrow shallow ring, even all the way round",
        "a fine even print runs all the way round",
    ),
    SeenAs.SEAT_RING: (
        "the crown is a narrow bright line without a break all the way round",
        "a narrow bright line runs all the way round, and a fingernail drawn along it does not catch",
    ),
    SeenAs.GASKET: (
        "the ring is whole and equally thick all the way round",
        "whole at both edges and of one thickness",
    ),
    SeenAs.THREAD: (
        "crests and flanks are even and clean-edged from end to end",
        "every turn is as high and as sharp as the next",
    ),
}
# Marks that a sound part may have as well as a damaged one, by their ids.
MARKS: Mapping[SeenAs, Mapping[str, str]] = {
    SeenAs.O_RING: {
        "seam": "a hair-fine seam from the mould runs along it",
        "film": "a film of old grease shines on it",
        "smear": "a pale smear wipes off",
    },
    SeenAs.DIAPHRAGM: {
        "plate": "there is a faint ring where the plate sat",
        "clamp": "round the rim runs a band pressed smooth by the clamp",
        "grease": "there is a smear of grease",
        "chalk": "it has a chalk stroke from the last count",
    },
    SeenAs.SOFT_DISC: {
        "retainer": "there is a ring where the retainer lay",
        "smear": "a pale smear beside the print wipes off",
        "hair": "there is a hair line on the face, away from the print",
    },
    SeenAs.SEAT_RING: {
        "water": "there is a water mark on the flat face",
        "scratch": "there is a hair scratch on the flat face, away from the crown",
        "grease": "there is a smear of grease",
    },
    SeenAs.GASKET: {
        "faces": "it bears the fine even rings of the faces it lay between",
        "oil": "an oil stain has soaked in",
        "print": "printing of the sheet can still be made out",
    },
    SeenAs.THREAD: {
        "oil": "there are traces of old thread oil",
        "bright": "a crest is polished bright where the nut ran",
        "paint": "a paint mark goes across the shank",
    },
}
# How several of a thing are spoken of, where a damage counts: swellings of an O-ring, channels across a seat.
_SWELLINGS = (
    "",
    "one rounded swelling",
    "two rounded swellings",
    "three rounded swellings",
    "four rounded swellings",
    "five rounded swellings",
)
_CHANNELS = (
    "",
    "one channel runs",
    "two channels run",
    "three channels run",
    "four channels run",
    "five channels run",
)
_MOST_MARKS = 3


def damage(form: SeenAs, name: str) -> Damage | None:
    """Return a damage of a form of part by its id, or None."""
    return next((one for one in DAMAGES[form] if one.id == name), None)


def shown_with(form: SeenAs | None, chosen: Collection[str] = ()) -> tuple[Damage, ...]:
    """Return the damages that a part is shown with: those chosen of its form, or all; none without a form."""
    if form is None:
        return ()
    return tuple(one for one in DAMAGES[form] if not chosen or one.id in chosen)


@dataclass(frozen=True)
class AsFound:
    """A part as found: its form, what is wrong with it, the marks that matter nothing, and particulars of the damage.

    `side` is 0 or 1, which of the damage's sides; `count` how many there are of what it counts.
    """

    form: SeenAs
    damage: Damage | None
    marks: tuple[str, ...]
    side: int
    count: int
    words: str


def as_found(form: SeenAs, name: str, seed: str) -> AsFound:
    """Return a part as found, from a seed; `name` is the id of a damage, empty for a sound part.

    Marks are drawn alike for both, so that neither a mark nor the want of one tells anything.
    """
    wrong = damage(form, name)
    draw = Draw(f"{form}/{name}/{seed}/found")
    marks = tuple(draw.sample(MARKS[form], min(len(MARKS[form]), draw.below(_MOST_MARKS + 1))))
    side = draw.below(2)
    low, high = wrong.counts if wrong else (1, 1)
    count = low + draw.below(high - low + 1)
    counted = (_CHANNELS if name == "wire_drawn" else _SWELLINGS)[count]
    first = draw.choice(wrong.seen if wrong else SOUND[form])
    told = first.format(side=wrong.sides[side] if wrong else "", count=counted)
    words = capital(full_stop("; ".join((told, *(MARKS[form][mark] for mark in marks)))))
    return AsFound(form, wrong, marks, side, count, words)
