"""`trainer tasks`: the file against the register, and the file into the register; exit codes."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner, Result

from trainer.cli import command
from trainer.procedure import library

if TYPE_CHECKING:
    from pathlib import Path


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(command, ["tasks", *arguments])


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty installation, and a folder with a table of covered tasks of its own."""
    monkeypatch.setenv("TRAINER_INSTANCE", str(tmp_path / "instance"))
    assert CliRunner().invoke(command, ["upgrade"]).exit_code == 0
    own = tmp_path / "own"
    own.mkdir()
    _write(own, 36)
    return own


def _write(folder: Path, months: object) -> None:
    text = (
        f"tasks:\n  T-1:\n    title: Do\n    interval_months: {months}\n    interval_because: Invented\n"
        "    abnormal_conditions: [gas alarm]\n"
    )
    (folder / "tasks.yaml").write_text(text, encoding="utf-8")


def test_the_file_is_read_into_the_register_and_differences_are_told(folder: Path) -> None:
    told = _run("--folder", str(folder))
    assert told.exit_code == 1
    assert "T-1: not in the register: Interval: – / in the file: 36 months" in told.stdout
    entered = _run("--folder", str(folder), "--register")
    assert (entered.exit_code, entered.stdout) == (0, "Entered: T-1.\nFile and register say the same.\n")
    _write(folder, 24)
    changed = _run("--folder", str(folder), "--format", "json")
    assert changed.exit_code == 1
    (different,) = json.loads(changed.stdout)["different"]
    assert different == {
        "task": "T-1",
        "state": "not read yet",
        "differences": [{"what": "Interval", "register": "36 months", "file": "24 months"}],
    }


def test_nothing_is_read_from_a_file_with_errors(folder: Path) -> None:
    _write(folder, "often")
    told = _run("--folder", str(folder), "--register")
    assert told.exit_code == 2
    assert f"{folder / 'tasks.yaml'}:4:22" in told.stderr
    assert "Nothing was read." in told.stderr


@pytest.mark.usefixtures("folder")
def test_the_shipped_tasks_are_read_without_a_folder() -> None:
    entered = _run("--register")
    assert entered.exit_code == 0
    assert entered.stdout.startswith(f"Entered: {', '.join(library.tables().tasks)}.")
