"""Way round: choose for several parts at once how they go in, among them some that have no wrong way."""

from __future__ import annotations

from functools import lru_cache
from math import prod
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills.answer_forms import Choose, Option, Row
from trainer.drills.kind import Asked
from trainer.drills.lines import letters, numbers_of
from trainer.drills.mark import Mark, Remark
from trainer.drills.sketch import has_shape, sketch
from trainer.procedure.way_round import other_way, right_way
from trainer.procedure.wording import capital, full_stop, in_sentence, the

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.drills.sketch import Sketch
    from trainer.procedure.draw import Draw
    from trainer.procedure.model import Module, Part, WayRound
    from trainer.procedure.window import Procedure

KIND = "way-round"
TITLE = "Which way round"

MOST_ROWS = 5
EITHER = "either way will do"
# A part that has no wrong way round is asked with a mark that a new part often carries, so that the row looks like
# the others (common practice, no source: printing on a seal says nothing about its side).
_TELLTALE = "printed side"


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when at least two parts have a way round."""
    if len(_turnable(procedure.module)) < 2:
        return ()
    return (Skill(KIND, "which way round the parts go", KIND, critical=True),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    return (
        ""
        if skills(procedure)
        else "Give at least two parts `faces`, and `turned` for what happens otherwise."
    )


def make(setting: Setting) -> Asked:
    """Return a row a part, each with its ways round and 'either'."""
    rows = tuple(row for row, _ in _problem(setting))
    return Asked(
        ask="Which way round does each of these go in?",
        given="The parts lie on the bench, clean and sound. Up is towards the top of the drawing.",
        form=Choose(rows),
        guess=prod(1 / len(row.options) for row in rows),
    )


def key(setting: Setting) -> Answer:
    """Return the right option of each row."""
    module = setting.module
    return {row.id: _right(row, _says(module, part)) for row, part in _problem(setting)}


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark: a part fitted the wrong way round is critical, an 'either' part is not."""
    assert isinstance(answer, dict)  # noqa: S101  # the form has read it
    problem = _problem(setting)
    remarks = []
    critical = False
    for row, part in problem:
        chosen = next(option.text for option in row.options if option.id == answer[row.id])
        remark = _remark(setting.module, part, row, chosen)
        critical |= not remark.right and not _way(part).either
        remarks.append(remark)
    wrong = [remark for remark in remarks if not remark.right]
    return Mark(
        right=not wrong,
        credit=1 - len(wrong) / len(remarks),
        critical=critical,
        headline=_headline([part for (_, part), r in zip(problem, remarks, strict=True) if not r.right]),
        remarks=tuple(remarks),
    )


def _turnable(module: Module) -> list[Part]:
    return [part for part in module.parts.values() if part.way_round and not part.way_round.either]


def _way(part: Part) -> WayRound:
    assert part.way_round is not None  # noqa: S101  # only such parts are asked about
    return part.way_round


def _says(module: Module, part: Part) -> str:
    """Return the right option in words."""
    way = _way(part)
    return EITHER if way.either else right_way(module, way)


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[tuple[Row, Part], ...]:
    """Return the rows, each with its part: most have a way round, one or two have none."""
    draw = setting.draw()
    module = setting.module
    turnable = _turnable(module)
    either = [part for part in module.parts.values() if part.way_round and part.way_round.either]
    traps = draw.sample(either, min(len(either), 1 + draw.below(2)))
    parts = draw.sample(turnable, min(len(turnable), MOST_ROWS - len(traps)))
    chosen = draw.shuffled([*parts, *traps])
    return tuple(
        (_row(module, part, letter, draw), part)
        for part, letter in zip(chosen, letters(len(chosen)), strict=True)
    )


def _row(module: Module, part: Part, letter: str, draw: Draw) -> Row:
    way = _way(part)
    telltale = [f"{_TELLTALE} up", f"{_TELLTALE} down"]
    ways = telltale if way.either else [right_way(module, way), other_way(module, way)]
    shuffled = draw.shuffled([*ways, EITHER])
    options = tuple(
        Option(name, text, _picture(module, part, turned=text == ways[1]) if text in ways else None)
        for name, text in zip(letters(len(shuffled)), shuffled, strict=True)
    )
    return Row(letter, part.name, options, numbers_of(module, [part.id]))


def _picture(module: Module, part: Part, *, turned: bool) -> Sketch | None:
    """Return the part in place, as it goes or turned about; of a part with two equal faces both look alike."""
    if not has_shape(module, part.id):
        return None
    return sketch("way_round", part=part.id, wrong=(part.id,) if turned else ())


def _right(row: Row, text: str) -> str:
    return next(option.id for option in row.options if option.text == text)


def _remark(module: Module, part: Part, row: Row, chosen: str) -> Remark:
    right = _says(module, part)
    if chosen == right:
        return Remark(row.id, f"{part.name}: {right}.", right=True)
    if _way(part).either:
        return Remark(
            row.id,
            f"{part.name}: {chosen} does no harm, but both sides are alike: {EITHER}. Look for no side.",
        )
    what = _way(part).turned or f"{capital(the(part.name))} does not seat as it should"
    sides = "its sides differ; " if chosen == EITHER else ""
    return Remark(row.id, f"{part.name}: {sides}{right}. The other way: {in_sentence(full_stop(what))}")


def _headline(wrong: list[Part]) -> str:
    if not wrong:
        return "Right: all of them seat as they should."
    if len(wrong) == 1:
        return f"{capital(the(wrong[0].name))}: look at it again."
    return f"{len(wrong)} of them: look again, beginning with {the(wrong[0].name)}."
