"""The procedures in force."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint

from trainer.actions import publish
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.procedure.library import tables
from trainer.web.context import actor, db, site
from trainer.web.guard import needs
from trainer.web.modules.pages import modules_page, procedure_page
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("modules", __name__)


@room.get("/modules")
@needs(Permission.MODULE_READ)
def all_modules() -> Response:
    """List the procedures in force."""
    return show(modules_page(publish.current_modules(db(), actor())))


@room.get("/modules/<module_id>")
@needs(Permission.MODULE_READ)
def procedure(module_id: str) -> Response:
    """Show one procedure at its revision in force."""
    published = next((m for m in publish.current_modules(db(), actor()) if m.module_id == module_id), None)
    if published is None:
        raise NotFound("procedure", module_id)
    module = publish.module_at(db(), published.revision)
    page = procedure_page(published, module, dict(tables().tools), leading_torque=site().settings.torque_unit)
    return show(page)
