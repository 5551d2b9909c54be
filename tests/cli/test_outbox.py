"""`trainer outbox`: off until a receiver is set, one sentence for what fails, exit codes."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner, Result

from tests import receiver
from trainer.cli import command

if TYPE_CHECKING:
    from pathlib import Path


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(command, arguments)


@pytest.fixture
def instance(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An installation with nothing in it."""
    folder = tmp_path / "instance"
    monkeypatch.setenv("TRAINER_INSTANCE", str(folder))
    assert _run("upgrade").exit_code == 0
    return folder


@pytest.mark.usefixtures("instance")
def test_nothing_is_sent_until_a_receiver_is_set() -> None:
    sent = _run("outbox", "send")
    assert sent.exit_code == 2
    assert "No receiver is set" in sent.output
    status = _run("outbox", "status")
    assert status.exit_code == 0
    assert status.output == "No receiver is set.\nSent 0, refused 0, waiting 0.\n"


def test_an_empty_log_sends_nothing_and_is_done(instance: Path) -> None:
    with receiver.running() as system:
        (instance / "settings.toml").write_text(f'statements_to = "{system.address}"\n', encoding="utf-8")
        sent = _run("outbox", "send")
    assert (sent.exit_code, sent.output) == (0, "Sent 0, refused 0, waiting 0.\n")
    assert system.heard == []
    told = json.loads(_run("outbox", "status", "--format", "json").stdout)
    assert (told["to"], told["sent"], told["next_at"]) == (system.address, 0, None)


def test_a_key_that_no_header_may_hold_is_refused(instance: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (instance / "settings.toml").write_text('statements_to = "https://records.example"\n', encoding="utf-8")
    monkeypatch.setenv("TRAINER_STATEMENTS_KEY", "a\nb")
    sent = _run("outbox", "send")
    assert sent.exit_code == 2
    assert "TRAINER_STATEMENTS_KEY" in sent.output
    assert "a\nb" not in sent.output
