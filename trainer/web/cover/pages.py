"""The pages on what ends when, and what hangs on whom."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from markupsafe import Markup

from trainer.web.cover.chart import lanes
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from trainer.actions.cover_views import CoverSheet, Forecast, Track
    from trainer.actions.plan_views import PlanHead


@dataclass(frozen=True)
class ForecastPage(Page):
    """What ends within some weeks, in words, as a chart and as a table."""

    TEMPLATE: ClassVar[str] = "cover/forecast.html"
    sentence: str
    found: Forecast
    choices: tuple[int, ...]
    tracks: tuple[Track, ...]
    steady: int
    chart: Markup
    may_plan: bool


@dataclass(frozen=True)
class CoverPage(Page):
    """What hangs on one person, and what is short with some people away."""

    TEMPLATE: ClassVar[str] = "cover/cover.html"
    sentence: str
    found: CoverSheet
    plans: tuple[PlanHead, ...]
    may_plan: bool
    says: str


def forecast_page(found: Forecast, choices: tuple[int, ...], *, may_plan: bool) -> ForecastPage:
    """Return the forecast of a crew."""
    drawn = tuple(track for track in found.tracks if track.is_short or not track.is_steady)
    weeks = count(found.weeks, "week")
    if found.falls:
        sentence = (
            f"In the next {weeks} cover falls on {count(len(found.falls), 'day')}, "
            f"first on {found.falls[0].day.isoformat()}."
        )
    elif found.already:
        sentence = f"Short today; nothing more falls short in the next {weeks}."
    else:
        sentence = f"Nothing falls short in the next {weeks}."
    short = [track.task.id for track in drawn if track.is_short]
    told = (
        f"Below what is needed at some time: {', '.join(short)}."
        if short
        else "No line falls below what is needed."
    )
    return ForecastPage(
        block=TitleBlock(
            title=f"What ends when, {found.crew}",
            subtitle=f"{found.day.isoformat()} to {found.until.isoformat()}",
            kind="Forecast",
            whose=("Crew", found.crew),
            day=found.day,
        ),
        sentence=sentence,
        found=found,
        choices=choices,
        tracks=drawn,
        steady=len(found.tracks) - len(drawn),
        chart=lanes("ends", "How many may do each task alone", told, drawn, found.day, found.weeks)
        if drawn
        else Markup(""),
        may_plan=may_plan,
    )


def cover_page(
    found: CoverSheet, plans: tuple[PlanHead, ...], *, may_plan: bool, says: str = ""
) -> CoverPage:
    """Return the cover of a crew."""
    many = len(found.hinges)
    if many:
        sentence = f"{count(many, 'person', 'people')} whose absence alone makes something fall short."
    else:
        sentence = "No single absence makes anything fall short that is not short already."
    return CoverPage(
        TitleBlock(
            title=f"Cover, {found.crew}", kind="Cover sheet", whose=("Crew", found.crew), day=found.day
        ),
        sentence,
        found,
        plans,
        may_plan,
        says,
    )
