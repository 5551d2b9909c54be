"""Which tables follow from the log and can be made anew from it, and which do not, each with its reason.

Every table of the schema stands in exactly one of the two lists; `tests/house/test_read_models.py` sees to it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.store.schema import metadata

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy import Table

REBUILT = frozenset(
    {
        "assignments",
        "attempts",
        "change_demands",
        "change_steps",
        "covered_tasks",
        "current_revisions",
        "earlier_checks",
        "earlier_qualifications",
        "evaluation_observations",
        "evaluations",
        "keeping_events",
        "life_events",
        "module_revisions",
        "observation_entries",
        "observation_photographs",
        "observations",
        "panels",
        "people",
        "person_roles",
        "photographs",
        "plans",
        "policies",
        "provider_links",
        "qualifications",
        "revision_reads",
        "sequences",
        "sitting_answers",
        "sitting_ends",
        "sitting_questions",
        "sittings",
        "skill_summaries",
        "task_changes",
        "task_changes_told",
    }
)

NOT_IN_LOG: Mapping[str, str] = {
    "events": "It is the log itself.",
    "ledger": "It is the proof of the log, made of the log's own bytes.",
    "checkpoints": "They are signatures over the log, which nobody can make again without the key.",
    "sessions": "A session is a secret of the person signed in and over after some hours.",
    "signings_begun": "A form waits here for minutes, and is in the log once it is signed.",
    "failed_sign_ins": "They are counted for minutes, and what was typed as a name may be a password.",
    "calendar_addresses": "An address is a secret of its owner, who makes a new one with one press.",
    "mail_addresses": "Addresses are personal data and taken out for good when their owner leaves.",
    "mails_told": "It is a claim held while a message goes out; the log tells what was sent.",
    "destroyed_entries": "It names entries of the log itself, as the confirmations in it do.",
    "outbox": "It is a queue that is filled from the log and emptied when its statements have arrived.",
}


@dataclass(frozen=True)
class NotTold:
    """A column that the log leaves out: why, and what stands in its place in a row made from the log.

    `chance`: a row that is written back gets chance of its own there instead.
    """

    because: str
    stands_for: str | bytes
    chance: bool = False


# No password has this hash, so nobody signs in by a row that was lost until the keeper gives a password.
NO_PASSWORD = "!"  # noqa: S105  # it is none
NO_BYTES = b""
NO_CHANCE = "not told"

NOT_TOLD: Mapping[str, Mapping[str, NotTold]] = {
    "people": {"password_hash": NotTold("Nobody who reads the log may try passwords on it.", NO_PASSWORD)},
    "photographs": {
        "data": NotTold(
            "The bytes of a photograph are kept once, under the hash that the log tells.", NO_BYTES
        )
    },
    "sittings": {
        "drawn_with": NotTold(
            "Whoever reads the log could work out the questions that are still to come.",
            NO_CHANCE,
            chance=True,
        )
    },
}


def rebuilt() -> tuple[Table, ...]:
    """Return the tables that are made anew from the log, each behind those that it refers to."""
    return tuple(table for table in metadata.sorted_tables if table.name in REBUILT)


def told_columns(table: Table) -> tuple[str, ...]:
    """Return the names of the columns of a table that follow from the log."""
    left_out = NOT_TOLD.get(table.name, {})
    return tuple(column.name for column in table.c if column.name not in left_out)
