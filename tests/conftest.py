"""What all tests share."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest
from argon2 import PasswordHasher
from hypothesis import settings

from trainer.actions import passwords

if TYPE_CHECKING:
    from collections.abc import Iterator

# The same examples each time, and none failed for being slow on a busy machine.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")


def pytest_configure(config: pytest.Config) -> None:
    """Keep the tests away from the instance folder of the checkout."""
    del config
    for name in ("TRAINER_INSTANCE", "TRAINER_DATABASE_URL"):
        os.environ.pop(name, None)


@pytest.fixture(scope="session", autouse=True)
def strong_hasher() -> Iterator[PasswordHasher]:
    """The hasher of passwords, slow on purpose; tests of anything else come and go with a quick one."""
    strong = passwords.HASHER
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(passwords, "HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
        yield strong
