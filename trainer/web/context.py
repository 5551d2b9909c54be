"""What a route needs besides the form: the database, the clock, the settings and who is acting."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast
from urllib.parse import urlsplit

from flask import current_app, g, request, session

from trainer.actions import accounts, signing_again
from trainer.actions.actor import Sent
from trainer.web.account.carried import from_form

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database
    from trainer.settings import Settings
    from trainer.web.assets import Assets

_TOKEN = "token"  # noqa: S105 -- the name of a field, not a secret


@dataclass(frozen=True)
class Site:
    """One running application."""

    db: Database
    settings: Settings
    assets: Assets
    clock: Callable[[], datetime]


def site() -> Site:
    """Return the application that answers this request."""
    return cast("Site", current_app.extensions["trainer"])


def provider_name() -> str:
    """Return the host of the sign-in provider, "" when none is set."""
    return urlsplit(site().settings.sign_in_issuer).hostname or ""


def db() -> Database:
    """Return the database."""
    return site().db


def now() -> datetime:
    """Return the time of this request, the same however often it is asked."""
    if "now" not in g:
        g.now = site().clock()
    return cast("datetime", g.now)


def someone() -> Actor | None:
    """Return who is signed in, or None."""
    if "actor" not in g:
        token = session.get(_TOKEN)
        issuer = site().settings.sign_in_issuer
        found = accounts.actor_for(db(), token, now=now(), issuer=issuer) if isinstance(token, str) else None
        g.actor = replace(found, sent=_sent()) if found and found.signs_at else found
    return cast("Actor | None", g.actor)


def _sent() -> Sent | None:
    """Return what is sent for a signature, bound to all that the form holds but passwords and tickets."""
    if request.method != "POST":
        return None
    carried = from_form(request.path, request.form)
    return Sent(signing_again.digest(carried.path, carried.fields), request.form.get("again", ""))


def actor() -> Actor:
    """Return who is acting, on a route that only somebody signed in reaches."""
    who = someone()
    if who is None:  # pragma: no cover -- the guard lets nobody through without a session
        raise RuntimeError("a route that needs a permission ran without anybody signed in")
    return who


def token() -> str:
    """Return the token of the session in force, or ""."""
    return str(session.get(_TOKEN, ""))


def keep_token(fresh: str) -> None:
    """Put a new session token into the cookie; the anti-forgery token is made anew with it."""
    session.clear()
    session[_TOKEN] = fresh
    session.permanent = True
    g.pop("actor", None)
    g.pop("csrf_token", None)


def drop_token() -> None:
    """Empty the cookie."""
    session.clear()
    g.actor = None
    g.pop("csrf_token", None)
