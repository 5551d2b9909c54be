"""Classes of skills, and the groups of skills that are decided together.

Three classes, because their errors weigh differently: a critical skill is one whose error can hurt somebody; an
abnormal one is about recognising and reacting to abnormal conditions (49 CFR 192.803); the others are ordinary.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from trainer.competency.evidence import Skill


class SkillClass(StrEnum):
    """How much an error weighs; the policy has numbers for each."""

    CRITICAL = "critical"
    ORDINARY = "ordinary"
    ABNORMAL = "abnormal"


def class_of(skill: Skill) -> SkillClass:
    """Return the class of a skill; abnormal goes before critical, so that abnormal conditions stand by themselves."""
    if skill.abnormal:
        return SkillClass.ABNORMAL
    return SkillClass.CRITICAL if skill.critical else SkillClass.ORDINARY


@dataclass(frozen=True)
class ElementClass:
    """Skills that are assessed in one series and decided together."""

    id: str
    title: str
    skill_class: SkillClass
    skills: tuple[str, ...]


@dataclass(frozen=True)
class Group:
    """A group of skills as it is asked for: its title and the ids of its skills, of whatever class."""

    id: str
    title: str
    skills: tuple[str, ...]


_SUFFIX = {
    SkillClass.CRITICAL: ", critical",
    SkillClass.ORDINARY: ", not critical",
    SkillClass.ABNORMAL: ", abnormal conditions",
}


def element_classes(skills: Sequence[Skill], groups: Iterable[Group]) -> tuple[ElementClass, ...]:
    """Return the element classes of a module: each skill in exactly one, each class of one kind of weight.

    A group that mixes critical and ordinary skills is parted: an error that can hurt somebody must not be outweighed by
    right answers where none can. Skills that no group names each stand alone; ids that are no skills are passed over.

    Args:
        skills: the skills of the module, in its order.
        groups: the groups wanted, in the order in which they are shown; of two that name a skill the first has it.
    """
    known = {skill.id: skill for skill in skills}
    left = dict(known)
    found: list[ElementClass] = []
    for group in groups:
        members = [left.pop(name) for name in dict.fromkeys(group.skills) if name in left]
        found += _parted(group, members)
    for skill in left.values():
        found.append(ElementClass(skill.id, skill.title, class_of(skill), (skill.id,)))
    return tuple(found)


def _parted(group: Group, members: list[Skill]) -> list[ElementClass]:
    by_class: dict[SkillClass, list[str]] = {}
    for skill in members:
        by_class.setdefault(class_of(skill), []).append(skill.id)
    alone = len(by_class) == 1
    return [
        ElementClass(
            group.id if alone else f"{group.id}.{found}",
            group.title if alone else group.title + _SUFFIX[found],
            found,
            tuple(names),
        )
        for found, names in sorted(by_class.items(), key=lambda item: list(SkillClass).index(item[0]))
    ]
