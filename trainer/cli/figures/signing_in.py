"""A sign-in with throttle, session and log, beside the one check of a password that it cannot do without."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.actions import accounts, passwords, people, upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.actions.permissions import Role
from trainer.cli.measuring.timing import slower
from trainer.settings import Settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort, Reading

TITLE = "Sign in"

TIMES = 1.2
_AT = datetime(2027, 1, 4, 8, 0, tzinfo=UTC)
_NAME, _PASSWORD = "invented", "an invented password"


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how many times longer a sign-in takes than one argon2id check of its password."""
    stored = passwords.hashed(_PASSWORD)
    with TemporaryDirectory() as folder:
        settings = Settings(instance=Path(folder))
        upkeep.upgrade(settings)
        with open_database(settings) as db:
            people.add(
                db, SYSTEM, _NAME, "Invented Person", (Role.TECHNICIAN,), "", password=_PASSWORD, now=_AT
            )

            def floor() -> None:
                if not passwords.matches(stored, _PASSWORD):
                    raise AssertionError("the password must be the right one")

            def ours() -> None:
                accounts.sign_in(db, _NAME, _PASSWORD, address="192.0.2.1", now=_AT)

            yield slower(f"{TITLE}, times one argon2id check", floor, ours, effort, TIMES)
