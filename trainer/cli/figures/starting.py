"""How long the program takes to be there: fresh processes, beside those that import only what it cannot do without."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import partial
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.cli.measuring.timing import Goal, Reading, slower

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.cli.measuring.timing import Effort

TITLE = "Start"

APPLICATION, HELP = 1.25, 2.0
HEAVY = ("alembic", "networkx", "numpy", "psycopg", "scipy", "typst")
_WEB = "import trainer.web.application"
_HELP = "from trainer.cli import command; command(['--help'], standalone_mode=False)"


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how many times longer the application and the help take, and what heavy things either loads."""
    with TemporaryDirectory() as kept:
        # What Python compiled once it keeps, unless it is told not to; both sides are measured as they start every day.
        yield from _started({"PYTHONPYCACHEPREFIX": kept, "PYTHONDONTWRITEBYTECODE": ""}, effort)


def _started(environ: dict[str, str], effort: Effort) -> Iterator[Reading]:
    for name, code, floor, goal in (
        (
            "Import the application, times flask, sqlalchemy.orm and yaml",
            _WEB,
            "import flask, sqlalchemy.orm, yaml",
            APPLICATION,
        ),
        ("trainer --help, times click", _HELP, "import click", HELP),
    ):
        floor_run, our_run = partial(run, floor, environ), partial(run, code, environ)
        yield slower(name, floor_run, our_run, effort, goal)
        found = loaded(code)
        told = f"it loads {', '.join(found)}." if found else "it loads none of " + ", ".join(HEAVY) + "."
        what = f"{name.partition(',')[0]}: libraries that can wait"
        yield Reading(what, ratio=float(len(found)), goal=Goal("at most", 0), note=told)


def run(code: str, environ: Mapping[str, str] = {}) -> str:
    """Run Python code in a process of its own, with more in its environment, and return what it wrote."""
    done = subprocess.run(  # noqa: S603  # our own
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **environ},
    )
    return done.stdout


def loaded(code: str) -> list[str]:
    """Return which of HEAVY are there after some code has run."""
    ask = f"import sys; print(); print(*sorted(set({HEAVY!r}) & set(sys.modules)))"
    return run(f"{code}; {ask}").splitlines()[-1].split()
