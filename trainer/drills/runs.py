"""Runs: one moment after the other, each pick making the next; shared by the kinds whose form is NextStep.

A run ends with the first wrong pick. Its consequence is told at once, and because the answer is then marked and kept,
nobody can try the picks one by one for the one that goes well.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.drills.answer_forms import AnswerUnreadable, NextStep, Option
from trainer.drills.kind import Asked
from trainer.drills.lines import letters
from trainer.drills.mark import Incident, Mark, Remark
from trainer.procedure.model import Hazard

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from trainer.drills.answer_forms import Answer
    from trainer.drills.choices import Verdict
    from trainer.drills.sketch import Sketch


@dataclass(frozen=True)
class Pick:
    """Something that can be picked at a moment; `thing` is what the kind knows it by, `shows` what comes of it.

    Of several right picks one may be the best.
    """

    thing: str
    text: str
    verdict: Verdict
    shows: str = ""
    best: bool = False


@dataclass(frozen=True)
class Moment:
    """A moment of a run: what is told and seen of the situation, and the picks offered, at least one of them right."""

    ask: str
    told: str
    picks: tuple[Pick, ...]
    picture: Sketch | None = None

    @property
    def right(self) -> tuple[Pick, ...]:
        """The picks that are right."""
        return tuple(pick for pick in self.picks if pick.verdict.right)


@dataclass(frozen=True)
class Run:
    """A run as a kind tells it: its moments by what was picked before, and how many there are at most."""

    moments: int
    at: Callable[[tuple[str, ...]], Moment | None]


def asked(run: Run, picked: Sequence[str] = ()) -> Asked | None:
    """Return the question at the moment that picks lead to; None when the run is over.

    Raises:
        AnswerUnreadable: the picks are not those of a run.
    """
    taken, moment = follow(run, picked)
    if moment is None:
        return None
    options = tuple(Option(i, p.text) for i, p in zip(letters(len(moment.picks)), moment.picks, strict=True))
    done = tuple((pick.text, pick.shows) for pick in taken)
    share = len(moment.right) / len(moment.picks)
    form = NextStep(options, run.moments, done)
    return Asked(moment.ask, moment.told, form, guess=share**run.moments, picture=moment.picture)


def begun(run: Run) -> Asked:
    """Return the question at the first moment."""
    first = asked(run)
    assert first is not None  # noqa: S101  # a run has at least one moment
    return first


def key(run: Run) -> Answer:
    """Return picks that all go well, the best one of each moment where there is one."""
    things: tuple[str, ...] = ()
    ids: list[str] = []
    while (moment := run.at(things)) is not None:
        best = next((pick for pick in moment.right if pick.best), moment.right[0])
        ids.append(letters(len(moment.picks))[moment.picks.index(best)])
        things = (*things, best.thing)
    return ids


def mark(run: Run, answer: Answer, right: str, wrong: str) -> Mark:
    """Return the mark of a run: the share of moments that went well; `wrong` stands before what went wrong.

    Raises:
        AnswerUnreadable: the picks are not those of a run, or the run is not over.
    """
    taken, moment = follow(run, list(answer))
    if moment is not None:
        raise AnswerUnreadable("The run is not over: pick what comes next.")
    last, number = taken[-1], len(taken)
    remarks = tuple(
        Remark(str(n), pick.verdict.text, pick.verdict.signal, pick.verdict.right)
        for n, pick in enumerate(taken, start=1)
    )
    picked = tuple(pick.text for pick in taken)
    if last.verdict.right:
        return Mark(True, 1.0, False, right, remarks, picked=picked)
    signal = last.verdict.signal or Hazard.NOTICE
    return Mark(
        right=False,
        credit=(number - 1) / run.moments,
        critical=last.verdict.critical,
        headline=wrong.format(number),
        remarks=remarks,
        incident=Incident(list(answer)[-1], number, signal, last.verdict.text),
        instead=_instead(run, taken),
        picked=picked,
    )


def _instead(run: Run, taken: Sequence[Pick]) -> str:
    moment = run.at(tuple(pick.thing for pick in taken[:-1]))
    assert moment is not None  # noqa: S101  # it was picked from
    return f"What went at that moment: {' Or: '.join(f'{pick.text}.' for pick in moment.right)}"


def follow(run: Run, picked: Sequence[str]) -> tuple[list[Pick], Moment | None]:
    """Return what was picked and the moment reached, None when the run is over.

    Raises:
        AnswerUnreadable: the picks are not those of a run.
    """
    taken: list[Pick] = []
    moment = run.at(())
    for name in picked:
        if moment is None:
            raise AnswerUnreadable("The run was over before the last pick.")
        offered = dict(zip(letters(len(moment.picks)), moment.picks, strict=True))
        if name not in offered:
            raise AnswerUnreadable(f"'{name}' is not one of what is offered at pick {len(taken) + 1}.")
        taken.append(offered[name])
        over = not offered[name].verdict.right
        moment = None if over else run.at(tuple(pick.thing for pick in taken))
    return taken, moment
