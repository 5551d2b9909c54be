"""A company to look at: invented from beginning to end, in the middle of a working week, made by calling actions."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.actions import covered_tasks, people
from trainer.actions.actor import SYSTEM
from trainer.demo import at_the_bench, story
from trainer.demo.cast import FOUNDERS, NEWCOMER, WORTH_SEEING
from trainer.demo.company import Company
from trainer.errors import TrainerError
from trainer.procedure import library

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.opening import Database
    from trainer.settings import Settings

COMPANY = "Ferncombe Gas (invented)"

_PROCEDURES = Path(__file__).resolve().parent / "procedures"
# The founding and the first tasks lie before everything else that happens.
_TASKS_AT = 1701


@dataclass(frozen=True)
class DemoSignIn:
    """How to come in as somebody of the demonstration; name and password are invented and no secret."""

    name: str
    password: str
    role: str
    what_to_see: str


class NotEmpty(TrainerError):
    """The database holds people of its own; the demonstration is not mixed with them."""

    def __init__(self, where: str) -> None:
        super().__init__(
            f"{where} holds people of its own. Let TRAINER_INSTANCE name another folder for the demonstration."
        )


class HalfMade(TrainerError):
    """Making the demonstration was interrupted."""

    def __init__(self, where: str) -> None:
        super().__init__(f"{where} holds half a demonstration. Remove it and make the demonstration again.")


def make(db: Database, settings: Settings, *, now: datetime) -> tuple[DemoSignIn, ...]:
    """Make the demonstration company, unless it is there, and return how to come in.

    Args:
        db: an upgraded database with nobody in it, or with the demonstration.
        settings: the settings of the installation, to name it when it cannot be used.
        now: today; everything made lies before it.

    Raises:
        NotEmpty: the database holds people of its own.
        HalfMade: an earlier making was interrupted.
    """
    there = {person.sign_in_name for person in people.list_people(db, SYSTEM, with_retired=True)}
    if not there:
        _make(db, now)
    elif FOUNDERS[0].sign_in_name not in there:
        raise NotEmpty(settings.url)
    elif NEWCOMER.sign_in_name not in there:
        raise HalfMade(settings.url)
    return sign_ins()


def sign_ins() -> tuple[DemoSignIn, ...]:
    """Return the sign-ins worth trying, those who practise first."""
    return tuple(
        DemoSignIn(someone.sign_in_name, someone.password, someone.role, someone.to_see)
        for someone in WORTH_SEEING
    )


def _make(db: Database, now: datetime) -> None:
    tasks = dict(library.tables().tasks)
    company = Company(db, tasks)
    first = story.Story(company, now).workday(_TASKS_AT, 6)
    covered_tasks.register(db, SYSTEM, tasks.values(), now=first)
    week = story.told(company, now, _modules())
    at_the_bench.told(week)
    week.play()
    story.newcomer(company, now)


def _modules() -> dict[str, str]:
    shipped = list(library.shipped_procedures().values())
    own = sorted(_PROCEDURES.glob("*.yaml"))
    return {path.name: path.read_text(encoding="utf-8") for path in (*shipped, *own)}
