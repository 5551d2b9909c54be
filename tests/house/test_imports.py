"""Imports run one way; the contracts stand in pyproject.toml."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import trainer

ROOT = Path(trainer.__file__).parent.parent
LINT = Path(sys.executable).with_name("lint-imports")


def _lint(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603  # our own tool on our own files
        [str(LINT), "--no-cache"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": str(folder)},
    )


def test_the_contracts_are_kept() -> None:
    result = _lint(ROOT)
    assert result.returncode == 0, result.stdout


def test_an_import_against_the_arrows_is_caught(tmp_path: Path) -> None:
    shutil.copytree(
        ROOT / "trainer", tmp_path / "trainer", ignore=shutil.ignore_patterns("__pycache__", "static")
    )
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    planted = tmp_path / "trainer" / "trade" / "units.py"
    planted.write_text(planted.read_text(encoding="utf-8") + "\nimport trainer.drills\n", encoding="utf-8")
    result = _lint(tmp_path)
    assert result.returncode == 1
    assert "trainer.trade.units -> trainer.drills" in result.stdout
