"""The inspector's packet asked for on a page, and the newest checkpoint of the log."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, redirect, request, url_for

from trainer.actions import crew as crews_room
from trainer.actions import ledger, paper_codes, upkeep
from trainer.actions.permissions import Permission
from trainer.records import paper_code
from trainer.web.context import actor, db, now
from trainer.web.errors import status_of
from trainer.web.evidence.pages import CodeForm, EvidenceForm, evidence_page
from trainer.web.guard import needs
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("evidence", __name__)


@room.get("/evidence")
@needs(Permission.LEDGER_READ)
def sheet() -> Response:
    """Show where the log stands, and ask whose evidence is wanted."""
    return _shown(EvidenceForm())


@room.get("/evidence/packet")
@needs(Permission.LEDGER_READ)
def packet() -> Response:
    """Lead to the packet; its address says everything, so that it can be kept."""
    form = EvidenceForm(*(request.args.get(name, "").strip() for name in ("about", "first", "last")))
    if not form.about or not form.first or not form.last:
        return _shown(form.saying("Say whose evidence is wanted, and the first and the last day."), 422)
    subject = f"{form.about} {form.first} {form.last}"
    return redirect(url_for("supervisor.print_sheet", kind="inspector_packet", subject=subject), 303)


@room.post("/evidence/code")
@needs(Permission.LEDGER_READ)
def code() -> Response:
    """Hold what the code on a paper says against the register."""
    pasted = request.form.get("code", "").strip()
    try:
        told = paper_codes.in_register(db(), actor(), pasted, today=now().date())
    except paper_code.CodeUnreadable as problem:
        return _shown(EvidenceForm(), status_of(problem), CodeForm(pasted, says=str(problem)))
    return _shown(EvidenceForm(), pasted=CodeForm(pasted, "", tuple(told.names), tuple(told.faults)))


def _shown(form: EvidenceForm, status: int = 200, pasted: CodeForm | None = None) -> Response:
    crews = crews_room.crews(db(), actor(), now=now()) if actor().may(Permission.CREW_READ) else ()
    tasks = upkeep.registered_tasks(db(), actor())
    page = evidence_page(ledger.stands(db(), actor()), crews, tasks, form, pasted or CodeForm(), now().date())
    return show(page, status)
