"""The crew sheet, sign-off, records and what is printed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import (
    changes,
    confirm_change,
    earlier,
    printing,
    publish,
    qualify,
    sign_off_queue,
    signed_records,
)
from trainer.actions import crew as crews_room
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.web.context import actor, db, keep_token, now, site
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.pages import show
from trainer.web.sending import as_file
from trainer.web.supervisor.earlier_pages import paper_page
from trainer.web.supervisor.pages import (
    LAPSES_SHOWN,
    TrainingDay,
    crew_page,
    crews_page,
    qualification_page,
    queue_page,
    sign_page,
)

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as AnyResponse

room = Blueprint("supervisor", __name__)

_PAPERS = (("a4", "A4"), ("us-letter", "Letter"))


@room.get("/crew")
@needs(Permission.CREW_READ)
def crews() -> AnyResponse:
    """List the crews and what ends next."""
    day = now()
    lines = crews_room.crews(db(), actor(), now=day)
    # One more than are shown tells that there are more.
    ending = crews_room.lapses(db(), actor(), most=LAPSES_SHOWN + 1, now=day)
    may_confirm = actor().may(Permission.QUALIFICATION_SIGN)
    return show(crews_page(lines, ending, changes.due(db(), actor()), day.date(), may_confirm=may_confirm))


@room.get("/crew/<path:crew>")
@needs(Permission.CREW_READ)
def crew(crew: str) -> AnyResponse:
    """Show a crew by its tasks."""
    return _crew(crew, _training_day())


@room.get("/sign-in-sheet")
@needs(Permission.CREW_READ)
def sign_in_sheet() -> AnyResponse:
    """Lead to the sign-in sheet of a training day; its address says everything, so that it can be kept."""
    crew, *filled = (request.args.get(name, "").strip() for name in ("crew", "module", "day", "approved_by"))
    module, day, approved_by = filled
    form = replace(_training_day(), module=module, day=day, approved_by=approved_by)
    if module not in dict(form.modules):
        return _crew(crew, replace(form, says="Choose the procedure that is gone through."), 422)
    if not _is_day(day):
        return _crew(crew, replace(form, says="Say on which day the training is."), 422)
    subject = " / ".join(part for part in (crew, *filled) if part)
    return redirect(url_for("supervisor.print_sheet", kind="sign_in_sheet", subject=subject), 303)


def _training_day() -> TrainingDay:
    modules = publish.current_modules(db(), actor())
    return TrainingDay(tuple((one.module_id, one.title) for one in modules), now().date().isoformat())


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _crew(crew: str, training: TrainingDay, status: int = 200) -> AnyResponse:
    sheet = crews_room.crew_sheet(db(), actor(), crew, now=now())
    page = crew_page(
        crew,
        sheet,
        url_for("mentor.people"),
        changes.due(db(), actor(), crew),
        training,
        may_print=actor().may_for(Permission.RECORD_READ, crew=crew),
        may_confirm=actor().may(Permission.QUALIFICATION_SIGN),
    )
    return show(page, status)


@room.get("/sign-off")
@needs(Permission.QUALIFICATION_SIGN)
def queue() -> AnyResponse:
    """Show who waits for a signature."""
    lines = sign_off_queue.queue(db(), actor(), now=now())
    papers = len(earlier.waiting(db(), actor(), now=now()))
    shown = tuple(line.due for line in confirm_change.waiting(db(), actor(), now=now()))
    return show(
        queue_page(lines, sign_off_queue.not_yet(db(), actor(), now=now()), papers, shown, now().date())
    )


@room.get("/sign-off/<person_id>/<task_id>")
@needs(Permission.QUALIFICATION_SIGN)
def sign(person_id: str, task_id: str) -> AnyResponse:
    """Show what would be signed, and on which evidence."""
    return show(sign_page(sign_off_queue.ready(db(), actor(), person_id, task_id, now=now()), now().date()))


@room.post("/sign-off/<person_id>/<task_id>")
@needs(Permission.QUALIFICATION_SIGN)
def sign_now(person_id: str, task_id: str) -> AnyResponse:
    """Sign, with the password again."""
    waiting = sign_off_queue.ready(db(), actor(), person_id, task_id, now=now())
    try:
        signed = qualify.sign(
            db(), actor(), person_id, task_id, password=request.form.get("password", ""), now=now()
        )
    except TrainerError as refused:
        return show(sign_page(waiting, now().date(), says=str(refused)), status_of(refused))
    if signed.token:
        keep_token(signed.token)
    flash("Signed. The record can be printed.")
    return redirect(url_for("supervisor.record", number=signed.number), 303)


@room.get("/records/<number>")
@needs(Permission.RECORD_OWN, Permission.RECORD_READ)
def record(number: str) -> AnyResponse:
    """Show one qualification record."""
    first = site().settings.paper
    papers = tuple(sorted(_PAPERS, key=lambda paper: paper[0] != first))
    if number.startswith("EQ-"):
        one = earlier.record(db(), actor(), number, now=now())
        return show(paper_page(one, papers, may_withdraw=actor().may(Permission.QUALIFICATION_SIGN)))
    return show(qualification_page(signed_records.record(db(), actor(), number), papers))


@room.get("/print/<kind>/<path:subject>")
@needs(Permission.RECORD_OWN, Permission.RECORD_READ, Permission.CREW_READ, Permission.MODULE_READ)
def print_sheet(kind: str, subject: str) -> AnyResponse:
    """Send a printed sheet; who may have it is decided by what is printed."""
    paper = request.args.get("paper") or site().settings.paper
    bom = request.args.get("bom") != "no"
    return as_file(printing.print_sheet(db(), actor(), kind, subject, paper=paper, now=now(), bom=bom))
