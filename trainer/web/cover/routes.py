"""What ends when, and what hangs on whom."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, request

from trainer.actions import cover
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
    return show(forecast_page(cover.forecast(db(), actor(), crew, weeks=weeks, now=now()), cover.WEEKS))


@room.get("/cover/<path:crew>")
@needs(Permission.CREW_READ)
def sheet(crew: str) -> Response:
    """Show what hangs on whom, and what is short with some people away."""
    typed = request.args.get("day", "")
    away = request.args.getlist("away")
    try:
        day = day_of(typed) if typed else None
    except TrainerError as refused:
        found = cover.sheet(db(), actor(), crew, away=away, now=now())
        return show(cover_page(found, says=str(refused)), status_of(refused))
    return show(cover_page(cover.sheet(db(), actor(), crew, away=away, day=day, now=now())))
