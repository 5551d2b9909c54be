"""What is missing: a stretch with steps left out; put the right ones back where they belong, and leave the others out.

Offered besides what is missing are steps of the same job that come only later. Every place that works is right.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills import walk
from trainer.drills.answer_forms import Choose, Option, Row
from trainer.drills.kind import Asked
from trainer.drills.lines import letters
from trainer.drills.mark import Mark, Remark
from trainer.procedure.wording import full_stop

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.drills.walk import Haste
    from trainer.procedure.draw import Draw
    from trainer.procedure.window import Procedure

KIND = "what-is-missing"
TITLE = "What is missing"

STRETCH = 7
MOST_LEFT_OUT, DECOYS = 2, 2
WRONG_PLACE = 0.5
_NOTHING = "Nothing is missing here"
_TRIES = 40


@dataclass(frozen=True)
class _Gap:
    """A stretch with steps left out: what was done before, the lines left, what is missing and after which line."""

    before: tuple[str, ...]
    lines: tuple[str, ...]
    place_of: Mapping[str, int]
    offered: tuple[str, ...]


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when the procedure is long enough to leave something out."""
    if not walk.has_order(procedure) or len(procedure.precedence.steps) <= STRETCH + 1:
        return ()
    return (Skill(KIND, "steps left out", KIND, critical=True),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    return "" if skills(procedure) else f"Add steps, more than {STRETCH + 1}, that depend on others."


def make(setting: Setting) -> Asked:
    """Return a row a line, to say what belongs between it and the next."""
    gap = _gap(setting)
    step = setting.module.steps
    texts = [_NOTHING, *(step[name].do for name in gap.offered)]
    options = tuple(Option(i, text) for i, text in zip(letters(len(texts)), texts, strict=True))
    rows = tuple(
        Row(letter, f"{number}. {full_stop(step[name].do)}", options, "And then?", options[0].id)
        for number, (letter, name) in enumerate(zip(letters(len(gap.lines)), gap.lines, strict=True), start=1)
    )
    return Asked(
        ask="Something was left out of this stretch. Put it back behind the line where it belongs.",
        given=f"{setting.size}. One or two steps are missing. What is not here and could be done before line 1 was done"
        " before. Not everything offered belongs here.",
        form=Choose(rows),
        guess=len(options) ** -len(rows),
    )


def key(setting: Setting) -> Answer:
    """Return each missing step behind the line where it was taken out."""
    gap = _gap(setting)
    letter_of = _letters(gap)
    behind = {place: step for step, place in gap.place_of.items()}
    rows = letters(len(gap.lines))
    return {row: letter_of[behind.get(number, "")] for number, row in enumerate(rows)}


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark: steps put back where they work, less half of one for each wrong one put in."""
    assert isinstance(answer, dict)  # noqa: S101  # the form has read it
    gap = _gap(setting)
    step_of = {letter: step for step, letter in _letters(gap).items()}
    put = [step_of[str(answer[row])] for row in letters(len(gap.lines))]
    good = _well_placed(setting.procedure, gap, put)
    remarks, critical = [], False
    for number, row in enumerate(letters(len(gap.lines))):
        remark = _remark(setting, gap, put, good, number, row)
        critical |= not remark.right and remark.signal is not None and remark.signal.is_critical
        remarks.append(remark)
    wrong = sum(1 for number, step in enumerate(put) if step and good.get(step) != number)
    right = len(good) == len(gap.place_of) and not wrong
    credit = (len(good) - WRONG_PLACE * wrong) / len(gap.place_of)
    return Mark(
        right=right,
        credit=1.0 if right else max(0.0, min(credit, 0.99)),
        critical=critical,
        headline=_headline(len(gap.place_of), len(good), wrong),
        remarks=tuple(remarks),
    )


def _headline(wanted: int, good: int, wrong: int) -> str:
    if good == wanted and not wrong:
        return "Right: the stretch is whole again."
    return f"{good} of {wanted} put back where it works{f', {wrong} put in wrongly' if wrong else ''}."


def _letters(gap: _Gap) -> dict[str, str]:
    """Return step → option id; no step is the first option."""
    return dict(zip(("", *gap.offered), letters(len(gap.offered) + 1), strict=True))


@lru_cache(maxsize=256)
def _gap(setting: Setting) -> _Gap:
    draw = setting.draw()
    procedure = setting.procedure
    gap = None
    while gap is None:
        start = draw.below(len(procedure.precedence.steps) - STRETCH)
        walked = walk.walked(procedure, draw, start + STRETCH)
        gap = _opened(procedure, walked[:start], walked[start:], draw)
    return gap


def _opened(
    procedure: Procedure, before: tuple[str, ...], stretch: tuple[str, ...], draw: Draw
) -> _Gap | None:
    """Return the stretch with steps taken out that have to stand between two of its lines; None without any."""
    held = [
        number
        for number, step in enumerate(stretch)
        if set(walk.lacking(procedure, before, step)) & set(stretch[:number])
        and any(step in walk.lacking_directly(procedure, before, later) for later in stretch[number + 1 :])
    ]
    if not held:
        return None
    gone = [draw.choice(held)]
    # A second one only where a line stays between the two, so that each gap takes one.
    apart = [n for n in held if abs(n - gone[0]) > 1 and not _tied(procedure, before, stretch, n, gone[0])]
    if apart and draw.below(MOST_LEFT_OUT):
        gone.append(draw.choice(apart))
    lines = tuple(step for number, step in enumerate(stretch) if number not in gone)
    place_of = {stretch[n]: n - 1 - sum(other < n for other in gone) for n in sorted(gone)}
    late = walk.too_early(procedure, (*before, *stretch))[: DECOYS * 2]
    decoys = draw.sample(late, min(len(late), DECOYS))
    return _Gap(before, lines, place_of, tuple(draw.shuffled([*place_of, *decoys])))


def _tied(
    procedure: Procedure, before: tuple[str, ...], stretch: tuple[str, ...], one: int, other: int
) -> bool:
    """Tell whether two steps depend on each other: then one could not be judged without the other."""
    first, second = sorted((one, other))
    return stretch[first] in walk.lacking(procedure, before, stretch[second])


def _well_placed(procedure: Procedure, gap: _Gap, put: list[str]) -> dict[str, int]:
    """Return missing step → the first gap in which it was put and where it works."""
    good: dict[str, int] = {}
    for number, step in enumerate(put):
        if step not in gap.place_of or step in good or _early(procedure, gap, step, number):
            continue
        if _waiting(procedure, gap, step, number + 1) is None:
            good[step] = number
    return good


def _early(procedure: Procedure, gap: _Gap, step: str, number: int) -> bool:
    """Tell whether a step cannot be done yet behind a line."""
    done = (*gap.before, *gap.place_of, *gap.lines[: number + 1])
    return bool(walk.lacking(procedure, done, step))


def _waiting(procedure: Procedure, gap: _Gap, step: str, lines: int) -> int | None:
    """Return the first of so many lines that needs a step, None when none does."""
    done_before = set(gap.before)
    for number, line in enumerate(gap.lines[:lines]):
        if step in walk.lacking(procedure, done_before, line):
            return number
    return None


def _remark(
    setting: Setting, gap: _Gap, put: list[str], good: Mapping[str, int], number: int, row: str
) -> Remark:
    procedure, module = setting.procedure, setting.module
    step = put[number]
    here = next((name for name, place in gap.place_of.items() if place == number and name not in good), "")
    owed, signal = "", None
    if here:
        needs = _without(procedure, gap, here)
        owed = f"Here “{module.steps[here].do}” is missing. {needs.happens}"
        signal = needs.signal
    if not step:
        return Remark(row, owed or "The next line follows at once.", signal, right=not here)
    name = f"“{module.steps[step].do}”"
    if good.get(step) == number:
        return Remark(row, f"{name} works here.", right=True)
    if step in good:
        return Remark(row, f"{name} stands in its place already, and is done once. {owed}".strip(), signal)
    late = _waiting(procedure, gap, step, number + 1) if step in gap.place_of else None
    if late is not None:
        told = f"{name} comes too late here: line {late + 1} needs it. {owed}"
    else:
        hasty = walk.haste(procedure, (*gap.before, *gap.lines[: number + 1]), step)
        signal = signal or hasty.signal
        told = f"{name} cannot be done here yet. {hasty.happens} {owed}"
    return Remark(row, told.strip(), signal)


def _without(procedure: Procedure, gap: _Gap, step: str) -> Haste:
    """Return what happens at the first line that needs a step which was left out."""
    first = next(
        number
        for number, line in enumerate(gap.lines)
        if step in walk.lacking_directly(procedure, gap.before, line)
    )
    others = [name for name in gap.place_of if name != step]
    return walk.haste(procedure, (*gap.before, *others, *gap.lines[:first]), gap.lines[first])
