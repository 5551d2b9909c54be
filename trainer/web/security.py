"""What every answer carries for safety, the session cookie, and the key that signs it."""

from __future__ import annotations

import os
import secrets
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from flask import request
from flask_wtf.csrf import CSRFProtect

from trainer.web.guard import room_for_files

if TYPE_CHECKING:
    from pathlib import Path

    from flask import Flask, Response

    from trainer.settings import Settings

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
KEY_FILE = "session.key"
MOST_BYTES = 256 * 1024


def signing_key(instance: Path) -> bytes:
    """Return the key that signs cookies; made at the first start, readable by its owner alone."""
    instance.mkdir(parents=True, exist_ok=True)
    path = instance / KEY_FILE
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_bytes()
    with os.fdopen(handle, "wb") as file:
        key = secrets.token_bytes(32)
        file.write(key)
    return key


def configuration(settings: Settings) -> dict[str, Any]:
    """Return the Flask settings that concern cookies, forms and sizes."""
    return {
        "SECRET_KEY": signing_key(settings.instance),
        # The prefix binds the cookie to this host and to HTTPS; a browser refuses it without both.
        "SESSION_COOKIE_NAME": "__Host-trainer" if settings.secure_cookie else "trainer",
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Lax",
        "SESSION_COOKIE_SECURE": settings.secure_cookie,
        "SESSION_REFRESH_EACH_REQUEST": False,
        "PERMANENT_SESSION_LIFETIME": timedelta(hours=settings.session_hours),
        # A drill may lie open for hours on a phone without a connection: the form lasts as long as the session.
        "WTF_CSRF_TIME_LIMIT": None,
        "WTF_CSRF_SSL_STRICT": settings.secure_cookie,
        "MAX_CONTENT_LENGTH": MOST_BYTES,
        "MAX_FORM_MEMORY_SIZE": MOST_BYTES,
    }


def install(app: Flask, settings: Settings) -> None:
    """Put the headers on every answer and refuse forms that did not come from our own pages."""

    @app.before_request
    def _room_for_files() -> None:
        # Set before the token is looked for, because that reads the form.
        view = app.view_functions.get(request.endpoint or "")
        if request.mimetype == "multipart/form-data" and room_for_files(view):
            request.max_content_length = room_for_files(view)

    CSRFProtect(app)

    @app.after_request
    def _headers(response: Response) -> Response:
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if settings.secure_cookie:
            response.headers.setdefault("Strict-Transport-Security", "max-age=63072000; includeSubDomains")
        # Pages hold names, answers and records: no copy stays in a cache that others can reach.
        response.headers.setdefault("Cache-Control", "no-store")
        return response
