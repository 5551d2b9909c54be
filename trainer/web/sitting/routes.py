"""Releasing a sitting, taking it, breaking it off, and reading what it came to.

A question is addressed by the number of the sitting and its position in it: nothing that a person could choose.
"""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from flask import Blueprint, flash, jsonify, redirect, request, url_for

from trainer.actions import publish, sitting, sitting_release, sitting_sheets
from trainer.actions.permissions import Permission
from trainer.actions.sitting import OtherQuestion, SittingOver
from trainer.actions.views import AttemptView, DrillAddress
from trainer.errors import TrainerError
from trainer.web.context import actor, db, now, site
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.pages import TitleBlock, show
from trainer.web.practise.answering import answer_of, filled, fresh, moved
from trainer.web.practise.moment import moment_of, shown_beside
from trainer.web.practise.pages import marked_page, question_page
from trainer.web.sending import as_json
from trainer.web.sitting.pages import release_page, sitting_page
from trainer.web.sketches import thumbnails

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

    from trainer.actions.sitting_views import PutQuestion, SatView
    from trainer.web.practise.answering import Filled

room = Blueprint("sitting", __name__)

_QUESTION = "/sitting/<int:sitting_id>/<int:position>"


@room.get("/people/<person_id>/release/<module_id>")
@needs(Permission.SITTING_RELEASE)
def release(person_id: str, module_id: str) -> Response:
    """Show what practice advises, and the form that releases somebody."""
    return _release(person_id, module_id)


@room.post("/people/<person_id>/release/<module_id>")
@needs(Permission.SITTING_RELEASE)
def release_now(person_id: str, module_id: str) -> Response:
    """Release somebody for a sitting."""
    because, about = request.form.get("because", ""), request.form.get("about", "")
    try:
        number = sitting_release.release(
            db(),
            actor(),
            person_id,
            module_id,
            because=because,
            drawn_with=secrets.token_hex(16),
            now=now(),
            for_change=about == "change",
        )
    except TrainerError as refused:
        says, status = str(refused), status_of(refused)
        return _release(person_id, module_id, because, says=says, about=about, status=status)
    flash("Released. The sitting waits on the person's own sheet.")
    return redirect(url_for("sitting.sheet", sitting_id=number), 303)


@room.get("/sitting/<int:sitting_id>")
@needs(Permission.SITTING_TAKE, Permission.ATTEMPT_READ)
def sheet(sitting_id: int) -> Response:
    """Show where a sitting stands, or what it came to."""
    return _sheet(sitting_id)


@room.post("/sitting/<int:sitting_id>/begin")
@needs(Permission.SITTING_TAKE)
def begin(sitting_id: int) -> Response:
    """Put the first question, or go on with the open one."""
    return redirect(_path(sitting_id, sitting.begin(db(), actor(), sitting_id, now=now())), 303)


@room.post("/sitting/<int:sitting_id>/break-off")
@needs(Permission.SITTING_RELEASE)
def break_off(sitting_id: int) -> Response:
    """Break a sitting off, with a reason."""
    because = request.form.get("because", "")
    try:
        sitting_release.break_off(db(), actor(), sitting_id, because=because, now=now())
    except TrainerError as refused:
        return _sheet(sitting_id, because, says=str(refused), status=status_of(refused))
    flash("Broken off. What was answered counts.")
    return redirect(url_for("sitting.sheet", sitting_id=sitting_id), 303)


@room.get(_QUESTION)
@needs(Permission.SITTING_TAKE, Permission.ATTEMPT_READ)
def question(sitting_id: int, position: int) -> Response:
    """Show the open question to who sits; after the end any question with its mark to who may read it."""
    where = sitting_sheets.sheet(db(), actor(), sitting_id, now=now())
    if where.how is not None:
        return _marked(sitting_sheets.view(db(), actor(), sitting_id, position))
    if where.position != position or where.sitting.person_id != actor().person_id:
        own = where.sitting.person_id == actor().person_id
        return redirect(_path(sitting_id, where.position if own else None), 303)
    put = sitting.question(db(), actor(), sitting_id, position, now=now())
    blank = fresh(
        put.question.form,
        ticket=secrets.token_urlsafe(18),
        started=now().isoformat(timespec="seconds"),
        leading_unit=site().settings.torque_unit,
    )
    return _shown(put, blank, most=where.most)


@room.get(_QUESTION + "/pictures")
@needs(Permission.SITTING_TAKE, Permission.ATTEMPT_READ)
def pictures(sitting_id: int, position: int) -> Response:
    """Give the thumbnails of the lines of a marked answer, by line; while somebody sits, nothing helps."""
    view = sitting_sheets.view(db(), actor(), sitting_id, position)
    return as_json(thumbnails(view.question, publish.module_at(db(), view.question.revision)))


