"""Line it up: valves are moved one after the other until a run is off, empty, filled or back in service.

The picture shows how the valves stand and what the pipes hold. What a wrong move does is worked out from the states of
the pipes: the outlet starves, a header blows to the air, gas goes backwards, a cover is opened on gas.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills import runs
from trainer.drills.choices import Verdict
from trainer.drills.line_up_goals import GOALS, tasks
from trainer.drills.runs import Moment, Pick, Run
from trainer.drills.sketch import Shown, sketch
from trainer.procedure.line_up_dangers import consequences
from trainer.procedure.line_up_words import change_told, describe, move_told
from trainer.procedure.wording import capital, full_stop

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Asked, Setting
    from trainer.drills.line_up_goals import Task
    from trainer.drills.mark import Mark
    from trainer.procedure.draw import Draw
    from trainer.procedure.line_up_dangers import Trouble
    from trainer.procedure.pipe_states import LineUp
    from trainer.procedure.window import Procedure

KIND = "line-up"
TITLE = "Line it up"

_MOST_RIGHT, _WRONG = 2, 3


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return a skill for each goal that the station can be brought to."""
    possible = {task.goal.id for task in tasks(procedure.module)}
    return tuple(
        Skill(f"{KIND}:{goal.id}", goal.skill, KIND, critical=True) for goal in GOALS if goal.id in possible
    )


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    if skills(procedure):
        return ""
    return "Give it a `station` with two runs, each with inlet, outlet and filling valve, vents and a filter."


def make(setting: Setting) -> Asked:
    """Return the first moment."""
    return runs.begun(_run(setting))


def go_on(setting: Setting, picked: Sequence[str]) -> Asked | None:
    """Return the moment that picks lead to, None when the run is over."""
    return runs.asked(_run(setting), picked)


def key(setting: Setting) -> Answer:
    """Return moves that lead to the goal and harm nobody."""
    return runs.key(_run(setting))


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark; a move that hurts somebody is critical."""
    right = "Right: you are there, and nothing went wrong on the way."
    return runs.mark(_run(setting), answer, right, "Move {} goes wrong.")


def shown(setting: Setting, answer: Answer) -> tuple[Shown, ...]:
    """Return the station as the last move leaves it: what a wrong move has done, or the goal reached."""
    task, start = _task(setting)
    taken, _ = runs.follow(_run(setting), list(answer))
    line_up = task.line_up(start)
    before = line_up
    for pick in taken:
        before, line_up = line_up, line_up.moved(pick.thing)
    words = f"After this: {taken[-1].text}. {change_told(before, line_up)}"
    return (Shown(words, sketch("station", standing_open=tuple(sorted(line_up.open)), told=False)),)


def _run(setting: Setting) -> Run:
    task, start = _task(setting)
    return Run(task.left[start], lambda picked: _moment(setting, picked))


def _task(setting: Setting) -> tuple[Task, frozenset[str]]:
    """Return what is asked for, and what stands open at the start."""
    draw = setting.draw("start")
    goal = setting.skill.id.partition(":")[2]
    task = draw.choice([task for task in tasks(setting.module) if task.goal.id == goal])
    return task, draw.choice(task.starts)


@lru_cache(maxsize=512)
def _moment(setting: Setting, picked: tuple[str, ...]) -> Moment | None:
    task, start = _task(setting)
    line_up = task.line_up(start)
    for element in picked:
        line_up = line_up.moved(element)
    if not task.left[line_up.open]:
        return None
    draw = setting.draw(f"moment/{'/'.join(picked)}")
    nearer = task.nearer(line_up)
    right = draw.sample(nearer, min(len(nearer), 1 + draw.below(_MOST_RIGHT)))
    elements = line_up.station.elements
    offered = [
        Pick(e.id, move_told(line_up, e), _goes(line_up, e.id), _changes(line_up, e.id)) for e in right
    ]
    offered += [
        Pick(name, move_told(line_up, elements[name]), _harms(trouble))
        for name, trouble in _wrong(task, line_up, draw)
    ]
    return Moment(
        f"{task.goal.asks(task.run)} Which move now?",
        describe(line_up),
        tuple(draw.shuffled(offered)),
        sketch("station", standing_open=tuple(sorted(line_up.open)), told=False),
    )


def _wrong(task: Task, line_up: LineUp, draw: Draw) -> list[tuple[str, Trouble]]:
    """Return moves that harm somebody, each in a way of its own: rather of different kinds, and one in the run itself.

    A move that harms nobody is never offered as a wrong one: more than one order is good practice.
    """
    harmful = [
        (name, troubles[0])
        for name in draw.shuffled(list(line_up.station.moved))
        if (troubles := consequences(line_up, name))
    ]
    own = {element.id for element in line_up.station.of_run(task.run.pieces)}
    harmful.sort(key=lambda item: item[0] not in own)
    chosen: list[tuple[str, Trouble]] = []
    for fresh in (True, False):
        for name, trouble in harmful:
            kinds, said = {t.kind for _, t in chosen}, {t.what for _, t in chosen}
            if len(chosen) < _WRONG and trouble.what not in said and (trouble.kind not in kinds or not fresh):
                chosen.append((name, trouble))
    return chosen


def _changes(line_up: LineUp, element: str) -> str:
    return change_told(line_up, line_up.moved(element))


def _goes(line_up: LineUp, element: str) -> Verdict:
    return Verdict(f"That goes. {_changes(line_up, element)}", right=True)


def _harms(trouble: Trouble) -> Verdict:
    text = capital(full_stop(trouble.what))
    return Verdict(text, signal=trouble.signal, critical=trouble.signal.is_critical)
