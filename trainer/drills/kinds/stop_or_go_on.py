"""Stop or go on: sights and readings during the job, each to be met by going on, reporting, making safe or stopping.

Among them are some that only look wrong: who stops for everything is no safer, only slower. What a person shows
here is counted by itself, because the law asks for it by itself.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills import choices
from trainer.drills.choices import Choice, Verdict
from trainer.drills.kind import Asked
from trainer.drills.lines import letters
from trainer.procedure.model import Reaction
from trainer.procedure.wording import full_stop, in_sentence

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.drills.mark import Mark
    from trainer.procedure.model import Module, Sight
    from trainer.procedure.window import Procedure

KIND = "stop-or-go-on"
TITLE = "Stop or go on"

ROWS = 4
_FEWEST_ABNORMAL, _FEWEST_NORMAL = 3, 1
WORDS = {
    Reaction.GO_ON: "Go on",
    Reaction.REPORT: "Hold and report, go on only as told",
    Reaction.MAKE_SAFE: "Make it safe, then report",
    Reaction.STOP: "Stop, get clear, raise the alarm",
}
# What is wrong with an answer, by what was right and what was chosen; `how` and `otherwise` follow.
_TOO_LITTLE = {
    (Reaction.REPORT, Reaction.GO_ON): "If you go on",
    (Reaction.MAKE_SAFE, Reaction.GO_ON): "If you go on",
    (Reaction.STOP, Reaction.GO_ON): "If you go on",
    (Reaction.MAKE_SAFE, Reaction.REPORT): "Nobody at the radio can do it for you, and while you wait",
    (Reaction.STOP, Reaction.REPORT): "While you hold and talk you stand in it",
    (Reaction.STOP, Reaction.MAKE_SAFE): "Your hands stay where they must not be",
}
_TOO_MUCH = {
    (Reaction.GO_ON, Reaction.REPORT): "The call is not wrong, but the run stands still for nothing.",
    (
        Reaction.GO_ON,
        Reaction.MAKE_SAFE,
    ): "There is nothing to make safe, and work undone has to be done again.",
    (Reaction.GO_ON, Reaction.STOP): "An alarm for this is not believed the next time.",
    (Reaction.REPORT, Reaction.MAKE_SAFE): "Nothing is loose that could hurt; what is missing is a decision.",
    (Reaction.REPORT, Reaction.STOP): "Nobody is in danger as it stands; running away decides nothing.",
    (Reaction.MAKE_SAFE, Reaction.STOP): "Walking off leaves it as it is, and it gets worse by itself.",
}


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when the module tells enough abnormal sights and some that only look so."""
    normal, abnormal = _sights(procedure.module)
    if len(normal) < _FEWEST_NORMAL or len(abnormal) < _FEWEST_ABNORMAL:
        return ()
    title = "abnormal conditions: stop, make safe, report or go on"
    return (Skill(KIND, title, KIND, critical=True, abnormal=True),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    if skills(procedure):
        return ""
    return (
        f"Add `sights`: at least {_FEWEST_ABNORMAL} abnormal ones and {_FEWEST_NORMAL} that only looks so,"
        " with `do: go_on`."
    )


def make(setting: Setting) -> Asked:
    """Return a row a sight, in the order of the job."""
    problem = _problem(setting)
    return Asked(
        ask="You see, hear or read this during the job. What do you do?",
        given=f"{setting.size}. Each stands for itself. Some of it is as it should be.",
        form=choices.form(problem),
        guess=choices.guess(problem),
    )


def key(setting: Setting) -> Answer:
    """Return the right reaction to each sight."""
    return choices.key(_problem(setting))


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark; doing too little about what can kill or maim is critical."""
    return choices.mark(
        _problem(setting),
        answer,
        "Right: nobody gets hurt, and nothing stands still for nothing.",
        "{} you would have met in the wrong way.",
    )


def _sights(module: Module) -> tuple[list[Sight], list[Sight]]:
    """Return the sights that are as they should be, and the abnormal ones."""
    known = [sight for sight in module.sights.values() if any(step in module.steps for step in sight.during)]
    normal = [sight for sight in known if sight.do is Reaction.GO_ON]
    return normal, [sight for sight in known if sight.do is not Reaction.GO_ON]


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[Choice, ...]:
    draw = setting.draw()
    normal, abnormal = _sights(setting.module)
    calm = draw.sample(normal, min(len(normal), 1 + draw.below(2)))
    drawn = [*calm, *draw.sample(abnormal, min(len(abnormal), ROWS - len(calm)))]
    order = list(setting.module.steps)
    met = [(_step(setting.module, sight), sight) for sight in draw.shuffled(drawn)]
    met.sort(key=lambda pair: order.index(pair[0]))
    return tuple(
        _choice(letter, setting.module.steps[step].do, sight)
        for letter, (step, sight) in zip(letters(len(met)), met, strict=True)
    )


def _step(module: Module, sight: Sight) -> str:
    return next(step for step in sight.during if step in module.steps)


def _choice(letter: str, step: str, sight: Sight) -> Choice:
    offered = [(words, _verdict(sight, reaction)) for reaction, words in WORDS.items()]
    return choices.choice(letter, full_stop(sight.sight), offered, f"At the step: {in_sentence(step)}")


def _verdict(sight: Sight, chosen: Reaction) -> Verdict:
    how = full_stop(sight.how)
    if chosen is sight.do:
        return Verdict(how, right=True)
    pair = (sight.do, chosen)
    if pair in _TOO_MUCH:
        return Verdict(f"{_TOO_MUCH[pair]} {how}")
    what = f"{_TOO_LITTLE[pair]}: {in_sentence(full_stop(sight.otherwise))} {how}"
    return Verdict(what, signal=sight.signal, critical=sight.signal.is_critical)
