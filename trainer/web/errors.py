"""Errors as pages: a status for each class of error, and one clear sentence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from flask import request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from trainer.actions.accounts import SessionOver, SignInRefused, SignInTooOften
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.observe import ObservationEnded
from trainer.actions.photographs import MOST_BYTES
from trainer.actions.provider import ProviderOutOfReach, TokenRefused
from trainer.actions.unaided import SittingUnderWay
from trainer.errors import TrainerError
from trainer.web.guard import EndpointUndeclared, room_for_files
from trainer.web.pages import Page, TitleBlock, show

if TYPE_CHECKING:
    from flask import Flask, Response

# Of the classes an error belongs to, the nearest one in this table gives the status.
STATUS: dict[type[Exception], int] = {
    NotAllowed: 403,
    EndpointUndeclared: 403,
    NotFound: 404,
    ObservationEnded: 409,
    SignInRefused: 401,
    SessionOver: 401,
    TokenRefused: 401,
    ProviderOutOfReach: 502,
    SignInTooOften: 429,
    SittingUnderWay: 409,
    TrainerError: 422,
}
_SENTENCES = {
    400: "The request cannot be read. Go back and send it again.",
    404: "There is no sheet at this address.",
    405: "This address takes no such request. Go back and use the button.",
    413: "That is more than a form of ours holds.",
    500: "Something broke on our side. It is written down; your last entry may not be saved.",
}
PHOTOGRAPH_TOO_LARGE = f"That is more than this form holds; a photograph may have {MOST_BYTES // 1024**2} MB."
FORM_TOO_OLD = "This form was opened before you last signed in. Open the sheet again, then send it."


@dataclass(frozen=True)
class ErrorPage(Page):
    """What went wrong in one sentence."""

    TEMPLATE: ClassVar[str] = "error.html"
    status: int
    sentence: str


def status_of(problem: TrainerError) -> int:
    """Return the status with which an error is told."""
    return next(STATUS[kind] for kind in type(problem).__mro__ if kind in STATUS)


def error_page(status: int, sentence: str) -> Response:
    """Return the page that tells one sentence."""
    return show(ErrorPage(TitleBlock(title="Not done", kind="Note"), status, sentence), status)


def install(app: Flask) -> None:
    """Answer errors with a page."""

    @app.errorhandler(TrainerError)
    def _told(problem: TrainerError) -> Response:
        return error_page(status_of(problem), str(problem))

    @app.errorhandler(CSRFError)
    def _form_too_old(_problem: CSRFError) -> Response:
        return error_page(400, FORM_TOO_OLD)

    @app.errorhandler(HTTPException)
    def _http(problem: HTTPException) -> Response:
        code = problem.code or 500
        if code == 413 and room_for_files(app.view_functions.get(request.endpoint or "")):
            return error_page(code, PHOTOGRAPH_TOO_LARGE)
        return error_page(code, _SENTENCES.get(code, "This cannot be done."))
