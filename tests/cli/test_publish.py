"""`trainer publish`."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from tests.actions import bench
from tests.actions.bench import MODULE
from tests.modules import SMALL_VALVE
from tests.people import AMA, SOL
from trainer import settings
from trainer.actions import publish, upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli import command

if TYPE_CHECKING:
    from pathlib import Path

REVISED = SMALL_VALVE.replace("95 N·m", "110 N·m")


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A revised procedure in a file, and an instance in which Ama is signed for under the one in force."""
    monkeypatch.setenv("TRAINER_INSTANCE", str(tmp_path / "instance"))
    monkeypatch.delenv("TRAINER_DATABASE_URL", raising=False)
    upkeep.upgrade(settings.load())
    then = datetime.now(UTC) - timedelta(days=20)
    with open_database(settings.load()) as db:
        bench.found(db)
        bench.make_ready(db, AMA, then)
        bench.sign_by(db, bench.enter(db, SOL, then), AMA, then)
    path = tmp_path / "small-valve.yaml"
    path.write_text(REVISED, encoding="utf-8")
    return path


def _run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(command, ["publish", *words])
    return result.exit_code, result.output


def _in_force() -> str:
    with open_database(settings.load()) as db:
        return next(one.revision for one in publish.current_modules(db, SYSTEM) if one.module_id == MODULE)


def test_what_is_touched_is_told_first_and_then_published(file: Path) -> None:
    before = _in_force()
    code, said = _run(str(file), "--dry-run")
    assert (code, _in_force()) == (0, before)
    assert "110 N·m" in said
    assert "Touched: Torque" in said
    assert f"Qualified under {before[:10]}: {AMA.display_name}, {AMA.id}, QR-" in said
    assert "Unless you say otherwise the change has to be shown anew." in said
    code, said = _run(str(file), "--reading-is-enough")
    assert (code, _in_force()) == (2, before)
    assert "Write down why" in said
    code, said = _run(str(file))
    assert code == 0
    assert "To be shown anew by 1 of them until" in said
    assert _in_force() != before
    code, said = _run(str(file))
    assert (code, said) == (0, "This very revision is in force already. Nothing to do.\n")


def test_what_the_checker_finds_is_told_with_its_place(file: Path) -> None:
    before = _in_force()
    file.write_text(REVISED.replace("covered_task: T-31", "covered_task: T-00"), encoding="utf-8")
    code, said = _run(str(file))
    assert (code, _in_force()) == (1, before)
    assert "small-valve.yaml" in said
    assert "cannot be published" in said
