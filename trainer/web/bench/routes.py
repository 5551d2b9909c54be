"""At the bench: the evaluator's list, beginning, marking, the signature; and the worker that works offline."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from flask import Blueprint, Response, flash, jsonify, redirect, request, url_for

from trainer.actions import agreements, bench, observe, photographs, publish
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.transcribe import transcribe
from trainer.errors import TrainerError
from trainer.procedure.library import tables
from trainer.web.bench.entries import card_from, from_device, from_form
from trainer.web.bench.pages import (
    CardForm,
    agreement_page,
    begin_page,
    bench_page,
    card_page,
    close_page,
    drawing_page,
    lines_of,
    mark_page,
    observation_page,
)
from trainer.web.bench.sent_photographs import MOST_SENT, photograph_of_device, photographs_from
from trainer.web.bench.steps import PHONE, drawing_of
from trainer.web.context import actor, db, keep_token, now, site
from trainer.web.errors import status_of
from trainer.web.guard import needs, open_to_all, takes_files
from trainer.web.mentor.routes import day_of
from trainer.web.pages import show
from trainer.web.practise.answering import filled, moved

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as AnyResponse

    from trainer.actions.observation_views import ObservationView
    from trainer.web.bench.sent_photographs import SentPhotograph

from trainer.drills.answer_forms import Arrange

room = Blueprint("bench", __name__)

_READERS = (Permission.OBSERVATION_RECORD, Permission.OBSERVATION_READ, Permission.RECORD_OWN)


@room.get("/bench")
@needs(Permission.OBSERVATION_RECORD)
def mine() -> AnyResponse:
    """List what this evaluator has open, and what they signed last."""
    return show(bench_page(bench.my_bench(db(), actor()), now().date()))


@room.get("/agreement")
@needs(Permission.AGREEMENT_READ)
def agreement() -> AnyResponse:
    """Show how far evaluators agree who watched the same jobs."""
    return show(agreement_page(agreements.pairs(db(), actor()), now().date()))


@room.get("/bench/worker.js")
@open_to_all("the script that opens sheets without a connection holds nothing of anybody")
def worker() -> Response:
    """Send the worker; its address decides which sheets it may answer for."""
    asset = site().assets.files["js/bench-worker.js"]
    answer = Response(asset.data, content_type=asset.media_type)
    answer.headers["Cache-Control"] = "no-cache"
    return answer


@room.get("/people/<person_id>/observe/<module_id>")
@needs(Permission.OBSERVATION_RECORD)
def begin(person_id: str, module_id: str) -> AnyResponse:
    """Show what is asked before an observation."""
    sheet = bench.before_begin(db(), actor(), person_id, module_id, now=now())
    return show(begin_page(sheet, secrets.token_urlsafe(18)))


@room.post("/people/<person_id>/observe/<module_id>")
@needs(Permission.OBSERVATION_RECORD)
def begin_now(person_id: str, module_id: str) -> AnyResponse:
    """Begin an observation."""
    size, ticket = request.form.get("size", ""), request.form.get("ticket", "")
    beside = request.form.get("beside", "")
    try:
        number = observe.begin(
            db(),
            actor(),
            person_id,
            module_id,
            size,
            ticket=ticket,
            beside=int(beside) if beside.isdecimal() else None,
            now=now(),
        )
    except TrainerError as refused:
        sheet = bench.before_begin(db(), actor(), person_id, module_id, now=now())
        return show(begin_page(sheet, ticket, size=size, says=str(refused)), status_of(refused))
    return redirect(url_for("bench.observation", observation_id=number), 303)


@room.get("/people/<person_id>/card/<module_id>")
@needs(Permission.OBSERVATION_RECORD)
def card(person_id: str, module_id: str) -> AnyResponse:
    """Show the form on which a paper card is entered."""
    sheet = bench.before_begin(db(), actor(), person_id, module_id, now=now())
    only = sheet.sizes[0] if len(sheet.sizes) == 1 else ""
    blank = CardForm(size=only, filled_on=now().date().isoformat())
    return show(card_page(sheet, secrets.token_urlsafe(18), blank))


@room.post("/people/<person_id>/card/<module_id>")
@needs(Permission.OBSERVATION_RECORD)
def card_now(person_id: str, module_id: str) -> AnyResponse:
    """Enter a paper card."""
    sheet = bench.before_begin(db(), actor(), person_id, module_id, now=now())
    form, ticket = card_from(request.form, sheet), request.form.get("ticket", "")
    try:
        number = transcribe(
            db(),
            actor(),
            person_id,
            module_id,
            form.size,
            evaluator_id=form.evaluator,
            filled_on=day_of(form.filled_on),
            revision=form.revision,
            rows=form.rows,
            ticket=ticket,
            now=now(),
        )
    except TrainerError as refused:
        return show(card_page(sheet, ticket, form, says=str(refused)), status_of(refused))
    if form.evaluator == actor().person_id:
        flash("Entered. Look it over, then sign it.")
        return redirect(url_for("bench.observation", observation_id=number), 303)
    name = dict(sheet.evaluators).get(form.evaluator, form.evaluator)
    flash(f"Entered. It waits for the signature of {name}.")
    return redirect(url_for("mentor.person", person_id=person_id), 303)


@room.get("/bench/<int:observation_id>")
@needs(*_READERS)
def observation(observation_id: int) -> AnyResponse:
    """Show an observation: to be marked while it is open, to be read afterwards."""
    return _shown(bench.observation(db(), actor(), observation_id))


@room.post("/bench/<int:observation_id>/marks")
@needs(Permission.OBSERVATION_RECORD)
@takes_files(MOST_SENT)
def marks(observation_id: int) -> AnyResponse:
    """Keep marks: one pressed on the form, or many that a device kept."""
    by_script = request.is_json
    try:
        if by_script:
            entries = from_device(request.get_json(silent=True))
        else:
            entries = from_form(request.form, bench.observation(db(), actor(), observation_id), now())
        new = observe.mark(db(), actor(), observation_id, entries, now=now())
        for sent in photographs_from(request.form, request.files, now()):
            _keep(observation_id, sent)
    except TrainerError as refused:
        if by_script:
            return _told(refused)
        view = bench.observation(db(), actor(), observation_id)
        return _shown(view, says=str(refused), status=status_of(refused))
    if by_script:
        return jsonify(kept=len(entries), new=new)
    step = request.form.get("press", "").rpartition(" ")[0]
    return redirect(url_for("bench.observation", observation_id=observation_id, _anchor=f"step-{step}"), 303)


@room.post("/bench/<int:observation_id>/photographs")
@needs(Permission.OBSERVATION_RECORD)
@takes_files(MOST_SENT)
def photograph_now(observation_id: int) -> AnyResponse:
    """Keep one photograph that a device took, with a connection or without."""
    try:
        kept = _keep(observation_id, photograph_of_device(request.form, request.files))
    except TrainerError as refused:
        return _told(refused)
    address = url_for("bench.photograph", observation_id=observation_id, sha256=kept.pictured.sha256)
    return jsonify(new=kept.new, address=address, width=kept.pictured.width, height=kept.pictured.height)


@room.get("/bench/<int:observation_id>/photographs/<sha256>")
@needs(*_READERS)
def photograph(observation_id: int, sha256: str) -> AnyResponse:
    """Send the file of a photograph to whoever may read the observation."""
    data = photographs.read(db(), actor(), observation_id, sha256)
    return Response(data, content_type=photographs.MEDIA_TYPE)


@room.get("/bench/<int:observation_id>/drawing/<step>")
@needs(*_READERS)
def drawing(observation_id: int, step: str) -> AnyResponse:
    """Show the machine as a step finds it."""
    view = bench.observation(db(), actor(), observation_id)
    module = publish.module_at(db(), view.revision)
    if step not in module.steps:
        raise NotFound("step", step)
    drawn = drawing_of(module, view.size, step, request.args.get("w", PHONE, type=int))
    back = url_for("bench.observation", observation_id=observation_id, _anchor=f"step-{step}")
    return _to_be_kept(view, show(drawing_page(view, module, step, drawn, tables().tools, back)))


@room.get("/bench/<int:observation_id>/close")
@needs(Permission.OBSERVATION_RECORD)
def close(observation_id: int) -> AnyResponse:
    """Show what would be signed."""
    view = _mine(observation_id)
    if not view.is_open:
        return redirect(url_for("bench.observation", observation_id=observation_id), 303)
    return show(close_page(view, publish.module_at(db(), view.revision)))


@room.post("/bench/<int:observation_id>/close")
@needs(Permission.OBSERVATION_RECORD)
def close_now(observation_id: int) -> AnyResponse:
    """Move a line of the order, look at the order again, or sign."""
    view = _mine(observation_id)
    module = publish.module_at(db(), view.revision)
    sent = filled(Arrange(lines_of(view, module), "", ""), request.form)
    if "move" in request.form:
        sent = moved(sent, request.form["move"])
    order, result = [line.id for line in sent.lines], request.form.get("result", "")
    try:
        if "sign" in request.form:
            done = observe.close(
                db(),
                actor(),
                observation_id,
                order=order,
                result=result,
                password=request.form.get("password", ""),
                now=now(),
            )
            if done.token:
                keep_token(done.token)
            flash("Signed. Nothing of it changes any more.")
            return redirect(url_for("bench.observation", observation_id=observation_id), 303)
        view = bench.observation(db(), actor(), observation_id, order)
    except TrainerError as refused:
        page = close_page(view, module, filled=sent, result=result, says=str(refused))
        return show(page, status_of(refused))
    return show(close_page(view, module, filled=sent, result=result))


@room.post("/bench/<int:observation_id>/give-up")
@needs(Permission.OBSERVATION_RECORD)
def give_up(observation_id: int) -> AnyResponse:
    """End an observation that comes to nothing."""
    view = _mine(observation_id)
    try:
        observe.give_up(db(), actor(), observation_id, request.form.get("because", ""), now=now())
    except TrainerError as refused:
        page = close_page(view, publish.module_at(db(), view.revision), says=str(refused))
        return show(page, status_of(refused))
    flash("Given up. Its marks stay on record and say nothing of anybody's skill.")
    return redirect(url_for("bench.mine"), 303)


def _keep(observation_id: int, sent: SentPhotograph) -> photographs.Kept:
    return photographs.keep(
        db(),
        actor(),
        observation_id,
        sent.data,
        step=sent.step,
        ticket=sent.ticket,
        at=sent.at,
        now=now(),
    )


def _told(refused: TrainerError) -> Response:
    told = jsonify(says=str(refused))
    told.status_code = status_of(refused)
    return told


def _mine(observation_id: int) -> ObservationView:
    view = bench.observation(db(), actor(), observation_id)
    if view.evaluator_id != actor().person_id:
        raise NotFound("observation", observation_id)
    return view


def _shown(view: ObservationView, *, says: str = "", status: int = 200) -> AnyResponse:
    who = actor()
    module = publish.module_at(db(), view.revision)
    keep_as = f"bench {who.person_id} {view.observation_id}"
    tools = tables().tools
    if view.may_mark:
        ticket = secrets.token_urlsafe(18)
        page = mark_page(view, module, tools, ticket=ticket, keep_as=keep_as, says=says)
        return _to_be_kept(view, show(page, status))
    back = url_for("mentor.person", person_id=view.person_id)
    return show(observation_page(view, module, tools, who, keep_as=keep_as, back=back), status)


def _to_be_kept(view: ObservationView, answer: AnyResponse) -> AnyResponse:
    """Let the worker keep what belongs to an open observation; nothing else stays on a device."""
    if view.may_mark:
        answer.headers["X-At-The-Bench"] = "open"
    return answer
