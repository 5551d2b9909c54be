"""The register: add, look up, retire, give a new password."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import addresses, passwords, people, provider_sign_in
from trainer.actions.permissions import Permission, Role
from trainer.errors import TrainerError
from trainer.web.chosen import wanted
from trainer.web.context import actor, db, now, site
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.keeper.pages import AddForm, entry_page, register_page
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("keeper", __name__)


@room.get("/register")
@needs(Permission.PEOPLE_MANAGE)
def register() -> Response:
    """Show the register."""
    return _register(AddForm(password=passwords.fresh()))


@room.post("/register")
@needs(Permission.PEOPLE_MANAGE)
def add() -> Response:
    """Add a person."""
    form = AddForm(
        sign_in_name=request.form.get("sign_in_name", ""),
        name=request.form.get("name", ""),
        roles=tuple(request.form.getlist("roles")),
        crew=request.form.get("crew", ""),
        grade=request.form.get("grade", ""),
        evaluator="evaluator" in request.form,
        password=request.form.get("password", ""),
    )
    try:
        added = people.add(
            db(),
            actor(),
            form.sign_in_name,
            form.name,
            [Role(role) for role in form.roles if role in list(Role)],
            form.crew,
            grade=form.grade,
            evaluator=form.evaluator,
            password=form.password,
            first_password=True,
            now=now(),
        )
    except TrainerError as refused:
        return _register(form, says=str(refused), status=status_of(refused))
    flash(f"{added.name} is in the register as {added.person_id}.")
    return redirect(url_for("keeper.entry", person_id=added.person_id), 303)


@room.get("/register/<person_id>")
@needs(Permission.PEOPLE_MANAGE)
def entry(person_id: str) -> Response:
    """Show one entry."""
    return _entry(person_id)


@room.post("/register/<person_id>/password")
@needs(Permission.PEOPLE_MANAGE)
def set_password(person_id: str) -> Response:
    """Give somebody a new password."""
    try:
        people.set_password(
            db(),
            actor(),
            person_id,
            request.form.get("password", ""),
            first=person_id != actor().person_id,
            now=now(),
        )
    except TrainerError as refused:
        return _entry(person_id, says=str(refused), status=status_of(refused))
    flash("The new password is in force; every open session of this person has ended.")
    return redirect(url_for("keeper.entry", person_id=person_id), 303)


@room.post("/register/<person_id>/address")
@needs(Permission.PEOPLE_MANAGE)
def set_address(person_id: str) -> Response:
    """Enter, change or remove the address for somebody's reminders."""
    typed = request.form.get("address", "")
    try:
        addresses.put(db(), actor(), person_id, typed, now=now())
    except TrainerError as refused:
        return _entry(person_id, says=str(refused), status=status_of(refused), typed=typed)
    flash("The address is entered." if typed.strip() else "No address is kept for this person.")
    return redirect(url_for("keeper.entry", person_id=person_id), 303)


@room.post("/register/<person_id>/link")
@needs(Permission.PEOPLE_MANAGE)
def link(person_id: str) -> Response:
    """Let somebody sign in as whom the provider calls by a name."""
    issuer, subject = site().settings.sign_in_issuer, request.form.get("subject", "").strip()
    try:
        provider_sign_in.link(db(), actor(), person_id, issuer, subject, now=now())
    except TrainerError as refused:
        return _entry(person_id, says=str(refused), status=status_of(refused))
    flash(f"Linked: '{subject}' at the provider signs in here as this person.")
    return redirect(url_for("keeper.entry", person_id=person_id), 303)


@room.post("/register/<person_id>/unlink")
@needs(Permission.PEOPLE_MANAGE)
def unlink(person_id: str) -> Response:
    """End a link to the provider, and the open sessions."""
    try:
        provider_sign_in.unlink(db(), actor(), person_id, request.form.get("issuer", ""), now=now())
    except TrainerError as refused:
        return _entry(person_id, says=str(refused), status=status_of(refused))
    flash("Unlinked; every open session of this person has ended.")
    return redirect(url_for("keeper.entry", person_id=person_id), 303)


@room.post("/register/<person_id>/retire")
@needs(Permission.PEOPLE_MANAGE)
def retire(person_id: str) -> Response:
    """Retire somebody: no more signing in; number and records stay."""
    try:
        gone = people.retire(db(), actor(), person_id, now=now())
    except TrainerError as refused:
        return _entry(person_id, says=str(refused), status=status_of(refused))
    flash(f"{gone.name} is retired. Number and records stay.")
    return redirect(url_for("keeper.register"), 303)


def _register(form: AddForm, *, says: str = "", status: int = 200) -> Response:
    choice, listed = people.register(db(), actor(), wanted())
    return show(register_page(listed, choice, now().date(), form, says=says), status)


def _entry(person_id: str, *, says: str = "", status: int = 200, typed: str | None = None) -> Response:
    person = people.entry(db(), actor(), person_id)
    kept = addresses.of_person(db(), actor(), person_id)
    page = entry_page(
        person,
        oneself=person_id == actor().person_id,
        proposed=passwords.fresh(),
        address=typed if typed is not None else kept.address if kept else "",
        reminders_wanted=kept is None or not kept.paused,
        provider=site().settings.sign_in_issuer,
        links=provider_sign_in.links_of(db(), actor(), person_id),
        says=says,
    )
    return show(page, status)
