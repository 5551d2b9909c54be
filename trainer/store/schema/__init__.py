"""The tables, a file a group; importing this package puts all of them on `metadata`."""

from __future__ import annotations

from trainer.store.schema import (
    attempts,
    log,
    modules,
    observations,
    panels,
    people,
    policies,
    qualifications,
    sittings,
)
from trainer.store.schema.columns import metadata

__all__ = [
    "attempts",
    "log",
    "metadata",
    "modules",
    "observations",
    "panels",
    "people",
    "policies",
    "qualifications",
    "sittings",
]
