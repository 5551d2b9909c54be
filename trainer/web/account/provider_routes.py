"""Signing in at a provider: the way there and the way back."""

from __future__ import annotations

import hmac
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from flask import Blueprint, redirect, request, session, url_for

from trainer.actions import provider, provider_sign_in, signing_again
from trainer.actions.actor import NotFound
from trainer.actions.provider import Provider, TokenRefused
from trainer.errors import TrainerError
from trainer.settings import sign_in_secret
from trainer.web.account.carried import Carried, from_form
from trainer.web.account.pages import again_page, sign_in_page, sign_now_page
from trainer.web.account.routes import is_ours
from trainer.web.context import actor, db, keep_token, now, provider_name, site, someone
from trainer.web.errors import error_page, status_of
from trainer.web.guard import open_to_all
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("provider", __name__)

_BEGUN, _SIGNING = "begun", "signing"
# Whoever needs longer at the provider begins again.
_OPEN_FOR = timedelta(minutes=10)


@room.get("/sign-in/provider")
@open_to_all("nobody is signed in before this")
def begin() -> Response:
    """Send somebody to the provider."""
    where = _provider()
    if someone() is not None:
        return redirect(url_for("account.start"), 303)
    back = request.args.get("back", "")
    try:
        begun = provider.begin(where)
    except TrainerError as refused:
        return _refused(refused)
    session[_BEGUN] = {
        "state": begun.state,
        "nonce": begun.nonce,
        "verifier": begun.verifier,
        "back": back if is_ours(back) else "",
        "at": now().isoformat(),
    }
    return redirect(begun.address, 303)


@room.app_errorhandler(signing_again.ShowAgain)
def show_again(_waits: signing_again.ShowAgain) -> Response:
    """Keep the form that was sent, and lead its sender to the provider by a page of ours: a form may not lead away."""
    try:
        where = _provider()
        begun = provider.begin(where, anew=True)
        kept = from_form(request.path, request.form)
        ticket = signing_again.begin(db(), actor(), kept.path, kept.fields, now=now())
    except TrainerError as refused:
        return error_page(status_of(refused), str(refused))
    session[_SIGNING] = {
        "state": begun.state,
        "nonce": begun.nonce,
        "verifier": begun.verifier,
        "ticket": ticket,
    }
    return show(again_page(provider_name(), begun.address))


def _came_back_to_sign(where: Provider, begun: dict[str, str]) -> Response:
    """Show the form that waits, to be signed now or to be tried again."""
    who = someone()
    waits = signing_again.waiting(db(), who, begun["ticket"]) if who else None
    if who is None or waits is None:
        refused: TrainerError = signing_again.SigningRefused("it does not belong to a form that waits")
        return error_page(status_of(refused), str(refused))
    kept = Carried(waits.path, waits.fields)
    try:
        _must_be_theirs(where)
        signing_again.shown(
            db(),
            who,
            where,
            request.args["code"],
            ticket=begun["ticket"],
            nonce=begun["nonce"],
            verifier=begun["verifier"],
            now=now(),
        )
    except signing_again.SigningRefused as problem:
        return show(sign_now_page(kept, says=str(problem)), status_of(problem))
    except TokenRefused as problem:
        refused = signing_again.SigningRefused(problem.why)
        return show(sign_now_page(kept, says=str(refused)), status_of(refused))
    except TrainerError as problem:
        return show(sign_now_page(kept, says=str(problem)), status_of(problem))
    return show(sign_now_page(kept, ticket=begun["ticket"]))


def _belongs(begun: dict[str, str] | None) -> bool:
    """Return whether what came back was begun here."""
    return begun is not None and hmac.compare_digest(
        str(begun["state"]).encode(), request.args.get("state", "").encode()
    )


def _must_be_theirs(where: Provider) -> None:
    # Where the answer names its issuer, it must be ours (RFC 9207).
    if request.args.get("iss", where.issuer) != where.issuer:
        raise TokenRefused("it comes from somebody else")
    if "code" not in request.args:
        raise TokenRefused("the provider did not let you in")


@room.get("/sign-in/provider/back")
@open_to_all("who comes back from the provider is not signed in yet")
def back() -> Response:
    """Take somebody in who comes back from the provider with what was begun here, once; or let them sign."""
    where = _provider()
    signing = session.pop(_SIGNING, None)
    if signing is not None and _belongs(signing):
        return _came_back_to_sign(where, signing)
    begun = session.pop(_BEGUN, None)
    try:
        if begun is None or not _belongs(begun):
            raise TokenRefused("it does not belong to a sign-in begun here")
        if not timedelta() <= now() - datetime.fromisoformat(begun["at"]) <= _OPEN_FOR:
            raise TokenRefused("it took too long; begin again")
        _must_be_theirs(where)
        entered = provider_sign_in.sign_in(
            db(),
            where,
            request.args["code"],
            state=begun["state"],
            nonce=begun["nonce"],
            verifier=begun["verifier"],
            address=request.remote_addr or "",
            now=now(),
        )
    except TrainerError as refused:
        return _refused(refused)
    keep_token(entered.token)
    return redirect(begun["back"] or url_for("account.start"), 303)


def _provider() -> Provider:
    """Return the provider of the settings.

    Raises:
        NotFound: none is set.
    """
    settings = site().settings
    if not settings.sign_in_issuer:
        raise NotFound("sign-in provider", "")
    return Provider(
        settings.sign_in_issuer,
        settings.sign_in_client_id,
        f"{settings.home}{url_for('provider.back')}",
        sign_in_secret(),
    )


def _refused(problem: TrainerError) -> Response:
    return show(sign_in_page(says=str(problem), provider=provider_name()), status_of(problem))
