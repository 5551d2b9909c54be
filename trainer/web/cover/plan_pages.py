"""The pages of a plan of cover: what is asked, the lines as a form, and the kept sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.records.cover import Means
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from trainer.actions.plan_views import PlanAsk, PlanLine, PlanRoom, PlanSheet

# So many lines stand empty below the others, to be filled in by hand.
_EMPTY = 3
MEANS = tuple((means.value, means.value) for means in Means)


@dataclass(frozen=True)
class LineForm:
    """What stands in a line of the form."""

    person: str = ""
    task: str = ""
    means: str = Means.NEW.value
    weeks: str = ""
    responsible: str = ""
    due: str = ""


@dataclass(frozen=True)
class AskForm:
    """What stands in the form that asks for a plan."""

    tasks: tuple[str, ...]
    weeks: str
    cover: str
    any_one_away: bool
    refresher_weeks: str
    new_weeks: str


@dataclass(frozen=True)
class PlanForm:
    """The lines as they stand on the page, of which plan and version they are, and what is said to them."""

    lines: tuple[LineForm, ...] = ()
    number: int = 0
    after: int = 0
    says: str = ""
    told: str = ""


@dataclass(frozen=True)
class PlanPage(Page):
    """Ask for a plan, change its lines, keep it."""

    TEMPLATE: ClassVar[str] = "cover/plan.html"
    sentence: str
    room: PlanRoom
    asked_of: tuple[tuple[str, str], ...]
    tasks: tuple[tuple[str, str], ...]
    people: tuple[tuple[str, str], ...]
    responsible: tuple[tuple[str, str], ...]
    means: tuple[tuple[str, str], ...]
    ask: AskForm
    form: PlanForm
    lines: tuple[LineForm, ...]


@dataclass(frozen=True)
class PlanSheetPage(Page):
    """A kept plan."""

    TEMPLATE: ClassVar[str] = "cover/plan_sheet.html"
    sentence: str
    plan: PlanSheet
    says: str


def asked(ask: PlanAsk) -> AskForm:
    """Return what is asked as it stands in the form."""
    return AskForm(
        ask.tasks,
        str(ask.weeks),
        "" if ask.cover is None else str(ask.cover),
        ask.any_one_away,
        str(ask.refresher_weeks),
        str(ask.new_weeks),
    )


def as_forms(lines: Iterable[PlanLine]) -> tuple[LineForm, ...]:
    """Return lines as they stand in the form."""
    return tuple(
        LineForm(
            line.person_id,
            line.task_id,
            line.means.value,
            str(line.weeks),
            line.responsible,
            line.due.isoformat(),
        )
        for line in lines
    )


def plan_page(room: PlanRoom, ask: AskForm, form: PlanForm) -> PlanPage:
    """Return the page on which a plan is made."""
    if form.number:
        sentence = f"Plan {form.number}, {room.crew}: change it and keep version {form.after + 1}."
    else:
        sentence = f"A plan for {room.crew}: the least that brings the cover back."
    return PlanPage(
        block=TitleBlock(
            title=f"Plan, {room.crew}", kind="Plan of cover", whose=("Crew", room.crew), day=room.day
        ),
        sentence=sentence,
        room=room,
        asked_of=tuple(
            (task.id, f"{task.id} {task.title} (the register asks for {task.needed})") for task in room.tasks
        ),
        tasks=tuple((task.id, f"{task.id} {task.title}") for task in room.tasks),
        people=room.people,
        responsible=room.responsible,
        means=MEANS,
        ask=ask,
        form=form,
        lines=(*form.lines, *_empty(room)),
    )


def _empty(room: PlanRoom) -> Sequence[LineForm]:
    first = room.responsible[0][0] if room.responsible else ""
    return [LineForm(responsible=first)] * _EMPTY


def plan_sheet_page(plan: PlanSheet, *, says: str = "") -> PlanSheetPage:
    """Return the page of a kept plan."""
    done = sum(line.done for line in plan.lines)
    return PlanSheetPage(
        block=TitleBlock(
            title=f"Plan {plan.head.number}, {plan.crew}",
            subtitle=f"Cover on {plan.for_day.isoformat()}",
            kind="Plan of cover",
            whose=("Crew", plan.crew),
            revision=str(plan.head.version),
            day=plan.head.at.date(),
            issued_by=plan.head.kept_by,
        ),
        sentence=f"Plan {plan.head.number}: {count(len(plan.lines), 'line')}, {done} of them done.",
        plan=plan,
        says=says,
    )
