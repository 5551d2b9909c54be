"""What is slow to load is loaded when it is used: neither the command line nor the site waits for it at the start."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import trainer

ROOT = Path(trainer.__file__).parent.parent
SLOW = ("authlib", "joserfc", "numpy", "scipy", "networkx", "psycopg", "xlsxwriter", "PIL")
HELP = "import sys; sys.argv = ['trainer', '--help']; from trainer.cli import command; command(standalone_mode=False)"
SITE = "import trainer.web.application"


def _loaded(what: str, among: tuple[str, ...]) -> list[str]:
    told = f"{what}\nimport sys\nprint('loaded', *[name for name in {among!r} if name in sys.modules])"
    result = subprocess.run(  # noqa: S603  # our own program in a process of its own
        [sys.executable, "-c", told],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": str(ROOT)},
    )
    return result.stdout.splitlines()[-1].split()[1:]


@pytest.mark.parametrize("what", [HELP, SITE], ids=["help", "site"])
def test_neither_help_nor_the_site_loads_what_is_slow(what: str) -> None:
    assert _loaded(what, SLOW) == []


def test_the_help_loads_neither_the_site_nor_the_store() -> None:
    assert _loaded(HELP, ("flask", "sqlalchemy", "yaml")) == []


def test_the_check_can_fail() -> None:
    assert _loaded("import numpy", SLOW) == ["numpy"]
