"""Taking over a table made elsewhere: choose the file, look at what would happen, confirm."""

from __future__ import annotations

import base64
import binascii
from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import earlier_in, people_in
from trainer.actions.permissions import Permission
from trainer.actions.table_in import MOST_BYTES, TableUnreadable
from trainer.errors import TrainerError
from trainer.web.context import actor, db, now
from trainer.web.errors import status_of
from trainer.web.filters import count
from trainer.web.guard import needs
from trainer.web.keeper.file_pages import choose_page, first_passwords_page, papers_page, people_page
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("from_file", __name__)

_PEOPLE_NOTE = (
    "Each person gets a first password that is shown once and has to be changed at the first sign-in."
)

_PAPERS_NOTE = "Nothing here is evidence of our own, and no record counts before a supervisor has held it against its paper."


@room.get("/register/from-file")
@needs(Permission.PEOPLE_MANAGE)
def choose_people() -> Response:
    """Ask for a file of people."""
    return _choose_people()


@room.post("/register/from-file")
@needs(Permission.PEOPLE_MANAGE)
def people() -> Response:
    """Show what a file of people would do, or do it when that was confirmed."""
    try:
        data = sent()
        if "confirmed" not in request.form:
            return show(people_page(people_in.plan(db(), actor(), data), carried(data), now().date()))
        given = people_in.take_over(db(), actor(), data, now=now())
    except TrainerError as refused:
        return _choose_people(says=str(refused), status=status_of(refused))
    return show(first_passwords_page(given, now().date()))


def _choose_people(*, says: str = "", status: int = 200) -> Response:
    page = choose_page("People from a file", "from_file.people", people_in.COLUMNS, _PEOPLE_NOTE, says=says)
    return show(page, status)


@room.get("/register/earlier-from-file")
@needs(Permission.EARLIER_TRANSCRIBE)
def choose_papers() -> Response:
    """Ask for a file of earlier qualifications."""
    return _choose_papers()


@room.post("/register/earlier-from-file")
@needs(Permission.EARLIER_TRANSCRIBE)
def papers() -> Response:
    """Show what a file of earlier qualifications would do, or do it when that was confirmed."""
    try:
        data = sent()
        if "confirmed" not in request.form:
            planned = earlier_in.plan(db(), actor(), data, now=now())
            return show(papers_page(planned, carried(data), now().date()))
        numbers = earlier_in.take_over(db(), actor(), data, now=now())
    except TrainerError as refused:
        return _choose_papers(says=str(refused), status=status_of(refused))
    flash(
        f"{count(len(numbers), 'record')} transcribed. They count once a supervisor has held them against the papers."
    )
    return redirect(url_for("keeper.register"), 303)


def _choose_papers(*, says: str = "", status: int = 200) -> Response:
    page = choose_page(
        "Earlier qualifications from a file", "from_file.papers", earlier_in.COLUMNS, _PAPERS_NOTE, says=says
    )
    return show(page, status)


def sent() -> bytes:
    """Return the file of the form: just chosen, or carried along with the confirmation.

    Raises:
        TableUnreadable: there is none.
    """
    if "carried" in request.form:
        try:
            return base64.b64decode(request.form["carried"], validate=True)
        except (ValueError, binascii.Error) as problem:
            raise TableUnreadable("it was changed on its way; choose it again") from problem
    file = request.files.get("file")
    if file is None or not file.filename:
        raise TableUnreadable("no file was chosen")
    # One byte more than may be there tells that it is too large.
    return file.stream.read(MOST_BYTES + 1)


def carried(data: bytes) -> str:
    """Return a file as text for a hidden field, where a browser would change its line ends."""
    return base64.b64encode(data).decode("ascii")
