"""Which skill to practise next, in which size, and the short mixed sheet, as pages and commands tell them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions.views import NextSkill, PracticeSheet, SheetDrill, SkillStands
from trainer.competency import next_drill

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from trainer.actions.guidance import Guidance
    from trainer.competency.next_drill import Prospect
    from trainer.competency.policy import Policy


def choose(prospects: Sequence[Prospect], policy: Policy, today: date) -> NextSkill | None:
    """Return what to practise next and why; None for a module without skills."""
    found = next_drill.choose(prospects, policy, today)
    return None if found is None else _told(found.prospect, found.why)


def sheet(module_id: str, title: str, guidance: Guidance, policy: Policy, today: date) -> PracticeSheet:
    """Return the short mixed sheet of a module, with the numbers behind the choice."""
    planned = next_drill.sheet(guidance.prospects, policy, today)
    ordered = next_drill.in_order(guidance.prospects, policy, today)
    return PracticeSheet(
        module_id=module_id,
        title=title,
        day=today,
        minutes=policy.sheet_minutes,
        half_life_days=round(guidance.pace.days),
        refreshers=guidance.pace.refreshers,
        least_guess=float(policy.mastery_guess_least),
        drills=tuple(
            SheetDrill(item.prospect.skill.id, item.prospect.skill.title, item.prospect.minutes, item.why)
            for item in planned
        ),
        skills=tuple(_stands(item, policy, today) for item in ordered),
    )


def size_for(sizes: Sequence[str], used: Mapping[str, int]) -> str:
    """Return the size practised least, the first of the module among equals; "" without sizes."""
    return min(sizes, key=lambda size: used.get(size, 0), default="")


def _told(prospect: Prospect, why: str) -> NextSkill:
    return NextSkill(prospect.skill.id, prospect.skill.title, why)


def _stands(prospect: Prospect, policy: Policy, today: date) -> SkillStands:
    return SkillStands(
        skill_id=prospect.skill.id,
        title=prospect.skill.title,
        known=prospect.known,
        guess=prospect.guess,
        minutes=prospect.minutes,
        bits_a_minute=prospect.per_minute(policy),
        due=prospect.due,
        due_words=next_drill.due_words(prospect.due, today),
        reason=prospect.rank(today),
    )
