"""Signing in at a provider: the way there and the way back."""

from __future__ import annotations

import hmac
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from flask import Blueprint, redirect, request, session, url_for

from trainer.actions import provider, provider_sign_in
from trainer.actions.actor import NotFound
from trainer.actions.provider import Provider, TokenRefused
from trainer.errors import TrainerError
from trainer.settings import sign_in_secret
from trainer.web.account.pages import sign_in_page
from trainer.web.account.routes import is_ours
from trainer.web.context import db, keep_token, now, provider_name, site, someone
from trainer.web.errors import status_of
from trainer.web.guard import open_to_all
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("provider", __name__)

_BEGUN = "begun"
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


@room.get("/sign-in/provider/back")
@open_to_all("who comes back from the provider is not signed in yet")
def back() -> Response:
    """Take somebody in who comes back from the provider with what was begun here, once."""
    where = _provider()
    begun = session.pop(_BEGUN, None)
    try:
        if begun is None or not hmac.compare_digest(
            str(begun["state"]).encode(), request.args.get("state", "").encode()
        ):
            raise TokenRefused("it does not belong to a sign-in begun here")
        if not timedelta() <= now() - datetime.fromisoformat(begun["at"]) <= _OPEN_FOR:
            raise TokenRefused("it took too long; begin again")
        # Where the answer names its issuer, it must be ours (RFC 9207).
        if request.args.get("iss", where.issuer) != where.issuer:
            raise TokenRefused("it comes from somebody else")
        if "code" not in request.args:
            raise TokenRefused("the provider did not let you in")
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
