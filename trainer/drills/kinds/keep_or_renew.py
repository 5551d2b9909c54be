"""Keep or renew: for several parts as found, what happens to each and for which reason.

What is never used twice looks as good as anything else, a measured length is set against the limit of this size,
and what the job only cleans is not renewed for the sake of it. Parts that say what they are seen as are shown as found.
"""

from __future__ import annotations

from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills import as_shown, choices
from trainer.drills.choices import Choice, Verdict
from trainer.drills.kind import Asked
from trainer.drills.lines import letters, numbers_of
from trainer.procedure.conditions import Aspect
from trainer.procedure.model import Hazard, Renewal, Verb
from trainer.procedure.wording import capital, form, full_stop, in_sentence, the

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.drills.mark import Mark
    from trainer.procedure.draw import Draw
    from trainer.procedure.model import Fastener, Judgement, Module, Part
    from trainer.procedure.window import Procedure
    from trainer.trade.units import Quantity

KIND = "keep-or-renew"
TITLE = "Keep or renew"

# Rows in words alone; one less, and up to two with a picture, where parts can be shown as found.
ROWS, MOST_SHOWN = 4, 2
# What is said in favour of using an old part again, and of renewing a good one (common practice, no source).
_LOOKS = (
    "looks like new",
    "no mark on it under the glass",
    "went in new a month ago",
    "sat where it should, and came out clean",
)
# How far a measured length lies from its limit, as a share of it, on the good and on the bad side.
_GOOD, _BAD = (0.02, 0.06), (0.02, 0.05)


class Fate(StrEnum):
    """What becomes of a part, with the reason."""

    ALWAYS = "Renew: never used twice"
    CONDEMNED = "Renew: this finding condemns it"
    PASSED = "Use again: this finding passes it"
    KEPT = "Use again: this job does not renew it"


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when some parts are always renewed and some are judged."""
    always, judged, _ = _by_renewal(procedure.module)
    if len(always) < 2 or len(judged) < 2:
        return ()
    return (Skill(KIND, "what is renewed, and why", KIND),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    if skills(procedure):
        return ""
    return "Give two parts `renew: always_when_disturbed`, and two `renew: on_condition` with `judged`."


def make(setting: Setting) -> Asked:
    """Return a row a part, with what was found on it, and the limits of all sizes."""
    problem = _problem(setting)
    shown = f" {as_shown.SMALL_PRINT}" if any(choice.row.picture for choice in problem) else ""
    return Asked(
        ask="What becomes of each of these, and why?",
        given=f"{setting.size}. All of it was taken out and lies clean on the bench.{_limits(setting.module)}{shown}",
        form=choices.form(problem),
        guess=choices.guess(problem),
    )


def key(setting: Setting) -> Answer:
    """Return the right fate of each part."""
    return choices.key(_problem(setting))


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark; the right fate for a wrong reason is not right."""
    right = "Right: what goes back will hold, and nothing good was thrown away."
    return choices.mark(_problem(setting), answer, right, "{} to be thought over.")


def _by_renewal(module: Module) -> tuple[list[Part], list[Part | Fastener], list[Part]]:
    """Return what is always renewed, what is judged, and what this job takes out and only cleans."""
    out = {name for step in module.steps.values() for name in step.on(Verb.REMOVE)}
    parts = [part for part in module.parts.values() if part.id in out]
    things: list[Part | Fastener] = [*parts, *module.fasteners.values()]
    judged = [t for t in things if t.judged is not None and t.renew is Renewal.ON_CONDITION]
    always = [part for part in parts if part.renew is Renewal.ALWAYS]
    return always, judged, [part for part in parts if part.renew is Renewal.KEEP]


def _limits(module: Module) -> str:
    return "".join(
        f" {thing.name}, {judged.measure}: {_bounds(module, judged)}."
        for thing in _by_renewal(module)[1]
        if (judged := thing.judged) is not None and judged.measure
    )


def _bounds(module: Module, judged: Judgement) -> str:
    told = []
    for words, limit in (("at least", judged.at_least), ("at most", judged.at_most)):
        if limit is None:
            continue
        if limit.common is not None:
            told.append(f"{words} {limit.common.printed()}")
        else:
            each = [f"{v.printed()} at {size}" for size in module.sizes if (v := limit.at(size)) is not None]
            told.append(f"{words} {', '.join(each)}")
    return "; ".join(told)


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[Choice, ...]:
    draw = setting.draw()
    shown = as_shown.shown(setting.module)
    seen = draw.sample(shown, min(len(shown), MOST_SHOWN))
    told = _told(setting, draw, ROWS - bool(seen), {thing.id for thing in seen})
    rows = draw.shuffled([*seen, *told])
    return tuple(
        as_shown.choice(setting, thing, letter, draw)
        if thing in seen
        else _choice(setting, thing, letter, draw)
        for thing, letter in zip(rows, letters(len(rows)), strict=True)
    )


