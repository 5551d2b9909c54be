"""Find the slip: a job card as somebody carried it out, with one to three slips, or with none.

The slips are those of the trade: a step out of order, something left out, a part the wrong way round, an old part
used again, a pass skipped, a torque in the wrong unit or of another size. A line that is in order and is marked all
the same is a false alarm, and costs: who doubts everything finds every slip and stops every job.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills import choices, walk
from trainer.drills.carried_out import entries
from trainer.drills.choices import Choice, Verdict
from trainer.drills.kind import Asked
from trainer.drills.lines import letters
from trainer.drills.mark import Mark
from trainer.procedure.wording import full_stop, in_sentence

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.drills.answer_forms import Answer
    from trainer.drills.carried_out import Entry
    from trainer.drills.kind import Setting
    from trainer.procedure.draw import Draw
    from trainer.procedure.window import Procedure

KIND = "find-the-slip"
TITLE = "Find the slip"

LINES = 6
MOST_SLIPS = 3
FALSE_ALARM = 0.5
FINE, EARLY, MISSING = "As it should be", "Comes too early", "Something before it is missing"
_TRIES = 40


@dataclass(frozen=True)
class _Card:
    """A card: what was done before it, its steps, what stands beside them, which of that is wrong, what is left out."""

    before: tuple[str, ...]
    steps: tuple[str, ...]
    entries: Mapping[str, Entry]
    spoiled: frozenset[str] = frozenset()
    left_out: str = ""

    def done_at(self, number: int) -> tuple[str, ...]:
        """Return everything done when a line begins."""
        return (*self.before, *self.steps[:number])


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when the procedure is long enough for a card."""
    if not walk.has_order(procedure) or len(procedure.precedence.steps) <= LINES:
        return ()
    return (Skill(KIND, "slips on a job card", KIND, critical=True),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    return "" if skills(procedure) else f"Add steps, more than {LINES}, that depend on others."


def make(setting: Setting) -> Asked:
    """Return the lines of the card, each to be passed or to be called a slip."""
    problem, _ = _problem(setting)
    return Asked(
        ask="Somebody filled in this card. Mark what is not as it should be.",
        given=f"{setting.size}. Up to {MOST_SLIPS} slips, perhaps none. A line marked for nothing costs."
        " What is not on it and could be done before, was done before.",
        form=choices.form(problem),
        guess=choices.guess(problem),
    )


def key(setting: Setting) -> Answer:
    """Return what is to be said of each line."""
    return choices.key(_problem(setting)[0])


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark: slips found, less half of one for each false alarm."""
    problem, slips = _problem(setting)
    given = choices.verdicts(problem, answer)
    found = sum(v.right for v, slip in zip(given, slips, strict=True) if slip)
    alarms = sum(not v.right for v, slip in zip(given, slips, strict=True) if not slip)
    right = all(verdict.right for verdict in given)
    credit = (found - FALSE_ALARM * alarms) / sum(slips) if any(slips) else 1 - FALSE_ALARM * alarms
    return Mark(
        right=right,
        credit=1.0 if right else max(0.0, min(credit, 0.99)),
        critical=any(verdict.critical for verdict in given),
        headline=_headline(sum(slips), found, alarms),
        remarks=choices.remarks(problem, answer),
    )


def _headline(slips: int, found: int, alarms: int) -> str:
    told = f"{found} of {slips} slips found" if slips else "There was no slip on this card"
    if found == slips and not alarms:
        return f"Right: {in_sentence(told)}, and nothing marked for nothing."
    return f"{told}{f', {alarms} marked for nothing' if alarms else ''}."


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[tuple[Choice, ...], tuple[bool, ...]]:
    """Return the rows, and for each whether it holds a slip."""
    card = _card(setting)
    faults = _faults(setting.procedure, card)
    rows = [
        _choice(setting, card, number, letter, faults[number])
        for number, letter in enumerate(letters(len(card.steps)))
    ]
    return tuple(rows), tuple(fault[0] != FINE for fault in faults)


def _card(setting: Setting) -> _Card:
    """Return a stretch of a legal walk with slips put in, as many as are drawn and find a place."""
    draw = setting.draw()
    procedure = setting.procedure
    wanted = draw.choice((0, 1, 1, 2, 2, 3))
    for _ in range(_TRIES):
        start = draw.below(len(procedure.precedence.steps) - LINES)
        walked = walk.walked(procedure, draw, start + LINES + 1)
        card = _with_slips(setting, _Card(walked[:start], walked[start:], {}), wanted, draw)
        if sum(fault[0] != FINE for fault in _faults(procedure, card)) == wanted:
            break
    return card


def _with_slips(setting: Setting, card: _Card, wanted: int, draw: Draw) -> _Card:
    kinds = draw.sample(("order", "left out", "entry", "entry", "entry"), wanted)
    if "left out" in kinds:
        card = _leave_out(setting.procedure, card, draw)
    card = replace(card, steps=card.steps[:LINES])
    if "order" in kinds:
        card = _bring_forward(setting.procedure, card, draw)
    said = {
        step: draw.choice(found)
        for step in card.steps
        if (found := entries(setting.procedure, setting.module.steps[step], setting.size))
    }
    faults = _faults(setting.procedure, card)
    sound = [
        step for step, fault in zip(card.steps, faults, strict=True) if step in said and fault == (FINE,)
    ]
    spoiled = draw.sample(sound, min(len(sound), kinds.count("entry")))
    return replace(card, entries=said, spoiled=frozenset(spoiled))


def _leave_out(procedure: Procedure, card: _Card, draw: Draw) -> _Card:
    """Return the card without a step that one of its later ones needs.

    It has to come after another line of the card as well, or it might have been done before the card begins.
    """
    needed = [
        step
        for number, step in enumerate(card.steps[:LINES])
        if set(walk.lacking(procedure, card.before, step)) & set(card.steps[:number])
        and any(
            step in walk.lacking_directly(procedure, card.before, later)
            for later in card.steps[number + 1 : LINES + 1]
        )
    ]
    if not needed:
        return card
    gone = draw.choice(needed)
    return replace(card, steps=tuple(step for step in card.steps if step != gone), left_out=gone)


def _bring_forward(procedure: Procedure, card: _Card, draw: Draw) -> _Card:
    """Return the card with one step in front of another that has to come before it."""
    pairs = [
        (first, second)
        for number, first in enumerate(card.steps)
        for second in card.steps[number + 1 :]
        if first in walk.lacking(procedure, card.before, second)
    ]
    if not pairs:
        return card
    first, second = draw.choice(pairs)
    rest = [step for step in card.steps if step != second]
    rest.insert(rest.index(first), second)
    return replace(card, steps=tuple(rest))


def _faults(procedure: Procedure, card: _Card) -> list[tuple[str, ...]]:
    """Return for each line what may be said of it; the first is what counts as its fault."""
    faults: list[tuple[str, ...]] = []
    told = False
    for number, step in enumerate(card.steps):
        open_steps = walk.lacking(procedure, card.done_at(number), step)
        direct = walk.lacking_directly(procedure, card.done_at(number), step)
        waits = (MISSING,) if card.left_out in open_steps else ()
        if step in card.spoiled:
            faults.append((card.entries[step].slip, *waits))
        elif set(direct) & set(card.steps):
            faults.append((EARLY, *waits))
        elif card.left_out in direct and not told:
            # The first line that needs what is left out tells it; the later ones may be marked or not.
            told = True
            faults.append(waits)
        else:
            faults.append((FINE, *waits))
    return faults


def _choice(setting: Setting, card: _Card, number: int, letter: str, fault: tuple[str, ...]) -> Choice:
    step = card.steps[number]
    entry = card.entries.get(step)
    names = (FINE, EARLY, MISSING, *((entry.slip,) if entry else ()))
    offered = [(name, _verdict(setting, card, number, name, fault)) for name in names]
    text = full_stop(setting.module.steps[step].do)
    if entry is not None:
        text += f" {full_stop(entry.bad if step in card.spoiled else entry.good)}"
    return choices.choice(letter, f"{number + 1}. {text}", offered, preset=FINE)


def _verdict(setting: Setting, card: _Card, number: int, chosen: str, fault: tuple[str, ...]) -> Verdict:
    if chosen in fault:
        return Verdict(_why(setting, card, number, chosen).text, right=True)
    if fault[0] == FINE:
        return Verdict(_NOTHING[chosen] if chosen in _NOTHING else _said_right(card, number))
    truth = _why(setting, card, number, fault[0])
    if chosen == FINE:
        return Verdict(
            f"Passed over: {in_sentence(truth.text)}", signal=truth.signal, critical=truth.critical
        )
    return Verdict(
        f"Something is wrong here, but not that it {_CALLED.get(chosen, f'is: {in_sentence(chosen)}')}. {truth.text}"
    )


def _why(setting: Setting, card: _Card, number: int, said: str) -> Verdict:
    """Return what there is to say of what is really so."""
    step = card.steps[number]
    if said == FINE:
        return Verdict("As it should be.", right=True)
    if said == MISSING and card.left_out not in walk.lacking_directly(
        setting.procedure, card.done_at(number), step
    ):
        gone = setting.module.steps[card.left_out].do
        return Verdict(f"“{gone}” is nowhere on the card; a line above needs it, and this one that line.")
    if said in (EARLY, MISSING):
        hasty = walk.haste(setting.procedure, card.done_at(number), step)
        before = setting.module.steps[
            card.left_out if said == MISSING else _comes_first(setting, card, number)
        ].do
        how = "is nowhere on the card" if said == MISSING else "comes first"
        text = f"“{before}” {how}. {hasty.happens}"
        return Verdict(text, signal=hasty.signal, critical=hasty.signal.is_critical)
    entry = card.entries[step]
    return Verdict(
        f"“{entry.bad}” is the slip. {entry.happens}",
        signal=entry.signal,
        critical=entry.signal.is_critical,
    )


def _comes_first(setting: Setting, card: _Card, number: int) -> str:
    """Return the line further down that should stand before this one."""
    open_steps = walk.lacking_directly(setting.procedure, card.done_at(number), card.steps[number])
    return next(step for step in card.steps[number:] if step in open_steps)


def _said_right(card: _Card, number: int) -> str:
    entry = card.entries[card.steps[number]]
    return f"Marked for nothing: {in_sentence(full_stop(entry.good))} That is how it should be."


_NOTHING = {
    EARLY: "Marked for nothing: no line further down has to come before it.",
    MISSING: "Marked for nothing: all that it needs was done.",
}
_CALLED = {EARLY: "comes too early", MISSING: "waits for something that is missing"}
