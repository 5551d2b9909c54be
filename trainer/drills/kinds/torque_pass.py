"""Torque pass: target, pass and pattern for the size on the bench, the adapter on the wrench, the castle nut.

Which of these a question asks is chosen by its seed among what the fastener has. Wrong figures are looked up among
the slips of the trade (another size, another unit, another pass, the adapter left out or taken the wrong way) and
named.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills.torque import castle, figures, pattern
from trainer.procedure.model import Verb
from trainer.procedure.wording import in_sentence

if TYPE_CHECKING:
    from types import ModuleType

    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Asked, Setting
    from trainer.drills.mark import Mark
    from trainer.drills.sketch import Shown
    from trainer.procedure.model import Fastener
    from trainer.procedure.window import Procedure

KIND = "torque-pass"
TITLE = "Torque and pass"

_ASKING = (figures, pattern, castle)


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return one skill a fastener that a step tightens to a torque at every size."""
    module = procedure.module
    tightened = {name for step in module.steps.values() for name in step.on(Verb.TIGHTEN)}
    return tuple(
        Skill(f"{KIND}:{fastener.id}", f"torque of the {in_sentence(fastener.name)}", KIND, critical=True)
        for fastener in module.fasteners.values()
        if fastener.id in tightened and all(figures.offered(fastener, size) for size in module.sizes)
    )


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    return "" if skills(procedure) else "Give a fastener that a step tightens a `torque` for every size."


def make(setting: Setting) -> Asked:
    """Return the question."""
    asked: Asked = _asking(setting).make(setting, _fastener(setting))
    return asked


def key(setting: Setting) -> Answer:
    """Return an answer that earns full marks."""
    answer: Answer = _asking(setting).key(setting, _fastener(setting))
    return answer


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark."""
    result: Mark = _asking(setting).mark(setting, _fastener(setting), answer)
    return result


def shown(setting: Setting, answer: Answer) -> tuple[Shown, ...]:
    """Return what is to be seen beside a marked answer: the order of the bolts, where that was asked."""
    fastener = _fastener(setting)
    return pattern.shown(setting, fastener, answer) if _asking(setting) is pattern else ()


def _fastener(setting: Setting) -> Fastener:
    return setting.module.fasteners[setting.skill.id.partition(":")[2]]


def _asking(setting: Setting) -> ModuleType:
    fastener = _fastener(setting)
    return setting.draw("asked").choice(
        [asking for asking in _ASKING if asking.offered(fastener, setting.size)]
    )
