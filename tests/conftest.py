"""What all tests share."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from hypothesis import settings

if TYPE_CHECKING:
    import pytest

# The same examples each time, and none failed for being slow on a busy machine.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")


def pytest_configure(config: pytest.Config) -> None:
    """Keep the tests away from the instance folder of the checkout."""
    del config
    for name in ("TRAINER_INSTANCE", "TRAINER_DATABASE_URL"):
        os.environ.pop(name, None)
