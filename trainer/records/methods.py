"""How a person can be evaluated: the list of 49 CFR 192.803, and what may not stand alone (192.809(d), (e)).

The paragraphs were read in stored public copies (192.809 through its twin 195.509). The words here are ours;
compare with the current text of the law before anything is relied on.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


class Method(StrEnum):
    """A method of evaluation (49 CFR 192.803, "evaluation")."""

    WRITTEN = "written"
    ORAL = "oral"
    WORK_HISTORY = "work_history"
    ON_THE_JOB = "on_the_job"
    DURING_TRAINING = "during_training"
    SIMULATION = "simulation"
    OTHER = "other"

    @property
    def words(self) -> str:
        """The method in words, as printed on a record."""
        return _TITLES[self]

    @property
    def paragraph(self) -> str:
        """Where the law lists it."""
        return _PARAGRAPHS[self]


_TITLES = {
    Method.WRITTEN: "Written examination",
    Method.ORAL: "Oral examination",
    Method.WORK_HISTORY: "Review of work history",
    Method.ON_THE_JOB: "Observation on the job",
    Method.DURING_TRAINING: "Observation during on-the-job training",
    Method.SIMULATION: "Observation during simulation",
    Method.OTHER: "Other assessment",
}
_PARAGRAPHS = {
    Method.WRITTEN: "192.803 (a)",
    Method.ORAL: "192.803 (b)",
    Method.WORK_HISTORY: "192.803 (c)",
    Method.ON_THE_JOB: "192.803 (d)(1)",
    Method.DURING_TRAINING: "192.803 (d)(2)",
    Method.SIMULATION: "192.803 (d)(3)",
    Method.OTHER: "192.803 (e)",
}
# Methods by which somebody is watched at work; a signed observation can stand for them.
OBSERVED = frozenset({Method.ON_THE_JOB, Method.DURING_TRAINING, Method.SIMULATION})
# 192.809(d) and (e): since 2002-10-28 and 2004-12-16 these may not be the only method.
_NEVER_ALONE = (Method.WORK_HISTORY, Method.ON_THE_JOB)


def why_not_enough(methods: Iterable[Method]) -> str | None:
    """Return why these methods cannot carry a qualification, or None when they can."""
    used = set(methods)
    if not used:
        return "No method of evaluation is named."
    if len(used) == 1:
        only = next(iter(used))
        if only in _NEVER_ALONE:
            rule = "192.809(d)" if only is Method.WORK_HISTORY else "192.809(e)"
            return f"{only.words} cannot be the only method (49 CFR {rule}); add another."
    return None
