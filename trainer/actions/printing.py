"""Printing a sheet: the packet of each kind of export from what is kept, and the file that comes of it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from trainer.actions.actor import NotFound
from trainer.actions.crew import crew_sheet
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.actions.qualify import record
from trainer.actions.unaided import must_not_sit
from trainer.actions.views import PrintedFile
from trainer.exports import EXPORTS
from trainer.exports.packets import JobCardPacket

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.store.session import Database


def print_sheet(
    db: Database, actor: Actor, kind: str, subject: str, *, paper: str, now: datetime
) -> PrintedFile:
    """Return a printed sheet.

    Args:
        db: the database.
        actor: who prints.
        kind: name of the export, one of `trainer.exports.EXPORTS`.
        subject: number of the record, name of the crew, or id of the module with the size behind it
            (`piston-valve DN 80`); without a size the first one of the module.
        paper: `a4` or `us-letter`.
        now: the time.

    Raises:
        NotFound: there is no such kind, or no such subject for this actor.
        NotAllowed: this actor may not print that.
    """
    export, packet_of = EXPORTS.get(kind), _PACKETS.get(kind)
    if export is None or packet_of is None:
        raise NotFound("printed sheet", kind)
    data = export.write(packet_of(db, actor, subject, now), paper=paper)
    return PrintedFile(f"{_file_name(kind, subject)}.{export.ENDING.lstrip('.')}", export.MEDIA_TYPE, data)


def _record(db: Database, actor: Actor, subject: str, _now: datetime) -> Any:
    return record(db, actor, subject)


def _crew(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    return crew_sheet(db, actor, subject, now=now)


def _job(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    actor.must(Permission.MODULE_READ)
    module_id, _, size = subject.strip().partition(" ")
    with db.reading() as unit:
        must_not_sit(unit, actor)
        revision = in_force(unit, module_id)
        module = prepared(unit, revision.revision).module
    return JobCardPacket(
        module=module,
        size=size.strip() or next(iter(module.sizes), ""),
        company=db.company,
        issued_by=actor.display_name,
        approved_by="",
        plant_item="",
        issued_on=now.date(),
    )


_PACKETS: Mapping[str, Callable[[Database, Actor, str, datetime], Any]] = {
    "bench_card": _job,
    "crew_sheet": _crew,
    "job_card": _job,
    "parts_kit": _job,
    "qualification_record": _record,
}


def _file_name(kind: str, subject: str) -> str:
    plain = re.sub(r"[^A-Za-z0-9]+", "-", subject).strip("-").lower()
    return f"{kind.replace('_', '-')}-{plain}" if plain else kind.replace("_", "-")
