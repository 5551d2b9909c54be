"""What is different between two states of a covered task, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.records.conditions import Ground

if TYPE_CHECKING:
    from trainer.records.qualification import CoveredTask

_NOTHING = "–"


@dataclass(frozen=True)
class Difference:
    """One thing that is set for a task: what it was and what it is; `was` is a dash where nothing was said."""

    what: str
    was: str
    now: str


def in_words(task: CoveredTask) -> dict[str, str]:
    """Return everything that is set for a task: what it is about → what is set."""
    evaluators = task.conditions.evaluators
    return {
        "Title": task.title,
        "Group": task.group or _NOTHING,
        "Needed on the crew": str(task.needed),
        **{ground.words: _found(task, ground) for ground in Ground},
        "Required by": task.grounds.required_by or _NOTHING,
        "Interval": f"{task.interval_months} months",
        "Why this interval": task.interval_because,
        "Abnormal conditions": "; ".join(task.abnormal_conditions) or _NOTHING,
        "Methods": " ".join(task.conditions.methods.sentences),
        "Span of control": str(task.conditions.span.most),
        "Why this span": task.conditions.span.because,
        "Who may evaluate": " ".join(evaluators.sentences),
        "Why they": evaluators.because or _NOTHING,
    }


def _found(task: CoveredTask, ground: Ground) -> str:
    found = task.grounds.of(ground)
    return _NOTHING if found is None else f"{'yes' if found.met else 'no'}: {found.because}"


def differences(before: CoveredTask | None, after: CoveredTask) -> tuple[Difference, ...]:
    """Return what is different, in the order in which a task is written; of a new task, everything that is set."""
    was = {} if before is None else in_words(before)
    return tuple(
        Difference(what, was.get(what, _NOTHING), words)
        for what, words in in_words(after).items()
        if was.get(what, _NOTHING) != words
    )
