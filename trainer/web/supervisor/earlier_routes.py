"""Holding transcribed records against their papers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import earlier
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.web.context import actor, db, keep_token, now
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.pages import show
from trainer.web.supervisor.earlier_pages import paper_page, papers_page

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("papers", __name__)


@room.get("/earlier-papers")
@needs(Permission.QUALIFICATION_SIGN)
def waiting() -> Response:
    """Show what waits to be held against the paper."""
    return show(papers_page(earlier.waiting(db(), actor(), now=now()), now().date()))


@room.post("/earlier-papers")
@needs(Permission.QUALIFICATION_SIGN)
def check() -> Response:
    """Put a name to the ticked records, or turn them down."""
    ticked = tuple(request.form.getlist("numbers"))
    because = request.form.get("because", "")
    password = request.form.get("password", "")
    try:
        if request.form.get("word") == "turn down":
            token = earlier.turn_down(db(), actor(), ticked, because=because, password=password, now=now())
            told = "Turned down. What was transcribed stays, with your reason."
        else:
            token = earlier.check(db(), actor(), ticked, password=password, now=now())
            told = "Signed. These records count from now on."
    except TrainerError as refused:
        lines = earlier.waiting(db(), actor(), now=now())
        page = papers_page(lines, now().date(), ticked=ticked, because=because, says=str(refused))
        return show(page, status_of(refused))
    keep_token(token)
    flash(told)
    return redirect(url_for("papers.waiting"), 303)


@room.post("/earlier-papers/<number>/withdraw")
@needs(Permission.QUALIFICATION_SIGN)
def withdraw(number: str) -> Response:
    """End a transcribed record that stands."""
    because = request.form.get("because", "")
    try:
        token = earlier.withdraw(
            db(), actor(), number, because=because, password=request.form.get("password", ""), now=now()
        )
    except TrainerError as refused:
        one = earlier.record(db(), actor(), number, now=now())
        page = paper_page(one, (), may_withdraw=True, because=because, says=str(refused))
        return show(page, status_of(refused))
    keep_token(token)
    flash("Withdrawn. From today on it qualifies nobody.")
    return redirect(url_for("supervisor.record", number=number), 303)
