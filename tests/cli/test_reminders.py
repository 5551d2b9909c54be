"""`trainer reminders send`: off until a server is set; a dry run sends and notes nothing; exit codes."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner, Result

from tests.mail_server import mail_server
from trainer import settings
from trainer.actions import addresses, covered_tasks, people
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.actions.permissions import Role
from trainer.actions.publish import publish
from trainer.cli import command
from trainer.procedure import library

if TYPE_CHECKING:
    from pathlib import Path


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(command, ["reminders", "send", *arguments])


@pytest.fixture
def instance(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An installation whose supervisor has an address, and a crew with nobody qualified."""
    monkeypatch.setenv("TRAINER_INSTANCE", str(tmp_path))
    assert CliRunner().invoke(command, ["upgrade"]).exit_code == 0
    now = datetime.now(UTC)
    with open_database(settings.load()) as db:
        covered_tasks.register(db, SYSTEM, library.tables().tasks.values(), now=now)
        path = library.find("pilot-overhaul")
        publish(db, SYSTEM, path.read_text(encoding="utf-8"), file=path.name, now=now)
        for name, role, crew in (("sol", Role.SUPERVISOR, ""), ("ama", Role.TECHNICIAN, "Sedge Lane")):
            added = people.add(db, SYSTEM, name, name, [role], crew, password="none of it is real", now=now)
            if role is Role.SUPERVISOR:
                addresses.put(db, SYSTEM, added.person_id, "sol@invented.example", now=now)
    return tmp_path


@pytest.mark.usefixtures("instance")
def test_reminders_are_off_until_a_server_is_set() -> None:
    told = _run()
    assert (told.exit_code, "Reminders are off: set mail_server" in told.stderr) == (2, True)


@pytest.mark.usefixtures("instance")
def test_a_dry_run_tells_what_would_be_sent_without_a_server() -> None:
    for _ in range(2):
        told = _run("--dry-run")
        assert told.exit_code == 0
        assert "Sedge Lane, the next 13 weeks:\n  Today nobody may do T-41" in told.stdout
        assert "1 to send; nothing was sent." in told.stdout
        assert "@" not in told.stdout


def test_what_is_due_is_sent_once_and_a_refusal_is_an_exit_code(instance: Path) -> None:
    with mail_server() as server:
        (instance / "settings.toml").write_text(
            f'mail_server = "127.0.0.1"\nmail_port = {server.port}\nmail_security = "none"\n'
            'mail_sender = "trainer@invented.example"\n',
            encoding="utf-8",
        )
        server.answers["RCPT"] = ["550 no", "550 no"]
        refused = _run()
        assert (refused.exit_code, "0 of 1 sent." in refused.stdout) == (1, True)
        assert "the server answered 550 no" in refused.stderr
        assert (_run().stdout, _run().stdout) == ("1 of 1 sent.\n", "0 of 0 sent.\n")
        assert len(server.taken) == 1
