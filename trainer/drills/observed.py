"""What an observation at the bench says: which steps weigh most, how the order went, which skills were seen."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.witnessed import Witnessed
from trainer.drills.kinds import order, torque_pass, way_round
from trainer.procedure import window as windows
from trainer.procedure.model import Hazard, Verb
from trainer.procedure.order_mark import mark_order
from trainer.records.observation import StepMark

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.competency.evidence import Skill
    from trainer.procedure.model import Step
    from trainer.procedure.order_mark import OrderMark
    from trainer.procedure.window import Procedure
    from trainer.records.observation import StepSeen

WAY_ROUND, TORQUE = "way round", "torque"


@lru_cache(maxsize=64)
def critical_steps(procedure: Procedure) -> Mapping[str, str]:
    """Return the critical steps in the order of the file, each with what makes it so.

    Critical is a step that an order which can kill or maim turns on, that sets in a part with a wrong way round, or
    that tightens to a torque.
    """
    worst = _worst_relations(procedure)
    found: dict[str, str] = {}
    for step in procedure.module.steps.values():
        reasons = [worst[step.id].value] if step.id in worst else []
        reasons += [WAY_ROUND] if _turnable(procedure, step) else []
        reasons += [TORQUE] if _torqued(procedure, step) else []
        if reasons:
            found[step.id] = ", ".join(reasons)
    return found


def order_carried_out(procedure: Procedure, steps: Sequence[str]) -> OrderMark | None:
    """Return the mark of an order in which steps were carried out; what was not seen counts as done in its time.

    Args:
        procedure: the procedure at the size on the bench.
        steps: the steps seen, in the order done.

    Returns:
        None for fewer than two steps, which have no order.

    Raises:
        UnknownStep: a step is not in the procedure.
        NotAnOrder: a step is named twice.
    """
    if len(steps) < 2:
        return None
    return mark_order(windows.chosen(procedure, steps), steps)


def witnessed(procedure: Procedure, seen: Sequence[StepSeen]) -> tuple[Witnessed, ...]:
    """Return what an observation says of each skill of which every step was seen, as attempts.

    An attempt is right when each of its steps was done unaided and, for an order, the order works. A word of help, a
    step done by the mentor and a wrong one all make it not right (own choice: what must not happen is a false pass).

    Args:
        procedure: the procedure at the size on the bench.
        seen: the steps seen, in the order done; those without a mark are passed over.
    """
    marked = {item.step: item for item in seen if item.mark is not None}
    carried_out = list(marked)
    found = []
    for skill, steps in _seen_in_work(procedure):
        if not steps or any(step not in marked for step in steps):
            continue
        broken = _broken(procedure, skill, [step for step in carried_out if step in steps])
        marks = {step: marked[step].mark for step in steps}
        slips = [step for step, mark in marks.items() if mark is StepMark.WRONG]
        found.append(
            Witnessed(
                skill=skill.id,
                right=not broken[0] and all(mark is StepMark.UNAIDED for mark in marks.values()),
                critical=broken[1] or any(step in critical_steps(procedure) for step in slips),
                begun=min(marked[step].at for step in steps),
                at=max(marked[step].at for step in steps),
            )
        )
    return tuple(found)


def seen_in_work(procedure: Procedure) -> frozenset[str]:
    """Return the skills that an observation of the whole work says something of; the others are asked only."""
    return frozenset(skill.id for skill, steps in _seen_in_work(procedure) if steps)


def _broken(procedure: Procedure, skill: Skill, steps: list[str]) -> tuple[bool, bool]:
    """Return whether the order of a skill about order does not work, and whether that can hurt."""
    if skill.kind != order.KIND:
        return False, False
    mark = order_carried_out(procedure, steps)
    if mark is None:
        return False, False
    if _phase(skill) == order.DANGEROUS:
        return mark.critical, mark.critical
    return not mark.legal, mark.critical


def _seen_in_work(procedure: Procedure) -> list[tuple[Skill, tuple[str, ...]]]:
    """Return the skills that show in the work itself, each with the steps in which it shows."""
    steps = procedure.module.steps.values()
    found: list[tuple[Skill, tuple[str, ...]]] = []
    for skill in order.skills(procedure):
        if _phase(skill) == order.DANGEROUS:
            found.append((skill, tuple(_worst_relations(procedure))))
        else:
            found.append((skill, tuple(step.id for step in steps if step.phase == _phase(skill))))
    turned = tuple(step.id for step in steps if _turnable(procedure, step))
    found += [(skill, turned) for skill in way_round.skills(procedure)]
    found += [
        (skill, tuple(step.id for step in steps if _phase(skill) in step.on(Verb.TIGHTEN)))
        for skill in torque_pass.skills(procedure)
    ]
    return found


def _phase(skill: Skill) -> str:
    return skill.id.partition(":")[2]


@lru_cache(maxsize=64)
def _worst_relations(procedure: Procedure) -> Mapping[str, Hazard]:
    """Return the steps that a relation which can kill or maim holds, with its worst signal word."""
    worst: dict[str, Hazard] = {}
    for pair, reasons in procedure.precedence.relations.items():
        for signal in (reason.signal for reason in reasons if reason.signal and reason.signal.is_critical):
            for step in pair:
                worst[step] = min(worst.get(step, signal), signal, key=lambda hazard: hazard.rank)
    return {step: worst[step] for step in procedure.precedence.steps if step in worst}


def _turnable(procedure: Procedure, step: Step) -> bool:
    parts = procedure.module.parts
    ways = (parts[name].way_round for name in step.on(Verb.INSTALL) if name in parts)
    return any(way is not None and not way.either for way in ways)


def _torqued(procedure: Procedure, step: Step) -> bool:
    fasteners = procedure.module.fasteners
    return any(name in fasteners and fasteners[name].torque for name in step.on(Verb.TIGHTEN))
