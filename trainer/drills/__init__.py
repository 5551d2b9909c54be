"""The drills: which kinds there are, and asking and marking through any of them.

A new kind is one file in `kinds/` and one line in KINDS.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.drills.answer_forms import AnswerUnreadable
from trainer.drills.kind import Setting
from trainer.drills.kinds import (
    find_the_slip,
    keep_or_renew,
    line_up,
    name_it,
    order,
    reckon_it,
    right_tool,
    say_it,
    stop_or_go_on,
    torque_pass,
    trace_the_fault,
    way_round,
    what_is_missing,
    what_now,
)
from trainer.drills.question import Question
from trainer.errors import TrainerError
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from trainer.competency.evidence import Skill
    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Asked, Kind, Moment, RunKind
    from trainer.drills.mark import Mark
    from trainer.drills.sketch import Shown
    from trainer.procedure.model import Module

RUNS: dict[str, RunKind] = {kind.KIND: kind for kind in (what_now, trace_the_fault, line_up)}
KINDS: dict[str, Kind] = {
    kind.KIND: kind
    for kind in (
        order,
        what_now,
        find_the_slip,
        what_is_missing,
        way_round,
        name_it,
        torque_pass,
        reckon_it,
        right_tool,
        trace_the_fault,
        line_up,
        say_it,
        keep_or_renew,
        stop_or_go_on,
    )
}


# Kinds whose wrong answers can be drawn: what flies, and what still holds gas.
_MOMENTS: dict[str, Callable[[Setting, Answer], Moment | None]] = {order.KIND: order.moment}

# Kinds whose marked answers have pictures beside them.
_SHOWN: dict[str, Callable[[Setting, Answer], tuple[Shown, ...]]] = {
    torque_pass.KIND: torque_pass.shown,
    name_it.KIND: name_it.shown,
    line_up.KIND: line_up.shown,
}


class UnknownKind(TrainerError):
    """A kind of drill is asked for that there is not."""

    def __init__(self, kind: str) -> None:
        super().__init__(f"There is no kind of drill '{kind}'; there are {', '.join(KINDS)}.")


class NothingToAsk(TrainerError):
    """A module gives a kind of drill nothing to ask."""

    def __init__(self, module: Module, kind: Kind) -> None:
        why = kind.missing(prepare(module))
        super().__init__(f"{module.title or module.id} gives no drill of kind '{kind.KIND}'. {why}")


class UnknownSize(TrainerError):
    """A size is asked for that the module does not cover."""

    def __init__(self, module: Module, size: str) -> None:
        super().__init__(
            f"{module.title or module.id} does not cover {size}; it covers {', '.join(module.sizes)}."
        )


class UnknownSkill(TrainerError):
    """A skill is asked for that the module does not have."""

    def __init__(self, module: Module, skill: str) -> None:
        super().__init__(f"{module.title or module.id} has no skill '{skill}'.")


def skills(module: Module) -> tuple[Skill, ...]:
    """Return all skills that the drills can ask for in a module, in the order of the kinds."""
    procedure = prepare(module)
    return tuple(skill for kind in KINDS.values() for skill in kind.skills(procedure))


def ask(module: Module, kind: str, size: str | None, seed: int) -> Question:
    """Return the question at a seed, without its key.

    Args:
        module: a module without errors.
        kind: the kind of drill.
        size: the size on the bench; without one the seed chooses it.
        seed: any whole number; it also chooses which of the kind's skills is asked for.

    Raises:
        UnknownKind, NothingToAsk, UnknownSize: the question cannot be made.
        NoOrder: the module has faults.
    """
    setting = _setting(module, kind, size, seed)
    return _question(setting, kind, _made(kind, setting))


def go_on(module: Module, kind: str, size: str | None, seed: int, picked: Sequence[str]) -> Question | None:
    """Return the question at the moment that picks lead to; None when the run is over, finished or gone wrong.

    Raises:
        AnswerUnreadable: the picks are not those of a run, or the kind has no runs.
        UnknownKind, NothingToAsk, UnknownSize, NoOrder: as for `ask`.
    """
    setting = _setting(module, kind, size, seed)
    if kind not in RUNS:
        raise AnswerUnreadable(f"A drill of kind '{kind}' is answered as a whole, not moment by moment.")
    asked = RUNS[kind].go_on(setting, picked)
    return None if asked is None else _question(setting, kind, asked)


@lru_cache(maxsize=256)
def _made(kind: str, setting: Setting) -> Asked:
    # A question that is shown, answered and marked is asked for three times within a minute.
    return KINDS[kind].make(setting)


def _question(setting: Setting, kind: str, asked: Asked) -> Question:
    module = setting.module
    return Question(
        kind=kind,
        skill=setting.skill.id,
        module=module.id,
        revision=module.revision,
        seed=setting.seed,
        size=setting.size,
        title=f"{module.title}, {setting.size}: {setting.skill.title}",
        ask=asked.ask,
        given=asked.given,
        form=asked.form,
        cautions=asked.cautions,
        guess=asked.guess,
        picture=asked.picture,
    )


def mark(module: Module, kind: str, size: str | None, seed: int, answer: object) -> Mark:
    """Return the mark of an answer to the question at a seed.

    Raises:
        AnswerUnreadable: it is not an answer to this question.
        UnknownKind, NothingToAsk, UnknownSize, NoOrder: as for `ask`.
    """
    setting = _setting(module, kind, size, seed)
    form = _made(kind, setting).form
    return KINDS[kind].mark(setting, form.read(answer))


def moment(module: Module, kind: str, size: str | None, seed: int, answer: object) -> Moment | None:
    """Return the moment in which an answer goes wrong, for kinds that can tell it and answers that let an energy loose.

    Raises:
        AnswerUnreadable: it is not an answer to this question.
        UnknownKind, NothingToAsk, UnknownSize, NoOrder: as for `ask`.
    """
    if kind not in _MOMENTS:
        return None
    setting = _setting(module, kind, size, seed)
    return _MOMENTS[kind](setting, _made(kind, setting).form.read(answer))


def shown(module: Module, kind: str, size: str | None, seed: int, answer: object) -> tuple[Shown, ...]:
    """Return the pictures that stand beside a marked answer; none for most kinds.

    Raises:
        AnswerUnreadable: it is not an answer to this question.
        UnknownKind, NothingToAsk, UnknownSize, NoOrder: as for `ask`.
    """
    if kind not in _SHOWN:
        return ()
    setting = _setting(module, kind, size, seed)
    return _SHOWN[kind](setting, _made(kind, setting).form.read(answer))


def key(module: Module, kind: str, size: str | None, seed: int) -> Answer:
    """Return an answer that earns full marks; it never goes to a trainee before marking.

    Raises:
        UnknownKind, NothingToAsk, UnknownSize, NoOrder: as for `ask`.
    """
    setting = _setting(module, kind, size, seed)
    return KINDS[kind].key(setting)


def seed_for(module: Module, skill: str, start: int) -> int:
    """Return the first seed from `start` on that asks for a skill.

    Raises:
        UnknownSkill: the module has no such skill.
    """
    for kind in KINDS.values():
        known = [item.id for item in kind.skills(prepare(module))]
        if skill in known:
            return start + (known.index(skill) - start) % len(known)
    raise UnknownSkill(module, skill)


def _setting(module: Module, kind: str, size: str | None, seed: int) -> Setting:
    if kind not in KINDS:
        raise UnknownKind(kind)
    procedure = prepare(module)
    known = KINDS[kind].skills(procedure)
    if not known:
        raise NothingToAsk(module, KINDS[kind])
    if size is not None and size not in module.sizes:
        raise UnknownSize(module, size)
    chosen = size or module.sizes[seed // len(known) % len(module.sizes)]
    return Setting(prepare(module, chosen), known[seed % len(known)], chosen, seed)
