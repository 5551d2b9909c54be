"""All pictures of a question, wherever they stand, and all moments of a run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer import drills
from trainer.drills.answer_forms import Arrange, Choose, NextStep

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.drills.question import Question
    from trainer.drills.sketch import Sketch
    from trainer.procedure.model import Module


def moments(module: Module, kind: str, seed: int) -> Iterator[Question]:
    """Yield the question, and those of the later moments when it is a run that goes well."""
    question = drills.ask(module, kind, None, seed)
    yield question
    if kind in drills.RUNS:
        key = list(drills.key(module, kind, None, seed))
        for count in range(1, len(key)):
            later = drills.go_on(module, kind, None, seed, [str(pick) for pick in key[:count]])
            if later is not None:
                yield later


def all_sketches(question: Question) -> Iterator[Sketch]:
    """Yield every picture of a question."""
    form = question.form
    found = [question.picture]
    if isinstance(form, Arrange):
        found += [line.picture for line in form.lines]
    if isinstance(form, NextStep):
        found += [option.picture for option in form.options]
    if isinstance(form, Choose):
        found += [row.picture for row in form.rows]
        found += [option.picture for row in form.rows for option in row.options]
    yield from (asked for asked in found if asked is not None)
