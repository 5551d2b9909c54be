"""The docstring of a test as the procedure that it is about."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.procedure.written import procedure_of

if TYPE_CHECKING:
    from trainer.procedure.window import Procedure


@pytest.fixture
def procedure(request: pytest.FixtureRequest) -> Procedure:
    """What the docstring of the test describes."""
    return procedure_of(request.function.__doc__)
