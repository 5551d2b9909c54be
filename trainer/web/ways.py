"""The ways from one sheet to the next: the few entries of the navigation, by what a person may do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import request, url_for

from trainer.actions.permissions import Permission, Role

if TYPE_CHECKING:
    from trainer.actions.actor import Actor


@dataclass(frozen=True)
class Way:
    """One entry: its words, its address, and whether the person stands there."""

    words: str
    address: str
    here: bool


@dataclass(frozen=True)
class _Entry:
    words: str
    permission: Permission
    endpoint: str
    below: tuple[str, ...] = ()


_ENTRIES = (
    _Entry("My sheet", Permission.SHEET_OWN, "practise.sheet", ("practise.question", "sitting.question")),
    _Entry("My record", Permission.RECORD_OWN, "practise.record"),
    _Entry(
        "People", Permission.ATTEMPT_READ, "mentor.people", ("mentor.person", "mentor.evaluate", "life.story")
    ),
    _Entry(
        "At the bench",
        Permission.OBSERVATION_RECORD,
        "bench.mine",
        ("bench.begin", "bench.card", "bench.observation", "bench.close"),
    ),
    _Entry(
        "Crew sheet",
        Permission.CREW_READ,
        "supervisor.crews",
        (
            "supervisor.crew",
            "cover.forecast",
            "cover.sheet",
            "plan.ask",
            "plan.keep",
            "plan.sheet",
            "plan.change",
        ),
    ),
    _Entry("Qualified on", Permission.QUALIFICATION_READ, "life.who", ("keeping.lines", "keeping.sheet")),
    _Entry(
        "Sign-off",
        Permission.QUALIFICATION_SIGN,
        "supervisor.queue",
        ("supervisor.sign", "confirm.sheet", "confirm.confirm", "papers.waiting", "papers.check"),
    ),
    _Entry("Agreement", Permission.AGREEMENT_READ, "bench.agreement"),
    _Entry("Evidence", Permission.LEDGER_READ, "evidence.sheet", ("evidence.packet",)),
    _Entry(
        "Register",
        Permission.PEOPLE_MANAGE,
        "keeper.register",
        (
            "keeper.add",
            "keeper.entry",
            "from_file.choose_people",
            "from_file.people",
            "from_file.choose_papers",
            "from_file.papers",
            "keeping.lines",
            "keeping.sheet",
        ),
    ),
    _Entry("Numbers", Permission.POLICY_SET, "policy.sheet", ("policy.earlier", "policy.change")),
    _Entry(
        "Procedures",
        Permission.MODULE_READ,
        "modules.all_modules",
        (
            "modules.procedure",
            "publish.choose",
            "publish.revision",
            "modules.machine",
            "tasks.every",
            "tasks.task",
            "tasks.ask",
            "tasks.change",
            "tasks.made",
            "tasks.tell",
            "analysis.sheet",
            "analysis.skill",
            "analysis.panel_room",
            "analysis.keep",
            "analysis.panel_sheet",
        ),
    ),
)

# Where a person starts; of several roles the first one here decides.
_START = {
    Role.SUPERVISOR: "supervisor.crews",
    Role.KEEPER: "keeper.register",
    Role.MENTOR: "mentor.people",
    Role.INSPECTOR: "supervisor.crews",
    Role.TECHNICIAN: "practise.sheet",
}


def ways_for(actor: Actor) -> tuple[Way, ...]:
    """Return where this person can go."""
    return tuple(
        Way(
            entry.words,
            url_for(entry.endpoint),
            here=request.endpoint == entry.endpoint or request.endpoint in entry.below,
        )
        for entry in _ENTRIES
        if actor.may(entry.permission)
    )


def start_of(actor: Actor) -> str:
    """Return the address of the sheet a person starts from."""
    endpoint = next((_START[role] for role in _START if role in actor.roles), "account.own")
    return url_for(endpoint)
