"""`trainer print`: the papers of a procedure without a database."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from tests.exports import reading
from trainer.cli import command
from trainer.exports import EXPORTS

if TYPE_CHECKING:
    from pathlib import Path

    from click.testing import Result

VALVE = "piston-valve-overhaul"


def print_out(*arguments: str) -> Result:
    return CliRunner().invoke(command, ["print", *arguments])


def test_the_list_names_every_paper() -> None:
    result = print_out("--list")
    assert result.exit_code == 0
    for name, export in EXPORTS.items():
        assert name.replace("_", "-") in result.stdout
        assert export.TITLE in result.stdout


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_bench_card_of_a_size_is_written(tmp_path: Path, paper: str) -> None:
    out = tmp_path / "card.pdf"
    result = print_out("bench-card", VALVE, "--size", "DN 100", "--paper", paper, "--out", str(out))
    assert result.exit_code == 0, result.output
    said = reading.text(out.read_bytes())
    assert "Bench card" in said
    assert "DN 100" in said


def test_a_size_that_the_procedure_does_not_cover_is_told(tmp_path: Path) -> None:
    result = print_out("bench-card", VALVE, "--size", "DN 7", "--out", str(tmp_path / "card.pdf"))
    assert result.exit_code != 0
    assert "has no size 'DN 7'" in result.output
    assert not (tmp_path / "card.pdf").exists()
