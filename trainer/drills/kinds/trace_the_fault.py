"""Trace the fault: a symptom, its likely causes and checks that cost time; find the cause at a fair price.

The drill keeps count of how likely each cause still is. A pick is right when the check tells at least half as much for
its cost as the best one, and the cause is named when nothing that is left could tell more.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills import diagnosis, runs
from trainer.drills.choices import Verdict
from trainer.drills.runs import Moment, Pick, Run
from trainer.procedure.model import Hazard
from trainer.procedure.wording import full_stop, in_sentence

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drills.answer_forms import Answer
    from trainer.drills.diagnosis import Known
    from trainer.drills.kind import Asked, Setting
    from trainer.drills.mark import Mark
    from trainer.procedure.draw import Draw
    from trainer.procedure.model import FaultCheck, Symptom
    from trainer.procedure.window import Procedure

KIND = "trace-the-fault"
TITLE = "Trace the fault"

# A check may tell half of what the best one tells for its cost and is still a good pick (own choice).
GOOD_ENOUGH = 0.5
# From ten times the cost on a poor check is called what it is.
_DEAR = 10
_MOST_CHECKS, _MOST_NAMES = 4, 3
_NAME = "name:"


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when the module tells a fault whose causes can be told apart."""
    if not _faults(procedure):
        return ()
    return (Skill(KIND, "faults traced to their cause", KIND),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    return "" if skills(procedure) else "Add `faults`: causes, how often each, and checks with their minutes."


def make(setting: Setting) -> Asked:
    """Return the first moment: the symptom and what the fault table tells."""
    return runs.begun(_run(setting))


def go_on(setting: Setting, picked: Sequence[str]) -> Asked | None:
    """Return the moment that picks lead to, None when the run is over."""
    return runs.asked(_run(setting), picked)


def key(setting: Setting) -> Answer:
    """Return the picks that tell most for their cost."""
    return runs.key(_run(setting))


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark, with the time it took."""
    run = _run(setting)
    marked = runs.mark(run, answer, "", "Pick {} is not worth its price.")
    fault, _ = _problem(setting)
    spent = diagnosis.minutes(fault, [pick.thing for pick in runs.follow(run, list(answer))[0]])
    return replace(marked, headline=f"Right: traced in {spent} minutes of work.") if marked.right else marked


def _faults(procedure: Procedure) -> list[Symptom]:
    return [
        fault
        for fault in procedure.module.faults.values()
        if fault.causes and diagnosis.at_first(fault).best is not None
    ]


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[Symptom, str]:
    """Return the fault and its cause, drawn as often as the fault table says."""
    draw = setting.draw()
    fault = draw.choice(_faults(setting.procedure))
    weighted = [name for name, cause in fault.causes.items() for _ in range(cause.often)]
    return fault, draw.choice(weighted)


def _run(setting: Setting) -> Run:
    fault, _ = _problem(setting)
    return Run(len(fault.checks) + 1, lambda picked: _moment(setting, picked))


def _known(fault: Symptom, cause: str, picked: Sequence[str]) -> Known:
    known = diagnosis.at_first(fault)
    for check in picked:
        known = known.after(check, cause)
    return known


@lru_cache(maxsize=512)
def _moment(setting: Setting, picked: tuple[str, ...]) -> Moment | None:
    if picked and picked[-1].startswith(_NAME):
        return None
    fault, cause = _problem(setting)
    known = _known(fault, cause, picked)
    draw = setting.draw(f"moment/{'/'.join(picked)}")
    picks = [*_checks(known, cause, draw), *_names(known)]
    table = diagnosis.told(diagnosis.at_first(fault))
    told = f"{full_stop(fault.symptom)} By the fault table: {table}. Checks cost minutes of work."
    return Moment("What do you check next, or what is the cause?", told, tuple(draw.shuffled(picks)))


def _checks(known: Known, cause: str, draw: Draw) -> list[Pick]:
    best = known.best
    names = [best] if best is not None else []
    rest = [name for name in known.open_checks if name != best]
    most = _MOST_CHECKS if best is not None else _MOST_CHECKS - 1
    names += draw.sample(rest, min(len(rest), most - len(names)))
    return [_check_pick(known, cause, name) for name in names]


def _check_pick(known: Known, cause: str, name: str) -> Pick:
    check = known.fault.checks[name]
    seen = check.found if cause in check.finds else check.not_found
    now = diagnosis.told(known.after(name, cause))
    text = f"{check.do} ({check.minutes} min)"
    best = name == known.best
    return Pick(name, text, _check_verdict(known, name), f"{full_stop(seen)} Now: {now}.", best)


def _check_verdict(known: Known, name: str) -> Verdict:
    check, best = known.fault.checks[name], known.best
    if best is None:
        cause = in_sentence(known.fault.causes[known.ranked[0]].text)
        told = (
            f"{check.minutes} min and nothing new: all that can be told is told. The cause is this: {cause}."
        )
        return Verdict(told, signal=Hazard.NOTICE)
    better = known.fault.checks[best]
    if name == best:
        return Verdict(f"Well picked: nothing tells more for its {check.minutes} min.", right=True)
    if known.for_its_cost(check) >= GOOD_ENOUGH * known.for_its_cost(better):
        return Verdict(f"Good; “{better.do}” would have told a little more for its cost.", right=True)
    return Verdict(_poor(known, check, better), signal=Hazard.NOTICE)


def _poor(known: Known, check: FaultCheck, better: FaultCheck) -> str:
    instead = f"“{better.do}” costs {better.minutes} min and tells more for them."
    if known.tells(check) < 1e-9:
        return f"Whatever is left, it would show the same: {check.minutes} min for nothing. {instead}"
    if check.minutes >= _DEAR * better.minutes:
        return f"That is {check.minutes} min on a guess, with the run shut all the while. {instead}"
    return f"It tells too little for its {check.minutes} min. {instead}"


def _names(known: Known) -> list[Pick]:
    """Return causes to be named: the likeliest, and once it is time to name one, others as well."""
    first = known.ranked[0]
    others = [cause for cause in known.fault.causes if cause != first] if known.best is None else []
    return [_name_pick(known, cause) for cause in (first, *others[: _MOST_NAMES - 1])]


def _name_pick(known: Known, cause: str) -> Pick:
    words = known.fault.causes[cause].text
    return Pick(f"{_NAME}{cause}", f"Name the cause: {in_sentence(words)}", _name_verdict(known, cause))


def _name_verdict(known: Known, cause: str) -> Verdict:
    first, best = known.ranked[0], known.best
    if best is not None:
        check = known.fault.checks[best]
        share = f"{100 * known.likely[cause]:.0f} %"
        return Verdict(
            f"It is {share} likely, no more. “{check.do}” costs {check.minutes} min and may rule it out.",
            signal=Hazard.NOTICE,
        )
    if cause == first:
        return Verdict("Nothing that is left could tell more.", right=True)
    if cause in known.likely:
        return Verdict(f"{100 * known.likely[cause]:.0f} % only: another is likelier.", signal=Hazard.NOTICE)
    return Verdict(f"{known.fault.causes[cause].text}: the checks have ruled that out.", signal=Hazard.NOTICE)
