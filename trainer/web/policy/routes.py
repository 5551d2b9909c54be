"""The numbers of the programme: read by everybody, set by who keeps the register."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import pace as pace_room
from trainer.actions import policy as policy_room
from trainer.actions.permissions import Permission
from trainer.actions.policy import PolicyUnfit
from trainer.errors import TrainerError
from trainer.web.context import actor, db, keep_token, now
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.pages import show
from trainer.web.policy.pages import PolicyForm, pace_page, policy_page

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("policy", __name__)

# A name in the form is the number's own behind this, so that it cannot be another field's.
_FIELD = "number."


@room.get("/policy")
@needs(Permission.POLICY_READ)
def sheet() -> Response:
    """Show the numbers in force."""
    return _shown(None, PolicyForm({}))


@room.get("/policy/pace")
@needs(Permission.POLICY_SET, Permission.ATTEMPT_READ)
def pace() -> Response:
    """Show how fast is forgotten, by task and person, beside the half-life in force."""
    return show(pace_page(pace_room.sheet(db(), actor()), now().date()))


@room.get("/policy/<sha256>")
@needs(Permission.POLICY_READ)
def earlier(sha256: str) -> Response:
    """Show numbers that were in force once."""
    return _shown(sha256, PolicyForm({}))


@room.post("/policy")
@needs(Permission.POLICY_SET)
def change() -> Response:
    """Put other numbers in force, signed by the password."""
    typed = {
        name.removeprefix(_FIELD): value for name, value in request.form.items() if name.startswith(_FIELD)
    }
    because = request.form.get("because", "")
    try:
        token = policy_room.change(
            db(), actor(), typed, because=because, password=request.form.get("password", ""), now=now()
        )
    except TrainerError as refused:
        wrong = refused.fields if isinstance(refused, PolicyUnfit) else None
        return _shown(None, PolicyForm(typed, because, wrong, str(refused)), status_of(refused))
    keep_token(token)
    flash("The new numbers are in force. Sittings under way keep the numbers they began with.")
    return redirect(url_for("policy.sheet"), 303)


def _shown(sha256: str | None, form: PolicyForm, status: int = 200) -> Response:
    found = policy_room.sheet(db(), actor(), sha256)
    may_set = actor().may(Permission.POLICY_SET)
    may_see_pace = may_set or actor().may(Permission.ATTEMPT_READ)
    return show(policy_page(found, now().date(), form, may_set=may_set, may_see_pace=may_see_pace), status)
