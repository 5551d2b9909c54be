"""My sheet, the drill, its mark, my record."""

from __future__ import annotations

import secrets
from datetime import datetime
from typing import TYPE_CHECKING

from flask import Blueprint, jsonify, redirect, request, url_for

from trainer.actions import bench, earlier, practise, publish, signed_records
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.views import DrillAddress
from trainer.errors import TrainerError
from trainer.web.context import actor, db, now, site
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.pages import TitleBlock, show
from trainer.web.practise.answering import answer_of, filled, fresh, moved
from trainer.web.practise.in_turn import InTurn, in_turn_of
from trainer.web.practise.moment import moment_of, shown_beside
from trainer.web.practise.pages import TurnsShown, marked_page, question_page
from trainer.web.practise.sheet_pages import record_page, sheet_page, short_sheet_page
from trainer.web.sending import as_json
from trainer.web.sketches import thumbnails

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

    from trainer.drills.question import Question
    from trainer.web.practise.answering import Filled

room = Blueprint("practise", __name__)

# Stands in an address where a module has no sizes; a path cannot hold an empty piece.
_NO_SIZE = "-"


@room.get("/sheet")
@needs(Permission.SHEET_OWN)
def sheet() -> Response:
    """Show what is assigned to this person and what is still missing."""
    return show(sheet_page(practise.my_sheet(db(), actor(), now=now())))


@room.get("/practise/<module_id>")
@needs(Permission.PRACTICE_DO)
def begin(module_id: str) -> Response:
    """Go to a drill not asked before: of the skill named, or of the one that needs it most."""
    turns = in_turn_of(request.args)
    skill, size = request.args.get("skill") or None, request.args.get("size") or None
    address = practise.next_drill(db(), actor(), module_id, turns.skill if turns else skill, size, now=now())
    return redirect(question_path(address, turns), 303)


@room.get("/practise/<module_id>/in-turn")
@needs(Permission.PRACTICE_DO)
def short_sheet(module_id: str) -> Response:
    """Show a short sheet that mixes skills, and lead to its first drill."""
    sheet = practise.short_sheet(db(), actor(), module_id, now=now())
    turns = InTurn(tuple(drill.skill_id for drill in sheet.drills))
    return show(short_sheet_page(sheet, url_for("practise.begin", module_id=module_id, **turns.query())))


def question_path(address: DrillAddress, turns: InTurn | None = None) -> str:
    """Return the path at which a question stands for ever, on its way through a short sheet if there is one."""
    return url_for(
        "practise.question",
        module_id=address.module_id,
        revision=address.revision,
        kind=address.kind,
        size=address.size or _NO_SIZE,
        seed=address.seed,
        **(turns.query() if turns else {}),
    )


# A size may hold a slash, as G 1/4 does.
_QUESTION = "/practise/<module_id>/<revision>/<kind>/<path:size>/<int:seed>"


@room.get(_QUESTION)
@needs(Permission.PRACTICE_DO)
def question(module_id: str, revision: str, kind: str, size: str, seed: int) -> Response:
    """Show a question, without its key."""
    address = _address(module_id, revision, kind, size, seed)
    asked = _asked(address)
    blank = fresh(
        asked.form,
        ticket=secrets.token_urlsafe(18),
        started=now().isoformat(timespec="seconds"),
        leading_unit=site().settings.torque_unit,
    )
    return _shown(address, asked, blank)


@room.post(_QUESTION)
@needs(Permission.PRACTICE_DO)
def answer(module_id: str, revision: str, kind: str, size: str, seed: int) -> Response:
    """Move a line or go on to the next moment and show the sheet again, or mark the answer."""
    address = _address(module_id, revision, kind, size, seed)
    asked = _asked(address)
    sent = filled(asked.form, request.form)
    if "mark" not in request.form and "move" in request.form:
        return _shown(address, asked, moved(sent, request.form["move"]))
    if "pick" in request.form:
        # A right pick leads to the next moment; the last one and a wrong one are marked like any answer.
        ahead = practise.go_on(
            db(), actor(), address.revision, address.kind, address.size, address.seed, sent.picked
        )
        if ahead is not None:
            return _shown(address, ahead, sent)
    by_script = request.accept_mimetypes.best == "application/json"
    try:
        result = practise.answer(
            db(),
            actor(),
            address.revision,
            address.kind,
            address.size,
            address.seed,
            answer_of(asked.form, sent),
            ticket=sent.ticket,
            started=_time(sent.started),
            now=now(),
        )
    except TrainerError as refused:
        if by_script:
            told = jsonify(says=str(refused))
            told.status_code = status_of(refused)
            return told
        return _shown(address, asked, sent, says=str(refused), status=status_of(refused))
    turns = in_turn_of(request.args)
    path = url_for("practise.marked", attempt_id=result.attempt_id, **(turns.query() if turns else {}))
    return jsonify(marked=path) if by_script else redirect(path, 303)


