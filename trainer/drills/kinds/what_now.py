"""What now: the job is under way and several steps are offered; pick one that can be done.

Each pick moves the state on, and what is offered next depends on it. The steps that cannot be done yet are those
nearest to it: a few steps early, and rather those whose haste hurts somebody.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills import runs, walk
from trainer.drills.choices import Verdict
from trainer.drills.runs import Moment, Pick, Run
from trainer.drills.sketch import sketch
from trainer.procedure.wording import capital, full_stop, in_sentence

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Asked, Setting
    from trainer.drills.mark import Mark
    from trainer.drills.sketch import Sketch
    from trainer.procedure.draw import Draw
    from trainer.procedure.window import Procedure

KIND = "what-now"
TITLE = "What now?"

MOMENTS = 4
_FEWEST, _MOST_RIGHT, _MOST_WRONG = 3, 2, 4
_NEAR = 6
_TOLD = 3


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when the procedure is long enough and has something to put in order."""
    if not walk.has_order(procedure) or not _starts(procedure):
        return ()
    return (Skill(KIND, "what comes next", KIND, critical=True),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    return "" if skills(procedure) else f"Add steps, more than {MOMENTS}, that depend on others."


def make(setting: Setting) -> Asked:
    """Return the first moment."""
    return runs.begun(_run(setting))


def go_on(setting: Setting, picked: Sequence[str]) -> Asked | None:
    """Return the moment that picks lead to, None when the run is over."""
    return runs.asked(_run(setting), picked)


def key(setting: Setting) -> Answer:
    """Return picks that can all be done."""
    return runs.key(_run(setting))


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark; a step that hurts somebody when it comes too early is critical."""
    right = "Right: each step could be done when you took it."
    return runs.mark(_run(setting), answer, right, "Pick {} comes too early.")


def _starts(procedure: Procedure) -> range:
    """Return how many steps may be done before the run begins: enough must be left to pick from."""
    return range(max(0, len(procedure.precedence.steps) - MOMENTS - 1))


def _run(setting: Setting) -> Run:
    before = _before(setting)
    return Run(MOMENTS, lambda picked: _moment(setting, before, picked))


@lru_cache(maxsize=256)
def _before(setting: Setting) -> tuple[str, ...]:
    """Return the steps done before the run begins, one after the other as they could be done."""
    draw = setting.draw("before")
    procedure = setting.procedure
    wanted = draw.choice(_starts(procedure))
    while True:
        done = walk.walked(procedure, draw, wanted)
        if walk.too_early(procedure, done):
            return done
        # Everything that is left can be done: there is nothing to get wrong, so fewer steps are done.
        wanted -= 1


@lru_cache(maxsize=512)
def _moment(setting: Setting, before: tuple[str, ...], picked: tuple[str, ...]) -> Moment | None:
    if len(picked) == MOMENTS:
        return None
    procedure, done = setting.procedure, (*before, *picked)
    early = walk.too_early(procedure, done)
    if not early:
        return None
    draw = setting.draw(f"moment/{'/'.join(picked)}")
    possible = walk.possible(procedure, done)
    wrong = _wrong(setting, done, early, draw)
    wanted = max(1 + draw.below(_MOST_RIGHT), _FEWEST - len(wrong))
    right = draw.sample(possible, min(len(possible), wanted))
    offered = [Pick(step, setting.module.steps[step].do, _goes(setting, step)) for step in right]
    offered += [Pick(step, setting.module.steps[step].do, _hasty(setting, done, step)) for step in wrong]
    return Moment(
        "What now? Pick a step that can be done.",
        _told(setting, before),
        tuple(draw.shuffled(offered)),
        _picture(setting, done),
    )


def _picture(setting: Setting, done: tuple[str, ...]) -> Sketch | None:
    """Return the machine as it stands, or the station when the parts have no shapes."""
    if setting.module.geometry:
        return sketch("state", done=done, step="")
    return sketch("station", done=done, told=False) if setting.module.station else None


def _wrong(setting: Setting, done: Sequence[str], early: list[str], draw: Draw) -> list[str]:
    """Return steps that come too early: one that hurts if there is one near, and others near by.

    Of steps that fail for the same reason one is enough: each wrong pick shall show something of its own. Where the near
    ones all fail for one reason, those further off are looked at as well.
    """
    near = _for_different_reasons(setting, done, early[:_NEAR])
    if len(near) < _FEWEST - 1:
        near = _for_different_reasons(setting, done, early)[: _FEWEST - 1]
    hurting = [step for step in near if _hasty(setting, done, step).critical]
    first = draw.sample(hurting, min(1, len(hurting)))
    rest = [step for step in near if step not in first]
    fewest = _FEWEST - 1
    wanted = min(fewest + draw.below(_MOST_WRONG - fewest + 1), len(near))
    return [*first, *draw.sample(rest, wanted - len(first))]


def _for_different_reasons(setting: Setting, done: Sequence[str], steps: Sequence[str]) -> list[str]:
    # The nearest of those with the same reason is kept, and the nearest come first.
    kept = {_hasty(setting, done, step).text: step for step in reversed(steps)}
    return sorted(kept.values(), key=steps.index)


def _told(setting: Setting, before: tuple[str, ...]) -> str:
    if not before:
        return f"{setting.size}. Nothing is done yet."
    last = " ".join(capital(full_stop(setting.module.steps[step].do)) for step in before[-_TOLD:])
    return f"{setting.size}. {len(before)} of {len(setting.module.steps)} steps are done, these last: {last}"


def _goes(setting: Setting, step: str) -> Verdict:
    note = setting.module.steps[step].note
    return Verdict(f"That goes now. {full_stop(note)}" if note else "That goes now.", right=True)


def _hasty(setting: Setting, done: Sequence[str], step: str) -> Verdict:
    """Return what happens when the step is done now, and which step comes first."""
    hasty = walk.haste(setting.procedure, done, step)
    comes = in_sentence(full_stop(setting.module.steps[hasty.first].do))
    return Verdict(f"{hasty.happens} First: {comes}", signal=hasty.signal, critical=hasty.signal.is_critical)
