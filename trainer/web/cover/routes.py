"""What ends when, and what hangs on whom."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, request

from trainer.actions import cover, plan
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.web.context import actor, db, now
from trainer.web.cover.pages import cover_page, forecast_page
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.mentor.routes import day_of
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("cover", __name__)


@room.get("/forecast/<path:crew>")
@needs(Permission.CREW_READ)
def forecast(crew: str) -> Response:
    """Show what ends within some weeks."""
    asked = request.args.get("weeks", "")
    weeks = next((choice for choice in cover.WEEKS if str(choice) == asked), cover.WEEKS[1])
    found = cover.forecast(db(), actor(), crew, weeks=weeks, now=now())
    return show(forecast_page(found, cover.WEEKS, may_plan=actor().may(Permission.PLAN_KEEP)))


@room.get("/cover/<path:crew>")
@needs(Permission.CREW_READ)
def sheet(crew: str) -> Response:
    """Show what hangs on whom, and what is short with some people away."""
    typed, says, status, day = request.args.get("day", ""), "", 200, None
    try:
        day = day_of(typed) if typed else None
    except TrainerError as refused:
        says, status = str(refused), status_of(refused)
    away = request.args.getlist("away")
    found = cover.sheet(db(), actor(), crew, away=away, day=day, now=now())
    plans = plan.of_crew(db(), actor(), crew)
    return show(cover_page(found, plans, may_plan=actor().may(Permission.PLAN_KEEP), says=says), status)