@room.get(_QUESTION + "/pictures")
@needs(Permission.PRACTICE_DO)
def pictures(module_id: str, revision: str, kind: str, size: str, seed: int) -> Response:
    """Give the thumbnails of the lines of a question, by line."""
    address = _address(module_id, revision, kind, size, seed)
    return as_json(thumbnails(_asked(address), publish.module_at(db(), address.revision)))


@room.get("/marked/<int:attempt_id>")
@needs(Permission.PRACTICE_DO, Permission.ATTEMPT_READ)
def marked(attempt_id: int) -> Response:
    """Show a marked answer to who gave it, or to who looks after them."""
    view = practise.attempt(db(), actor(), attempt_id)
    own = view.person_id == actor().person_id
    turns = _turns(view.address) if own else None
    back = url_for("mentor.person", person_id=view.person_id)
    module = publish.module_at(db(), view.address.revision)
    page = marked_page(
        view,
        module,
        _block(view.address, view.question),
        moment_of(view, module),
        shown_beside(view, module),
        own=own,
        again=_onward(view.module_id, view.skill_id, turns),
        turns=turns,
        back=back,
        kept_as=_kept_as(view.address),
        pictures_at=url_for("practise.marked_pictures", attempt_id=attempt_id),
    )
    return show(page)


@room.get("/marked/<int:attempt_id>/pictures")
@needs(Permission.PRACTICE_DO, Permission.ATTEMPT_READ)
def marked_pictures(attempt_id: int) -> Response:
    """Give the thumbnails of the lines of a marked answer, by line, to whoever may see it."""
    view = practise.attempt(db(), actor(), attempt_id)
    return as_json(thumbnails(view.question, publish.module_at(db(), view.address.revision)))


@room.get("/record")
@needs(Permission.RECORD_OWN)
def record() -> Response:
    """Show a person's own qualifications."""
    who = actor()
    signed, observed = signed_records.my_record(db(), who, now=now()), bench.of_own(db(), who)
    papers = earlier.mine(db(), who, now=now())
    return show(record_page(who, signed, papers, observed, now().date()))


def _address(module_id: str, revision: str, kind: str, size: str, seed: int) -> DrillAddress:
    return DrillAddress(module_id, revision, kind, "" if size == _NO_SIZE else size, seed)


def _asked(address: DrillAddress) -> Question:
    return practise.question(db(), actor(), address.revision, address.kind, address.size, address.seed)


def _shown(
    address: DrillAddress, asked: Question, filled_in: Filled, *, says: str = "", status: int = 200
) -> Response:
    page = question_page(
        asked,
        publish.module_at(db(), address.revision),
        _block(address, asked),
        filled_in,
        address=question_path(address, in_turn_of(request.args)),
        turns=_turns(address),
        keep_as=_kept_as(address),
        pictures_at=question_path(address) + "/pictures",
        says=says,
    )
    return show(page, status)


def _turns(address: DrillAddress) -> TurnsShown | None:
    """The short sheet that the address of this page speaks of, told; None without one, or for other skills."""
    turns = in_turn_of(request.args)
    if turns is None:
        return None
    try:
        titles = practise.skill_titles(db(), actor(), address.revision, turns.skills)
    except NotFound:
        return None
    return TurnsShown(titles, turns.at, turns.following)


def _onward(module_id: str, skill_id: str, turns: TurnsShown | None) -> str:
    """Where the main button of a mark leads: the next drill of the sheet, a new sheet, or the same skill again."""
    if turns is None:
        return url_for("practise.begin", module_id=module_id, skill=skill_id)
    if turns.following is None:
        return url_for("practise.short_sheet", module_id=module_id)
    return url_for("practise.begin", module_id=module_id, **turns.following.query())


def _block(address: DrillAddress, asked: Question) -> TitleBlock:
    module = publish.module_at(db(), address.revision)
    return TitleBlock(
        title=asked.title, kind="Drill", document=module.document, revision=address.revision, day=now().date()
    )


def _kept_as(address: DrillAddress) -> str:
    """The name under which a device keeps the unsent answer: one person's, to one question."""
    who = actor().person_id
    return f"answer {who} {address.revision[:12]} {address.kind} {address.size} {address.seed}"


def _time(text: str) -> datetime | None:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        return None
    return at if at.tzinfo else None