@room.post(_QUESTION)
@needs(Permission.SITTING_TAKE)
def answer(sitting_id: int, position: int) -> Response:
    """Move a line or go on to the next moment and show the sheet again, or keep the answer and go on."""
    by_script = request.accept_mimetypes.best == "application/json"
    try:
        put = sitting.question(db(), actor(), sitting_id, position, now=now())
        sent = filled(put.question.form, request.form)
        if "mark" not in request.form and "move" in request.form:
            return _shown(put, moved(sent, request.form["move"]))
        if "pick" in request.form:
            ahead = sitting.go_on(db(), actor(), sitting_id, position, sent.picked, now=now())
            if ahead is not None:
                return _shown(ahead, sent)
    except OtherQuestion as elsewhere:
        # Sent a second time, or from a second window: the first answer that came in is kept.
        return _onward(sitting_id, elsewhere.position or None, by_script=by_script)
    except SittingOver:
        return _onward(sitting_id, None, by_script=by_script)
    try:
        following = sitting.answer(
            db(),
            actor(),
            sitting_id,
            position,
            answer_of(put.question.form, sent),
            ticket=sent.ticket,
            now=now(),
        )
    except (OtherQuestion, SittingOver):
        return _onward(sitting_id, None, by_script=by_script)
    except TrainerError as refused:
        if by_script:
            told = jsonify(says=str(refused))
            told.status_code = status_of(refused)
            return told
        return _shown(put, sent, says=str(refused), status=status_of(refused))
    return _onward(sitting_id, following, by_script=by_script)


def _onward(sitting_id: int, position: int | None, *, by_script: bool) -> Response:
    path = _path(sitting_id, position)
    return jsonify(marked=path) if by_script else redirect(path, 303)


def _path(sitting_id: int, position: int | None) -> str:
    if position is None:
        return url_for("sitting.sheet", sitting_id=sitting_id)
    return url_for("sitting.question", sitting_id=sitting_id, position=position)


def _release(
    person_id: str,
    module_id: str,
    because: str = "",
    *,
    says: str = "",
    about: str = "",
    status: int = 200,
) -> Response:
    sheet = sitting_release.prepare(db(), actor(), person_id, module_id, now=now())
    return show(release_page(sheet, now().date(), because=because, says=says, about=about), status)


def _sheet(sitting_id: int, because: str = "", *, says: str = "", status: int = 200) -> Response:
    found = sitting_sheets.sheet(db(), actor(), sitting_id, now=now())
    own = found.sitting.person_id == actor().person_id
    return show(sitting_page(found, now().date(), own=own, because=because, says=says), status)


def _shown(
    put: PutQuestion, filled_in: Filled, *, most: int = 0, says: str = "", status: int = 200
) -> Response:
    asked = put.question
    module = publish.module_at(db(), asked.revision)
    most = most or sitting_sheets.sheet(db(), actor(), put.sitting_id, now=now()).most
    page = question_page(
        asked,
        module,
        TitleBlock(
            title=asked.title,
            kind="Assessment sitting",
            document=module.document,
            revision=asked.revision,
            sheet=f"{put.position} of {most}",
            day=now().date(),
        ),
        filled_in,
        address=_path(put.sitting_id, put.position),
        keep_as=_kept_as(put.sitting_id, put.position),
        unaided=True,
        says=says,
    )
    return show(page, status)


def _marked(view: SatView) -> Response:
    asked = view.question
    module = publish.module_at(db(), asked.revision)
    if view.mark is None or view.at is None:
        return redirect(_path(view.sitting_id, None), 303)
    attempt = AttemptView(
        attempt_id=0,
        person_id=view.person_id,
        person_name=view.person_name,
        module_id=asked.module,
        module_title=module.title,
        address=DrillAddress(asked.module, asked.revision, asked.kind, asked.size, asked.seed),
        is_current=True,
        skill_id=asked.skill,
        skill_title=view.skill_title,
        question=asked,
        answer=view.answer,  # type: ignore[arg-type]  # it was read by the question's form when it came in
        mark=view.mark,
        counts=True,
        started=None,
        at=view.at,
    )
    back = _path(view.sitting_id, None)
    page = marked_page(
        attempt,
        module,
        TitleBlock(
            title=asked.title,
            kind="Assessment sitting",
            document=module.document,
            revision=asked.revision,
            sheet=str(view.position),
            day=view.at.date(),
        ),
        moment_of(attempt, module),
        shown_beside(attempt, module),
        own=view.person_id == actor().person_id,
        again=back,
        back=back,
        back_words="Back to the sitting",
        kept_as=_kept_as(view.sitting_id, view.position),
        pictures_at=url_for("sitting.pictures", sitting_id=view.sitting_id, position=view.position),
    )
    return show(page)


def _kept_as(sitting_id: int, position: int) -> str:
    """The name under which a device keeps the unsent answer."""
    return f"sitting {actor().person_id} {sitting_id} {position}"
