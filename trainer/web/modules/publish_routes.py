"""Publishing a procedure: choose the file, look at what it changes for whom, decide whether that has to be shown anew."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import publish
from trainer.actions.permissions import Permission
from trainer.actions.publish import NotFitToPublish
from trainer.actions.revise import ChangeUndecided
from trainer.actions.table_in import MOST_BYTES, TableUnreadable
from trainer.web.context import actor, db, now
from trainer.web.errors import status_of
from trainer.web.filters import count
from trainer.web.guard import needs
from trainer.web.keeper.file_routes import carried, sent
from trainer.web.modules.publish_pages import Decided, choose_revision_page, revision_page
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("publish", __name__)

_CHOICES = {"yes": True, "no": False}


@room.get("/publish")
@needs(Permission.MODULE_PUBLISH)
def choose() -> Response:
    """Ask for the file of a procedure."""
    return show(choose_revision_page())


@room.post("/publish")
@needs(Permission.MODULE_PUBLISH)
def revision() -> Response:
    """Show what publishing a file would do, or publish it when that was decided."""
    try:
        data = sent()
        text = _text(data)
    except TableUnreadable as refused:
        return show(choose_revision_page(says=str(refused)), status_of(refused))
    chosen = request.files.get("file")
    file = (chosen.filename if chosen else "") or request.form.get("name", "") or "procedure.yaml"
    decided = Decided(request.form.get("must_show", ""), request.form.get("because", ""))
    try:
        if "confirmed" in request.form:
            done = publish.publish(
                db(),
                actor(),
                text,
                file=file,
                now=now(),
                must_show=_CHOICES.get(decided.must_show),
                because=decided.because,
            )
            flash(_told(done.asked, new=done.new))
            return redirect(url_for("modules.procedure", module_id=done.module_id), 303)
        return _look(text, data, file, decided)
    except NotFitToPublish as refused:
        page = choose_revision_page(says=str(refused), findings=refused.findings)
        return show(page, status_of(refused))
    except ChangeUndecided as refused:
        told = Decided(decided.must_show, decided.because, str(refused))
        return _look(text, data, file, told, status=status_of(refused))


def _look(text: str, data: bytes, file: str, decided: Decided, *, status: int = 200) -> Response:
    found = publish.look(db(), actor(), text, file=file, now=now())
    return show(revision_page(found, decided, carried(data), file, now().date()), status)


def _text(data: bytes) -> str:
    if len(data) > MOST_BYTES:
        raise TableUnreadable("it is larger than a procedure ever is")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as problem:
        raise TableUnreadable("it is not written in UTF-8; save it as UTF-8 and choose it again") from problem


def _told(asked: int, *, new: bool) -> str:
    if not new:
        return "This very revision was in force already; nothing was changed."
    if not asked:
        return "Published. Whoever is qualified under an earlier revision has the change to read."
    return f"Published. {count(asked, 'person has', 'people have')} to show the change."
