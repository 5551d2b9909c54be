"""The procedures in force."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, redirect, render_template, request, url_for

from trainer.actions import publish, question_bank
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.unaided import must_not_sit_now
from trainer.procedure.library import tables
from trainer.web.context import actor, db, site
from trainer.web.guard import needs
from trainer.web.modules import machine as machines
from trainer.web.modules.language import drawing_language_page
from trainer.web.modules.pages import modules_page, procedure_page
from trainer.web.modules.part_told import part_told
from trainer.web.modules.station import station_page
from trainer.web.pages import show
from trainer.web.sending import HTML, SVG, kept

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

    from trainer.actions.views import PublishedModule
    from trainer.procedure.model import Module

room = Blueprint("modules", __name__)

# Stands in an address where a procedure has no sizes; a path cannot hold an empty piece.
_NO_SIZE = "-"


@room.get("/modules")
@needs(Permission.MODULE_READ)
def all_modules() -> Response:
    """List the procedures in force."""
    may_publish = actor().may(Permission.MODULE_PUBLISH)
    return show(modules_page(publish.current_modules(db(), actor()), may_publish=may_publish))


@room.get("/drawing-language")
@needs(Permission.MODULE_READ)
def drawing_language() -> Response:
    """Show how what things look like is written, each construct with its picture."""
    return show(drawing_language_page())


@room.get("/modules/<module_id>")
@needs(Permission.MODULE_READ)
def procedure(module_id: str) -> Response:
    """Show one procedure at its revision in force."""
    published = _in_force(module_id)
    module = publish.module_at(db(), published.revision)
    page = procedure_page(
        published,
        module,
        dict(tables().tools),
        leading_torque=site().settings.torque_unit,
        may_analyse=actor().may(Permission.ANALYSIS_READ),
        kinds=question_bank.kinds(db(), actor(), module_id),
    )
    return show(page)


@room.get("/modules/<module_id>/questions")
@needs(Permission.MODULE_PUBLISH)
def questions(module_id: str) -> Response:
    """Go to the file with the questions that were chosen."""
    said = ((name, request.args.get(name, "").strip()) for name in ("kinds", "size", "seeds"))
    subject = " ".join([module_id, *(f"{name}={value}" for name, value in said if value)])
    return redirect(url_for("supervisor.print_sheet", kind="question_bank", subject=subject), 303)


@room.get("/modules/<module_id>/machine")
@needs(Permission.MODULE_READ)
def machine(module_id: str) -> Response:
    """Show the machine: section, what there is to know of an item, the state after a step, taken apart."""
    published = _in_force(module_id)
    module = publish.module_at(db(), published.revision)
    size = request.args.get("size", "")
    machines.must_be_drawn(module, size)
    page = machines.machine_page(
        published,
        module,
        size=size,
        after=request.args.get("after", ""),
        part=request.args.get("part", ""),
        exploded="exploded" in request.args,
        leading_torque=site().settings.torque_unit,
    )
    return show(page)


@room.get("/modules/<module_id>/station")
@needs(Permission.MODULE_READ)
def station(module_id: str) -> Response:
    """Show the station after a step: its valves, and what its pipes hold."""
    published = _in_force(module_id)
    module = publish.module_at(db(), published.revision)
    return show(station_page(published, module, request.args.get("after", "")))


@room.get("/modules/<module_id>/<revision>/item/<part>")
@needs(Permission.MODULE_READ)
def part(module_id: str, revision: str, part: str) -> Response:
    """Give what there is to know of one item, as a piece of the sheet."""
    module = _at(module_id, revision)
    size = request.args.get("size", "")
    machines.must_be_drawn(module, size)
    written = render_template(
        "modules/part.html",
        told=part_told(module, part, size, site().settings.torque_unit),
        close=machines.close_up_of(module, size, part),
        module_id=module_id,
        size=size,
    )
    return kept(written, HTML)


@room.get("/modules/<module_id>/<revision>/state/<path:size>/<int:done>/<any(phone, desk):width>")
@needs(Permission.MODULE_READ)
def moment(module_id: str, revision: str, size: str, done: int, width: str) -> Response:
    """Give the state after so many steps, drawn and in words, as a piece of the sheet."""
    module = _at(module_id, revision)
    chosen = "" if size == _NO_SIZE else size
    machines.must_be_drawn(module, chosen)
    written = render_template("modules/moment.html", moment=machines.moment(module, done))
    return kept(written + str(machines.state(module, chosen, done, width)), HTML)


@room.get("/modules/<module_id>/<revision>/exploded/<path:size>/<any(phone, desk):width>")
@needs(Permission.MODULE_READ)
def exploded(module_id: str, revision: str, size: str, width: str) -> Response:
    """Give the machine taken apart."""
    module = _at(module_id, revision)
    chosen = "" if size == _NO_SIZE else size
    machines.must_be_drawn(module, chosen)
    return kept(machines.exploded_view(module, chosen, width), SVG)


def _in_force(module_id: str) -> PublishedModule:
    # Nothing of a procedure is shown to who sits.
    must_not_sit_now(db(), actor())
    published = next((m for m in publish.current_modules(db(), actor()) if m.module_id == module_id), None)
    if published is None:
        raise NotFound("procedure", module_id)
    return published


def _at(module_id: str, revision: str) -> Module:
    must_not_sit_now(db(), actor())
    module = publish.module_at(db(), revision)
    if module.id != module_id:
        raise NotFound("procedure", module_id)
    return module
