"""Who may come in: every endpoint names its permission, or says why it is open; one that names neither is shut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from flask import current_app, redirect, request, url_for

from trainer.actions.actor import NotAllowed
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.web.account.carried import from_form
from trainer.web.account.pages import sign_in_page
from trainer.web.context import someone
from trainer.web.pages import show

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask
    from werkzeug.wrappers import Response

View = TypeVar("View", bound="Callable[..., Any]")

SIGNED_OUT = "You were signed out before this was sent. Sign in and send it again; nothing is lost."
_NEEDS = "_trainer_needs"
_OPEN = "_trainer_open_because"
_FILES = "_trainer_takes_files"
CHOOSE_AGAIN = "A photograph has to be chosen again."


class EndpointUndeclared(TrainerError):
    """A route was added without saying who may use it."""

    def __init__(self, endpoint: str) -> None:
        super().__init__(f"The page '{endpoint}' does not say who may use it, so nobody may.")


def needs(*permissions: Permission) -> Callable[[View], View]:
    """Return a decorator: only who has at least one of the permissions reaches the view."""

    def mark(view: View) -> View:
        setattr(view, _NEEDS, permissions)
        return view

    return mark


def open_to_all(because: str) -> Callable[[View], View]:
    """Return a decorator: anybody reaches the view, signed in or not, for the reason given."""

    def mark(view: View) -> View:
        setattr(view, _OPEN, because)
        return view

    return mark


def takes_files(most: int) -> Callable[[View], View]:
    """Return a decorator: a form with files sent to the view may hold so many bytes, not only those of other forms."""

    def mark(view: View) -> View:
        setattr(view, _FILES, most)
        return view

    return mark


def room_for_files(view: object) -> int:
    """Return how many bytes a form with files sent to a view may hold, or 0 when it takes none."""
    return getattr(view, _FILES, 0)


def permissions_of(view: object) -> tuple[Permission, ...]:
    """Return the permissions of which a view asks for one; empty when it is open or undeclared."""
    return getattr(view, _NEEDS, ())


def open_because(view: object) -> str:
    """Return why a view is open to all, or "" when it is not."""
    return getattr(view, _OPEN, "")


def install(app: Flask) -> None:
    """Ask before every request."""
    app.before_request(_ask)


def _ask() -> Response | None:
    if request.endpoint is None:  # no such page: told so by the error page
        return None
    view = current_app.view_functions[request.endpoint]
    if open_because(view):
        return None
    wanted = permissions_of(view)
    if not wanted:
        raise EndpointUndeclared(request.endpoint)
    who = someone()
    if who is None:
        return _to_sign_in()
    if who.first_password and Permission.ACCOUNT_OWN not in wanted:
        return redirect(url_for("account.own"), 303)
    if not any(who.may(permission) for permission in wanted):
        current_app.logger.warning("refused: %s for %s", who.name, request.endpoint)
        raise NotAllowed(wanted[0], "This sheet is not for your role.")
    return None


def _to_sign_in() -> Response:
    if request.method == "GET":
        return redirect(url_for("account.sign_in", back=request.full_path.rstrip("?")), 303)
    # Nothing that was filled in is lost: it goes along on the form, and is sent on by the person's own hand.
    chosen = any(file.filename for file in request.files.values())
    says = f"{SIGNED_OUT} {CHOOSE_AGAIN}" if chosen else SIGNED_OUT
    page = sign_in_page(back=request.path, carried=from_form(request.path, request.form), says=says)
    return show(page, 401)
