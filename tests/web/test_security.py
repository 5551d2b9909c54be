"""The signing key, the cookie behind TLS, and errors that tell nothing they should not."""

from __future__ import annotations

import logging
import stat
from typing import TYPE_CHECKING

from tests import databases
from tests.people import AMA
from trainer.actions.actor import NotFound
from trainer.errors import TrainerError
from trainer.settings import Settings
from trainer.web import create_app, errors, security

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import pytest
    from flask import Flask

    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]


def test_the_signing_key_is_made_once_and_for_its_owner_alone(tmp_path: Path) -> None:
    key = security.signing_key(tmp_path / "new")
    path = tmp_path / "new" / security.KEY_FILE
    assert len(key) == 32
    assert security.signing_key(tmp_path / "new") == key
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert security.signing_key(tmp_path / "other") != key


def test_behind_tls_the_cookie_is_bound_to_host_and_https(tmp_path: Path, db: Database) -> None:
    settings = Settings(instance=tmp_path, company=databases.COMPANY, secure_cookie=True)
    app = create_app(settings, db=db)
    answer = app.test_client().get("/sign-in", base_url="https://trainer.example")
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith("__Host-trainer=")
    assert "Secure" in cookie
    assert "Path=/" in cookie
    assert "max-age=" in answer.headers["Strict-Transport-Security"]


def test_an_error_nobody_thought_of_is_told_without_its_details(
    visit: Visit, app: Flask, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    visitor = visit(AMA)

    def broken() -> str:
        raise ZeroDivisionError("the secret of the machine")

    monkeypatch.setitem(app.config, "PROPAGATE_EXCEPTIONS", False)
    monkeypatch.setitem(app.view_functions, "practise.sheet", _open(broken))
    with caplog.at_level(logging.CRITICAL):
        sheet = visitor.get("/sheet")
    assert sheet.status == 500
    assert "Something broke on our side." in sheet.heading
    assert "secret" not in sheet.text


def _open(view: Callable[[], str]) -> Callable[[], str]:
    view._trainer_open_because = "a test"  # type: ignore[attr-defined]
    return view


def test_each_class_of_error_has_the_status_of_its_nearest_kin() -> None:
    class Fresh(TrainerError):
        """An error of a kind that the table does not name."""

    assert errors.status_of(Fresh("x")) == 422
    assert errors.status_of(NotFound("sheet", 1)) == 404


def test_a_form_too_large_is_refused(visit: Visit) -> None:
    visitor = visit(AMA)
    sheet = visitor.post("/account", old="x" * (security.MOST_BYTES + 1), new="y")
    assert sheet.status == 413
    assert sheet.heading == "That is more than a form of ours holds."


def test_an_address_that_takes_no_such_request_says_so(visit: Visit) -> None:
    assert visit(AMA).get("/sign-out").status == 405
