"""Which skill to practise next, and in which size: pure choices from what was shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions.views import NextSkill

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.competency.evidence import Shown


def choose(shown: Sequence[Shown]) -> NextSkill | None:
    """Return what to practise next and why; None for a module without skills.

    First what can hurt somebody and is not shown, then the fewest right ones in a row, then what was
    practised longest ago; of equals the first of the module.
    """
    if not shown:
        return None
    return _told(min(shown, key=_urgency))


def named(shown: Sequence[Shown], skill_id: str) -> NextSkill | None:
    """Return a skill that the person chose, or None when the module has none of that name."""
    return next((_told(item) for item in shown if item.skill.id == skill_id), None)


def size_for(sizes: Sequence[str], used: Mapping[str, int]) -> str:
    """Return the size practised least, the first of the module among equals; "" without sizes."""
    return min(sizes, key=lambda size: used.get(size, 0), default="")


def _urgency(item: Shown) -> tuple[bool, bool, int, float]:
    critical_first = not (item.skill.critical and not item.is_shown)
    row = min(item.in_a_row, item.needed)
    return item.is_shown, critical_first, row, item.last.timestamp() if item.last else float("-inf")


def _told(item: Shown) -> NextSkill:
    return NextSkill(item.skill.id, item.skill.title, _why(item))


def _why(item: Shown) -> str:
    if item.last is None:
        return (
            "Not practised yet, and an error here can hurt somebody."
            if item.skill.critical
            else "Not practised yet."
        )
    if item.is_shown:
        return f"Everything is shown; this was practised longest ago, on {item.last.date().isoformat()}."
    row = f"{item.in_a_row} of {item.needed} right in a row"
    return f"{row}, and an error here can hurt somebody." if item.skill.critical else f"{row}."
