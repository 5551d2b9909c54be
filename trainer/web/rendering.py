"""How templates are drawn: undefined names are errors, and the few functions that every template may call."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import url_for
from flask_wtf.csrf import generate_csrf
from jinja2 import StrictUndefined
from markupsafe import Markup

from trainer.records.qualification import MARK, MARK_WORDS, Standing
from trainer.web import linework
from trainer.web.filters import FILTERS
from trainer.web.moments import told

if TYPE_CHECKING:
    from flask import Flask

    from trainer.web.assets import Assets


# The order of the key: what may be worked alone first.
KEY = (
    Standing.SIGNED,
    Standing.ENDS_SOON,
    Standing.READY,
    Standing.IN_PRACTICE,
    Standing.LAPSED,
    Standing.SUSPENDED,
    Standing.NOT_ASSIGNED,
)


def install(app: Flask, assets: Assets) -> None:
    """Set up the templates of an application."""
    app.jinja_options = {
        "undefined": StrictUndefined,
        "autoescape": True,
        "trim_blocks": True,
        "lstrip_blocks": True,
    }

    def asset(path: str) -> str:
        return url_for("static_file", digest=assets.digest, path=assets.known(path))

    app.jinja_env.globals.update(
        asset=asset,
        token_field=token_field,
        BARS=linework.BARS,
        HATCHES=linework.HATCHES,
        KNURL=linework.KNURL,
        PAPER_MARK=MARK,
        PAPER_WORDS=MARK_WORDS,
        STANDINGS=KEY,
    )
    app.jinja_env.filters.update(FILTERS, moment=told)


def token_field() -> Markup:
    """Return the hidden field without which a form is refused."""
    return Markup('<input type="hidden" name="csrf_token" value="{}">').format(generate_csrf())
