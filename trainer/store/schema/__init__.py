"""The tables, a file a group; importing this package puts all of them on `metadata`."""

from __future__ import annotations

from trainer.store.schema import (
    attempts,
    calendar,
    changes,
    earlier,
    keeping,
    life,
    log,
    mails,
    modules,
    notices,
    observations,
    outbox,
    panels,
    people,
    photographs,
    plans,
    policies,
    qualifications,
    sittings,
)
from trainer.store.schema.columns import metadata

__all__ = [
    "attempts",
    "calendar",
    "changes",
    "earlier",
    "keeping",
    "life",
    "log",
    "mails",
    "metadata",
    "modules",
    "notices",
    "observations",
    "outbox",
    "panels",
    "people",
    "photographs",
    "plans",
    "policies",
    "qualifications",
    "sittings",
]