def _told(setting: Setting, draw: Draw, count: int, apart: set[str]) -> list[Part | Fastener]:
    """Return what is asked about in words: one of each rule as far as there is room, and others."""
    always, judged, kept = ([t for t in each if t.id not in apart] for each in _by_renewal(setting.module))
    firsts: list[Part | Fastener] = [draw.choice(each) for each in (judged, always, kept) if each]
    chosen = firsts[:count]
    left: list[Part | Fastener] = [t for t in (*always, *judged) if t not in chosen]
    return chosen + draw.sample(left, min(len(left), count - len(chosen)))


def _choice(setting: Setting, thing: Part | Fastener, letter: str, draw: Draw) -> Choice:
    found, fate, why = _finding(setting, thing, draw)
    offered = [(str(each), _verdict(thing, each, fate, why)) for each in Fate]
    numbers = numbers_of(setting.module, [thing.id])
    return choices.choice(letter, f"{thing.name}: {found}.", offered, numbers)


def _finding(setting: Setting, thing: Part | Fastener, draw: Draw) -> tuple[str, Fate, str]:
    """Return what was found, the right fate, and the reason."""
    if thing.renew is Renewal.ALWAYS:
        return draw.choice(_LOOKS), Fate.ALWAYS, _spent(setting.procedure, thing)
    if thing.judged is None or thing.renew is Renewal.KEEP:
        return draw.choice(_LOOKS), Fate.KEPT, "It is cleaned, looked at and put back; no kit has one"
    findings = _measured(setting, thing.judged, draw)
    findings += [(text, Fate.PASSED, "That is what a good one looks like") for text in thing.judged.sound]
    findings += [(text, Fate.CONDEMNED, "Such a one does not go back") for text in thing.judged.unsound]
    return draw.choice(findings)


def _measured(setting: Setting, judged: Judgement, draw: Draw) -> list[tuple[str, Fate, str]]:
    """Return a length on the good side of each limit and one on the bad side."""
    made = []
    for words, limits, sign in (("at least", judged.at_least, 1), ("at most", judged.at_most, -1)):
        limit = limits.at(setting.size) if limits else None
        if limit is None:
            continue
        for fate, shares, side in ((Fate.PASSED, _GOOD, sign), (Fate.CONDEMNED, _BAD, -sign)):
            value = _off(limit, side * draw.choice(shares))
            why = f"{capital(words)} {limit.printed()} at {setting.size}, and it has {value.printed()}"
            made.append((f"{judged.measure} {value.printed()}", fate, why))
    return made


def _off(limit: Quantity, share: float) -> Quantity:
    """Return a reading beside a limit, as a gauge shows it: to three figures."""
    return limit.scaled(1 + share).rounded(3)


def _spent(procedure: Procedure, thing: Part | Fastener) -> str:
    """Return what happens when the old one goes back in, as the simulation tells it."""
    needs = (need for operation in procedure.plan.operations.values() for need in operation.needs)
    wanted = (need.happens for need in needs if need.variable == (Aspect.SOUND, thing.id) and need.value)
    told = next(wanted, "")
    return told or f"{capital(the(thing.name))} {form(thing.name, 'is', 'are')} spent once taken out"


def _verdict(thing: Part | Fastener, chosen: Fate, right: Fate, why: str) -> Verdict:
    reason = full_stop(why)
    if chosen is right:
        return Verdict(f"{thing.name}: {in_sentence(right)}. {reason}", right=True)
    used = chosen in (Fate.PASSED, Fate.KEPT)
    again = right in (Fate.PASSED, Fate.KEPT)
    hazard = Hazard.CAUTION if used and not again else None
    return Verdict(f"{thing.name}: {_WRONG[right, chosen]} {reason}", signal=hazard)


_WRONG = {
    (
        Fate.ALWAYS,
        Fate.CONDEMNED,
    ): "renewed, yes, but not for what is seen on it; without a mark it goes just the same.",
    (Fate.ALWAYS, Fate.PASSED): "no finding passes it.",
    (Fate.ALWAYS, Fate.KEPT): "this job renews it each time.",
    (Fate.CONDEMNED, Fate.ALWAYS): "renewed, yes, but only because of the finding; a good one goes back.",
    (Fate.CONDEMNED, Fate.PASSED): "this finding does not pass it.",
    (Fate.CONDEMNED, Fate.KEPT): "it is judged in this job, and this one fails.",
    (Fate.PASSED, Fate.ALWAYS): "it may be used again when it is sound.",
    (Fate.PASSED, Fate.CONDEMNED): "the finding is no fault.",
    (Fate.PASSED, Fate.KEPT): "used again, yes, but only because it was judged and passed.",
    (Fate.KEPT, Fate.ALWAYS): "it is not among what is renewed each time.",
    (Fate.KEPT, Fate.CONDEMNED): "there is no fault in that finding.",
    (Fate.KEPT, Fate.PASSED): "used again, yes, but no limit is set for it in this job.",
}
