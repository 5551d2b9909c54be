"""What all tests share."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pytest


def pytest_configure(config: pytest.Config) -> None:
    """Keep the tests away from the instance folder of the checkout."""
    del config
    for name in ("TRAINER_INSTANCE", "TRAINER_DATABASE_URL"):
        os.environ.pop(name, None)
