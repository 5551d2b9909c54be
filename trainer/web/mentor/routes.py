"""People, what is assigned to them, and their evaluation."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import assign as assigning
from trainer.actions import bench, mentor, publish
from trainer.actions import evaluate as evaluating
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.records.methods import Method
from trainer.web.chosen import wanted
from trainer.web.context import actor, db, keep_token, now
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.mentor.pages import AssignForm, EvaluateForm, evaluate_page, people_page, person_page
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("mentor", __name__)


class DateUnreadable(TrainerError):
    """What was typed as a day is none."""

    def __init__(self, typed: str) -> None:
        super().__init__(f"'{typed}' is not a day; write it as year-month-day, such as 2027-03-22.")


class NotSaid(TrainerError):
    """A question of the form was left open."""

    def __init__(self, what: str) -> None:
        super().__init__(f"Say {what}.")


@room.get("/people")
@needs(Permission.ATTEMPT_READ)
def people() -> Response:
    """List the people this actor looks after."""
    choice, lines = mentor.chosen_people(db(), actor(), wanted(), now=now())
    return show(people_page(lines, choice, now().date()))


@room.get("/people/<person_id>")
@needs(Permission.ATTEMPT_READ)
def person(person_id: str) -> Response:
    """Show one person."""
    return _person(person_id, AssignForm())


@room.post("/people/<person_id>/assign")
@needs(Permission.MODULE_ASSIGN)
def assign(person_id: str) -> Response:
    """Assign a module, with a due date or without."""
    form = AssignForm(request.form.get("module_id", ""), request.form.get("due", ""))
    try:
        due = day_of(form.due) if form.due else None
        assigning.assign(db(), actor(), person_id, form.module_id, due, now=now())
    except TrainerError as refused:
        return _person(
            person_id, AssignForm(form.module_id, form.due, str(refused)), status=status_of(refused)
        )
    flash("Assigned.")
    return redirect(url_for("mentor.person", person_id=person_id), 303)


@room.post("/people/<person_id>/withdraw")
@needs(Permission.MODULE_ASSIGN)
def withdraw(person_id: str) -> Response:
    """Take a module off a person's sheet; what was practised stays."""
    assigning.withdraw(db(), actor(), person_id, request.form.get("module_id", ""), now=now())
    flash("Taken off the sheet. What was practised stays on record.")
    return redirect(url_for("mentor.person", person_id=person_id), 303)


@room.get("/people/<person_id>/evaluate/<module_id>")
@needs(Permission.EVALUATION_RECORD)
def evaluate(person_id: str, module_id: str) -> Response:
    """Show the form of an evaluation."""
    return _evaluate(person_id, module_id, EvaluateForm(evaluated_on=now().date().isoformat()))


@room.post("/people/<person_id>/evaluate/<module_id>")
@needs(Permission.EVALUATION_RECORD)
def record_evaluation(person_id: str, module_id: str) -> Response:
    """Record an evaluation, signed by the password."""
    form = EvaluateForm(
        evaluated_on=request.form.get("evaluated_on", ""),
        methods=tuple(request.form.getlist("methods")),
        aoc_discussed=tuple(request.form.getlist("aoc_discussed")),
        aoc_passed=request.form.get("aoc_passed", ""),
        passed=request.form.get("passed", ""),
        note=request.form.get("note", ""),
        observation=request.form.get("observation", ""),
    )
    try:
        done = evaluating.record_evaluation(
            db(),
            actor(),
            person_id,
            module_id,
            evaluated_on=day_of(form.evaluated_on),
            methods=tuple(Method(name) for name in form.methods if name in list(Method)),
            aoc_discussed=form.aoc_discussed,
            aoc_passed=_said(form.aoc_passed, "whether abnormal conditions were recognised"),
            passed=_said(form.passed, "whether the work was right"),
            note=form.note,
            password=request.form.get("password", ""),
            now=now(),
            observation=int(form.observation) if form.observation.isdecimal() else None,
        )
    except TrainerError as refused:
        return _evaluate(person_id, module_id, form, says=str(refused), status=status_of(refused))
    if done.token:
        keep_token(done.token)
    flash("The evaluation is recorded under your name.")
    return redirect(url_for("mentor.person", person_id=person_id), 303)


def day_of(text: str) -> date:
    """Return the day typed as year-month-day.

    Raises:
        DateUnreadable: it is none.
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError as problem:
        raise DateUnreadable(text) from problem


def _said(value: str, what: str) -> bool:
    if value not in ("yes", "no"):
        raise NotSaid(what)
    return value == "yes"


def _person(person_id: str, form: AssignForm, *, status: int = 200) -> Response:
    who = actor()
    sheet = mentor.person(db(), who, person_id, now=now())
    observed = bench.of_person(db(), who, person_id)
    why_not = (
        evaluating.why_nots(db(), who, person_id, now=now())
        if who.may_for(Permission.EVALUATION_RECORD, crew=sheet.person.crew)
        else {}
    )
    modules = publish.current_modules(db(), who)
    return show(person_page(sheet, modules, observed, who, form, why_not), status)


def _evaluate(
    person_id: str, module_id: str, form: EvaluateForm, *, says: str = "", status: int = 200
) -> Response:
    sheet = evaluating.prepare(db(), actor(), person_id, module_id, now=now())
    return show(evaluate_page(sheet, form, says=says), status)
