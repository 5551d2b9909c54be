"""How a procedure is answered, and where a panel draws the line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import analysis, item_models, panel
from trainer.actions.panel import MOST_JUDGES
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.web.analysis.pages import (
    PanelForm,
    analysis_page,
    models_page,
    panel_page,
    panel_sheet_page,
    skill_page,
)
from trainer.web.context import actor, db, now
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("analysis", __name__)

_JUDGES = 4


@room.get("/modules/<module_id>/answers")
@needs(Permission.ANALYSIS_READ)
def sheet(module_id: str) -> Response:
    """Show how a procedure is answered."""
    return show(analysis_page(analysis.of_module(db(), actor(), module_id, now=now()), now().date()))


@room.get("/modules/<module_id>/answers/models")
@needs(Permission.ANALYSIS_READ)
def models(module_id: str) -> Response:
    """Show what item response models say of a procedure, where enough people have answered."""
    return show(models_page(item_models.of_module(db(), actor(), module_id), now().date()))


@room.get("/modules/<module_id>/answers/<path:skill_id>")
@needs(Permission.ANALYSIS_READ)
def skill(module_id: str, skill_id: str) -> Response:
    """Show how one skill is answered."""
    return show(skill_page(analysis.of_skill(db(), actor(), module_id, skill_id), now().date()))


@room.get("/modules/<module_id>/panel")
@needs(Permission.ANALYSIS_READ)
def panel_room(module_id: str) -> Response:
    """Show the sheet that a panel fills in."""
    wanted = request.args.get("judges", "")
    judges = int(wanted) if wanted.isascii() and wanted.isdigit() and len(wanted) < 3 else _JUDGES
    judges = min(max(judges, 2), MOST_JUDGES)
    found = panel.room(db(), actor(), module_id)
    empty = PanelForm(("",) * judges, (("",) * len(found.items),) * judges)
    return _panel(module_id, empty)


@room.post("/modules/<module_id>/panel")
@needs(Permission.PANEL_KEEP)
def keep(module_id: str) -> Response:
    """Keep a filled-in sheet."""
    judges = request.form.getlist("judge")[:MOST_JUDGES]
    count = len(panel.room(db(), actor(), module_id).items)
    estimates = [
        [request.form.get(f"estimate.{judge}.{item}", "") for item in range(count)]
        for judge in range(len(judges))
    ]
    try:
        number = panel.keep(
            db(), actor(), module_id, request.form.get("revision", ""), judges, estimates, now=now()
        )
    except TrainerError as refused:
        typed = PanelForm(tuple(judges), tuple(tuple(row) for row in estimates), str(refused))
        return _panel(module_id, typed, status_of(refused))
    flash("The sheet is kept with its cut.")
    return redirect(url_for("analysis.panel_sheet", module_id=module_id, panel_id=number), 303)


@room.get("/modules/<module_id>/panel/<int:panel_id>")
@needs(Permission.ANALYSIS_READ)
def panel_sheet(module_id: str, panel_id: int) -> Response:
    """Show a kept sheet."""
    return show(panel_sheet_page(panel.sheet(db(), actor(), module_id, panel_id)))


def _panel(module_id: str, form: PanelForm, status: int = 200) -> Response:
    found = panel.room(db(), actor(), module_id)
    more = MOST_JUDGES if len(form.judges) < MOST_JUDGES else 0
    page = panel_page(found, form, now().date(), may_keep=actor().may(Permission.PANEL_KEEP), more=more)
    return show(page, status)
