"""Which skills of a module are assessed in one series and decided together.

Skills whose drills ask for the same thing from different sides go together: whoever knows the order of the work shows
it in any of them. Each skill of a class comes up in a series, and one that was never right keeps the class open, so that
what somebody cannot do does not hide behind what they can (own choice; an author may group otherwise).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer import drills
from trainer.competency import skill_classes
from trainer.competency.skill_classes import Group
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

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.competency.evidence import Skill
    from trainer.competency.skill_classes import ElementClass
    from trainer.drills.kind import Kind
    from trainer.procedure.model import Module

# A kind that stands in none of these is a class by itself.
_FAMILIES: tuple[tuple[str, str, tuple[Kind, ...]], ...] = (
    ("order", "The order of the work", (order, what_now, find_the_slip, what_is_missing)),
    ("torque", "Torque", (torque_pass,)),
    ("parts", "Parts and tools", (way_round, name_it, right_tool, keep_or_renew)),
    ("reasons", "Values, reasons and faults", (reckon_it, say_it, trace_the_fault)),
    ("valves", "Valves and line-ups", (line_up,)),
    ("abnormal", "Abnormal conditions", (stop_or_go_on,)),
)


def element_classes(module: Module, skills: Sequence[Skill] | None = None) -> tuple[ElementClass, ...]:
    """Return the element classes of a module: the author's groups, then for what they leave out those by kind of drill.

    Args:
        module: a module without errors.
        skills: its skills, if they are at hand.
    """
    known = drills.skills(module) if skills is None else skills
    return skill_classes.element_classes(known, (*module.competency.values(), *_by_family(module, known)))


def _by_family(module: Module, skills: Sequence[Skill]) -> list[Group]:
    groups = []
    grouped: set[str] = set()
    for name, title, kinds in _FAMILIES:
        of_family = {kind.KIND for kind in kinds}
        grouped |= of_family
        groups.append(_group(module, name, title, [skill.id for skill in skills if skill.kind in of_family]))
    alone = dict.fromkeys(skill.kind for skill in skills if skill.kind not in grouped)
    groups += [
        _group(module, kind, drills.KINDS[kind].TITLE, [skill.id for skill in skills if skill.kind == kind])
        for kind in alone
    ]
    return groups


def _group(module: Module, name: str, title: str, skills: list[str]) -> Group:
    """Return a group under a name that no group of the author has."""
    free = name if name not in module.competency else f"{name}.other"
    return Group(free, title, tuple(skills))
