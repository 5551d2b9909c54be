"""Asking for a plan of cover, changing and keeping it, and turning its lines into assignments."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import plan
from trainer.actions.permissions import Permission
from trainer.actions.plan import PlanUnfit
from trainer.actions.plan_views import PlanAsk, PlanLine
from trainer.errors import TrainerError
from trainer.records.cover import Means
from trainer.web.context import actor, db, now
from trainer.web.cover.plan_pages import (
    AskForm,
    LineForm,
    PlanForm,
    as_forms,
    asked,
    plan_page,
    plan_sheet_page,
)
from trainer.web.errors import status_of
from trainer.web.filters import count
from trainer.web.guard import needs
from trainer.web.mentor.routes import day_of
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.datastructures import MultiDict
    from werkzeug.wrappers import Response

room = Blueprint("plan", __name__)

# More figures than any of these numbers may have.
_FIGURES = 4


@room.get("/plan/<path:crew>")
@needs(Permission.PLAN_KEEP)
def ask(crew: str) -> Response:
    """Show the form; when tasks are chosen, propose the least that brings their cover back."""
    made_from = plan.room(db(), actor(), crew, now=now())
    if "weeks" not in request.args:
        return show(plan_page(made_from, asked(made_from.asked), PlanForm()))
    typed = _ask_form(request.args)
    try:
        lines = plan.propose(db(), actor(), crew, _ask(typed), now=now())
    except TrainerError as refused:
        return show(plan_page(made_from, typed, PlanForm(says=str(refused))), status_of(refused))
    told = (
        f"{count(len(lines), 'line')} and no fewer: change them, then keep the plan."
        if lines
        else "These tasks have that cover already; nothing has to be done."
    )
    return show(plan_page(made_from, typed, PlanForm(as_forms(lines), told=told)))


@room.post("/plan/<path:crew>")
@needs(Permission.PLAN_KEEP)
def keep(crew: str) -> Response:
    """Keep a new plan, or the next version of one."""
    typed, lines = _ask_form(request.form), _line_forms()
    number, after = _figure(request.form.get("number", "")), _figure(request.form.get("after", ""))
    try:
        kept = plan.keep(
            db(),
            actor(),
            crew,
            _ask(typed),
            [_line(position, one) for position, one in enumerate(lines, start=1)],
            number=number or None,
            after=after if number else 0,
            now=now(),
        )
    except plan.PlanChanged as refused:
        newer = plan.sheet(db(), actor(), number, now=now()).newest
        return _form(crew, typed, PlanForm(lines, number, newer, str(refused)), status_of(refused))
    except TrainerError as refused:
        return _form(crew, typed, PlanForm(lines, number, after, str(refused)), status_of(refused))
    flash(f"Kept as plan {kept.number}, version {kept.version}.")
    return redirect(url_for("plan.sheet", plan_number=kept.number), 303)


@room.get("/plans/<int:plan_number>")
@needs(Permission.CREW_READ)
def sheet(plan_number: int) -> Response:
    """Show a kept plan, its newest version or another."""
    version = _figure(request.args.get("version", "")) or None
    return show(plan_sheet_page(plan.sheet(db(), actor(), plan_number, version=version, now=now())))


@room.get("/plans/<int:plan_number>/change")
@needs(Permission.PLAN_KEEP)
def change(plan_number: int) -> Response:
    """Show a kept plan as a form."""
    kept = plan.sheet(db(), actor(), plan_number, now=now())
    lines = as_forms(shown.line for shown in kept.lines)
    return _form(kept.crew, asked(kept.ask), PlanForm(lines, plan_number, kept.newest))


@room.post("/plans/<int:plan_number>/assign")
@needs(Permission.MODULE_ASSIGN)
def assign(plan_number: int) -> Response:
    """Turn a line into an assignment."""
    position = _figure(request.form.get("line", ""))
    try:
        plan.assign_line(db(), actor(), plan_number, position, request.form.get("module_id", ""), now=now())
    except TrainerError as refused:
        page = plan_sheet_page(plan.sheet(db(), actor(), plan_number, now=now()), says=str(refused))
        return show(page, status_of(refused))
    flash("Assigned.")
    return redirect(url_for("plan.sheet", plan_number=plan_number), 303)


def _form(crew: str, typed: AskForm, form: PlanForm, status: int = 200) -> Response:
    return show(plan_page(plan.room(db(), actor(), crew, now=now()), typed, form), status)


def _ask_form(sent: MultiDict[str, str]) -> AskForm:
    return AskForm(
        tuple(sent.getlist("ask_task")),
        sent.get("weeks", ""),
        sent.get("cover", ""),
        "any_one_away" in sent,
        sent.get("refresher_weeks", ""),
        sent.get("new_weeks", ""),
    )


def _ask(typed: AskForm) -> PlanAsk:
    return PlanAsk(
        typed.tasks,
        _number("weeks there are", typed.weeks),
        _number("cover", typed.cover) if typed.cover.strip() else None,
        typed.any_one_away,
        _number("weeks of a refresher", typed.refresher_weeks),
        _number("weeks of a new qualification", typed.new_weeks),
    )


def _number(what: str, typed: str) -> int:
    text = typed.strip()
    if not (text.isascii() and text.isdecimal() and len(text) <= _FIGURES):
        raise PlanUnfit(f"The {what} must be a whole number, not '{text[:20]}'")
    return int(text)


def _figure(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= 2 * _FIGURES else 0


def _line_forms() -> tuple[LineForm, ...]:
    """Return the lines that were sent; those to be taken out and those left empty are not among them."""
    names = ("person", "task", "means", "line_weeks", "responsible", "due")
    rows = zip(*(request.form.getlist(name) for name in names), strict=False)
    out = set(request.form.getlist("out"))
    return tuple(
        LineForm(*row) for position, row in enumerate(rows) if str(position) not in out and (row[0] or row[1])
    )


def _line(position: int, typed: LineForm) -> PlanLine:
    try:
        means = next((one for one in Means if one.value == typed.means), None)
        if means is None:
            raise PlanUnfit(f"Line {position}: choose a refresher or a new qualification")
        return PlanLine(
            typed.person,
            typed.task,
            means,
            _number(f"weeks of line {position}", typed.weeks),
            typed.responsible,
            day_of(typed.due),
        )
    except TrainerError as problem:
        if isinstance(problem, PlanUnfit):
            raise
        raise PlanUnfit(f"Line {position}: {str(problem).rstrip('.')}") from problem
