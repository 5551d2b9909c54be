"""Moments as pages tell them: in the time zone of the settings, with its name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.web.context import site
from trainer.web.filters import moment_in

if TYPE_CHECKING:
    from datetime import datetime


def told(value: datetime | None) -> str:
    """Return a moment in the time zone of the settings, or nothing."""
    return moment_in(site().settings.zone, value)
