"""The pages of somebody who practises: their sheet, the one to go through in turn, and their record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.competency.next_drill import Rank, due_words
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from trainer.actions.actor import Actor
    from trainer.actions.observation_views import ObservationLine
    from trainer.actions.views import (
        EarlierView,
        ModuleOnSheet,
        MySheet,
        PracticeSheet,
        QualificationView,
        SkillStands,
    )


@dataclass(frozen=True)
class SheetPage(Page):
    """A person's own sheet: modules, what is missing, what to practise next; `first` is the module to go on with."""

    TEMPLATE: ClassVar[str] = "practise/sheet.html"
    sentence: str
    modules: tuple[ModuleOnSheet, ...]
    first: str
    minutes: int
    due_words: Mapping[tuple[str, str], str]


@dataclass(frozen=True)
class NumbersRow:
    """The numbers behind the choice of a skill, as they are printed."""

    title: str
    reason: str
    known: str
    guess: str
    minutes: str
    bits: str
    right_today: str
    due: str


@dataclass(frozen=True)
class ShortSheetPage(Page):
    """A short sheet that mixes skills: title and reason of each drill, where to begin, and the numbers behind it."""

    TEMPLATE: ClassVar[str] = "practise/short_sheet.html"
    sentence: str
    drills: tuple[tuple[str, str], ...]
    begin: str
    half_life: str
    least_guess: str
    numbers: tuple[NumbersRow, ...]


@dataclass(frozen=True)
class RecordPage(Page):
    """A person's own qualifications, and what fits into a pocket."""

    TEMPLATE: ClassVar[str] = "practise/record.html"
    person_name: str
    person_id: str
    crew: str
    day: date
    qualifications: tuple[QualificationView, ...]
    alone: tuple[QualificationView, ...]
    earlier: tuple[EarlierView, ...]
    alone_on_paper: tuple[EarlierView, ...]
    able_tasks: int
    observed: tuple[ObservationLine, ...]


def sheet_page(sheet: MySheet) -> SheetPage:
    """Return a person's sheet."""
    block = TitleBlock(title="My sheet", kind="Personal sheet", whose=("For", sheet.name), day=sheet.day)
    due = {
        (module.module_id, skill): due_words(day, sheet.day).removeprefix("due ")
        for module in sheet.modules
        for skill, day in module.due_again.items()
    }
    return SheetPage(block, _what_is_left(sheet), sheet.modules, _first(sheet), sheet.minutes, due)


_REASONS = {Rank.CAN_HURT: "can hurt, not shown", Rank.DUE: "due again", Rank.TELLS_MOST: "what it tells"}


def short_sheet_page(sheet: PracticeSheet, begin: str) -> ShortSheetPage:
    """Return the page of a short sheet; `begin` leads to its first drill."""
    minutes = round(sum(drill.minutes for drill in sheet.drills))
    return ShortSheetPage(
        block=TitleBlock(title=sheet.title, kind="Practice sheet", day=sheet.day),
        sentence=f"{count(len(sheet.drills), 'drill')} in about {count(max(minutes, 1), 'minute')}.",
        drills=tuple((drill.title, drill.why) for drill in sheet.drills),
        begin=begin,
        half_life=_half_life(sheet),
        least_guess=_per_cent(sheet.least_guess),
        numbers=tuple(
            NumbersRow(
                row.title,
                _REASONS[row.reason],
                _per_cent(row.known),
                _per_cent(row.guess),
                f"{row.minutes:.1f}",
                f"{row.bits_a_minute:.2f}",
                _today(row),
                row.due_words.removeprefix("due ") or "–",
            )
            for row in sheet.skills
        ),
    )


def _today(row: SkillStands) -> str:
    if row.right_today is None:
        return "–"
    spaced = "" if row.right_by_spacing is None else f", by spacing {_per_cent(row.right_by_spacing)}"
    return _per_cent(row.right_today) + spaced


def _half_life(sheet: PracticeSheet) -> str:
    if not sheet.refreshers:
        return f"a half-life of {count(sheet.half_life_days, 'day')} after Tatel and Ackerman 2025"
    own = count(sheet.refreshers, "refresher")
    return f"your own half-life of {count(sheet.half_life_days, 'day')}, learnt from {own}"


def _per_cent(share: float) -> str:
    if 0 < share < 0.01:
        return "under 1 %"
    # Nobody is ever told to know for certain.
    return "over 99 %" if 0.99 < share < 1 else f"{share:.0%}".replace("%", " %")


def _first(sheet: MySheet) -> str:
    """The module whose drill comes first: one not signed with something left to show, one with something due, else any."""
    unfinished = [module for module in sheet.modules if module.shown < len(module.skills)]
    unsigned = [module for module in unfinished if not module.standing.may_work_alone]
    due = [module for module in sheet.modules if any(d <= sheet.day for d in module.due_again.values())]
    return next((module.module_id for module in (*unsigned, *due, *unfinished, *sheet.modules)), "")


def _what_is_left(sheet: MySheet) -> str:
    """What the sheet comes to; whoever is signed for a module has nothing to show of it, but may keep it fresh."""
    if not sheet.modules:
        return "Nothing is assigned to you yet. Your mentor does that."
    unsigned = [module for module in sheet.modules if not module.standing.may_work_alone]
    left = sum(len(module.skills) - module.shown for module in unsigned)
    due = sum(day <= sheet.day for module in sheet.modules for day in module.due_again.values())
    again = f" {count(due, 'skill')} due again." if due else ""
    if not unsigned:
        return f"Signed in {count(len(sheet.modules), 'module')}, all on your sheet.{again}"
    if left == 0:
        return f"Every skill on your sheet is shown.{again}"
    return f"{count(left, 'skill')} still to be shown, in {count(len(unsigned), 'module')}.{again}"


def record_page(
    actor: Actor,
    qualifications: tuple[QualificationView, ...],
    earlier: tuple[EarlierView, ...],
    observed: tuple[ObservationLine, ...],
    day: date,
) -> RecordPage:
    """Return a person's record; in the pocket goes what they may do alone on that day."""
    alone = tuple(q for q in qualifications if q.standing.may_work_alone and q.ended_on is None)
    on_paper = tuple(
        one
        for one in earlier
        if one.standing and one.standing.may_work_alone and one.record.valid_from <= day
    )
    return RecordPage(
        block=TitleBlock(
            title="My record", kind="Qualification record", whose=("For", actor.display_name), day=day
        ),
        person_name=actor.display_name,
        person_id=actor.person_id,
        crew=actor.crew,
        day=day,
        qualifications=qualifications,
        alone=alone,
        earlier=earlier,
        alone_on_paper=on_paper,
        able_tasks=len({q.task_id for q in alone} | {one.record.task for one in on_paper}),
        observed=observed,
    )
