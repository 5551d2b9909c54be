"""Which skill to practise next, in which size, and the short mixed sheet, as pages and commands tell them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions.views import NextSkill, PracticeSheet, SheetDrill, SkillStands
from trainer.competency import next_drill, spacing
from trainer.competency.retention import Forgetting

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
        skills=tuple(_stands(item, guidance, policy, today) for item in ordered),
    )


def size_for(sizes: Sequence[str], used: Mapping[str, int]) -> str:
    """Return the size practised least, the first of the module among equals; "" without sizes."""
    return min(sizes, key=lambda size: used.get(size, 0), default="")


def _told(prospect: Prospect, why: str) -> NextSkill:
    return NextSkill(prospect.skill.id, prospect.skill.title, why)


def _stands(prospect: Prospect, guidance: Guidance, policy: Policy, today: date) -> SkillStands:
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
        right_today=_right_today(prospect, guidance, policy, today),
        right_by_spacing=_right_by_spacing(prospect, guidance, today),
    )


def _right_today(prospect: Prospect, guidance: Guidance, policy: Policy, today: date) -> float | None:
    """Return the share predicted to be right today, by the half-life; None as long as the skill is not shown."""
    if prospect.due is None or prospect.last_right is None:
        return None
    forgetting = Forgetting(float(policy.demonstrated), guidance.pace.days, prospect.guess)
    return forgetting.share((today - prospect.last_right).days)


def _right_by_spacing(prospect: Prospect, guidance: Guidance, today: date) -> float | None:
    """Return the same by the model of spacing, once there are sessions enough, the last of them before today."""
    seen = spacing.sessions(guidance.times[prospect.skill.id])
    if prospect.due is None or len(seen) < spacing.FEWEST_SESSIONS or seen[-1].day >= today.toordinal():
        return None
    return spacing.fitted(seen).share([session.day for session in seen], today.toordinal())
