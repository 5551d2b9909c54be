"""Name it: point at the parts that are named, or name the parts that are pointed at.

Beside each stand its neighbours and what looks like it. The numbers in the drawing are dealt anew each time, or the item
number would become the answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills import choices
from trainer.drills.answer_forms import Choose, Option, Point, Row
from trainer.drills.choices import Choice, Verdict
from trainer.drills.described import described
from trainer.drills.kind import Asked
from trainer.drills.lines import letters
from trainer.drills.sketch import Shown, has_shape, sketch
from trainer.procedure.wording import capital, in_sentence, listed, the

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.drills.mark import Mark
    from trainer.drills.sketch import Sketch
    from trainer.procedure.draw import Draw
    from trainer.procedure.model import Module
    from trainer.procedure.window import Procedure

KIND = "name-it"
TITLE = "Name it"

ROWS, PLACES, NAMES = 3, 8, 4
# With fewer parts a guess would be as good as knowing.
FEWEST = 6


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when there are enough parts that can be told apart in words."""
    sizes = procedure.module.sizes or ("",)
    if any(len(_askable(procedure, size)) < FEWEST for size in sizes):
        return ()
    return (Skill(KIND, "the parts by name and place", KIND),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    if skills(procedure):
        return ""
    return (
        f"Give {FEWEST} parts or fasteners names of their own, and what they rest on, clamp or are made of."
    )


def make(setting: Setting) -> Asked:
    """Return the names to find in the drawing, or the places to name."""
    problem = _problem(setting)
    rows = tuple(choice.row for choice in problem.choices)
    return Asked(
        ask="Point at each of these." if problem.pointing else "What are these parts called?",
        given=f"{setting.size}. The numbers are those of this drawing alone.".removeprefix(". "),
        form=Point(rows) if problem.pointing else Choose(rows),
        guess=choices.guess(problem.choices),
        picture=_picture(setting.module, problem.places, controls=problem.pointing),
    )


def key(setting: Setting) -> Answer:
    """Return the right place of each name, or the right name of each place."""
    return choices.key(_problem(setting).choices)


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark; a wrong name hurts nobody by itself."""
    right = "Right: that is where they sit, and what they are called."
    return choices.mark(_problem(setting).choices, answer, right, "{} taken for something else.")


def shown(setting: Setting, answer: Answer) -> tuple[Shown, ...]:
    """Return the drawing again, with what its numbers stand for."""
    del answer  # the same whatever was answered
    module, places = setting.module, _problem(setting).places
    picture = _picture(module, places, controls=False)
    words = [f"{count} {in_sentence(module.name(thing))}" for count, thing in enumerate(places, start=1)]
    return (Shown(f"{capital(listed(words))}.", picture),) if picture is not None else ()


@dataclass(frozen=True)
class _Problem:
    """Places by number from 1, and the rows with what there is to say about each of their options."""

    pointing: bool
    places: tuple[str, ...]
    choices: tuple[Choice, ...]


@lru_cache(maxsize=128)
def _askable(procedure: Procedure, size: str) -> tuple[str, ...]:
    """Return what can be asked: named and described as nothing else is, and drawn where anything is."""
    module = procedure.module
    things = [*module.parts, *module.fasteners]
    if module.geometry:
        things = [thing for thing in things if has_shape(module, thing)]
    names = [module.name(thing) for thing in things]
    told = [described(module, thing, size) for thing in things]
    return tuple(
        thing
        for thing, name, words in zip(things, names, told, strict=True)
        if words and names.count(name) == 1 and told.count(words) == 1
    )


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> _Problem:
    draw = setting.draw()
    pointing = setting.draw("form").below(2) == 0
    askable = _askable(setting.procedure, setting.size)
    asked = draw.sample(askable, ROWS)
    if pointing:
        places = tuple(draw.shuffled(_beside(setting.module, askable, asked, PLACES, draw)))
        rows = tuple(
            _to_point(setting, letter, thing, places)
            for letter, thing in zip(letters(len(asked)), asked, strict=True)
        )
        return _Problem(pointing, places, rows)
    places = tuple(asked)
    rows = tuple(
        _to_name(setting, letter, number, thing, _beside(setting.module, askable, [thing], NAMES, draw), draw)
        for number, (letter, thing) in enumerate(zip(letters(len(places)), places, strict=True), start=1)
    )
    return _Problem(pointing, places, rows)


def _beside(
    module: Module, askable: Sequence[str], asked: Sequence[str], wanted: int, draw: Draw
) -> list[str]:
    """Return things with their neighbours and look-alikes, then any others, so many in all."""
    found = list(asked)
    for thing in asked:
        for close in (_touching(module, thing), _alike(module, thing)):
            left = [other for other in askable if other in close and other not in found]
            found += draw.sample(left, min(len(left), 1))
    rest = [other for other in askable if other not in found]
    return [*found, *draw.sample(rest, max(0, min(len(rest), wanted - len(found))))][:wanted]


def _touching(module: Module, thing: str) -> set[str]:
    """Return what a part or fastener sits on, carries, clamps or locks, and what does so to it."""
    pairs: list[tuple[str, Iterable[str]]] = [
        *((part.id, (*part.rests_on, *part.locks)) for part in module.parts.values()),
        *((fastener.id, fastener.clamps) for fastener in module.fasteners.values()),
    ]
    return {other for one, others in pairs for other in others if one == thing} | {
        one for one, others in pairs if thing in others
    }


def _alike(module: Module, thing: str) -> set[str]:
    """Return what is taken for a thing: called by the same last word, or made of the same, or a fastener too."""

    def traits(name: str) -> set[str]:
        said = {module.name(name).casefold().split()[-1].rstrip("s")}
        material = module.parts[name].material if name in module.parts else ""
        return (
            said | ({material} if material else set()) | ({"thread"} if name in module.fasteners else set())
        )

    own = traits(thing)
    return {other for other in (*module.parts, *module.fasteners) if other != thing and own & traits(other)}


def _to_point(setting: Setting, letter: str, thing: str, places: Sequence[str]) -> Choice:
    """Return a name with all places to point at."""
    module, size = setting.module, setting.size
    words = {other: described(module, other, size) for other in places}
    number = {other: str(count) for count, other in enumerate(places, start=1)}
    where = f"{capital(the(module.name(thing)))} is number {number[thing]}: {words[thing]}."
    options = tuple(Option(number[other], words[other]) for other in places)
    verdicts = {
        number[other]: Verdict(where, right=True)
        if other == thing
        else Verdict(f"Number {number[other]} is {the(module.name(other))}. {where}")
        for other in places
    }
    return Choice(Row(letter, module.name(thing), options), verdicts)


def _to_name(
    setting: Setting, letter: str, number: int, thing: str, names: Sequence[str], draw: Draw
) -> Choice:
    """Return a place with names to choose from."""
    module, size = setting.module, setting.size
    here = f"Number {number} is {the(module.name(thing))}: {described(module, thing, size)}."
    offered = [
        (
            module.name(other),
            Verdict(here, right=True)
            if other == thing
            else Verdict(
                f"{capital(the(module.name(other)))} is elsewhere: {described(module, other, size)}. {here}"
            ),
        )
        for other in draw.shuffled(names)
    ]
    made = choices.choice(letter, f"Number {number}", offered)
    seen = f"{capital(described(module, thing, size))}."
    return Choice(Row(letter, made.row.text, made.row.options, seen=seen), made.verdicts)


def _picture(module: Module, places: Sequence[str], *, controls: bool) -> Sketch | None:
    if not module.geometry:
        return None
    numbers = tuple((thing, str(count)) for count, thing in enumerate(places, start=1))
    return sketch("section", numbers=numbers, controls=controls)
