"""Answers to be handed in, thought of beforehand, so that nothing but handing them in is timed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.actions import practise, publish
from trainer.cli.measuring.large_company import NOW

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database
    from trainer.actions.views import DrillAddress

MODULE = "piston-valve-overhaul"
_SKILL = "order:strip"


@dataclass(frozen=True)
class Given:
    """An order drill and a right answer to it: the ids of its lines."""

    address: DrillAddress
    answer: list[str]

    def hand_in(self, db: Database, actor: Actor, ticket: str) -> None:
        """Have it marked and kept, as the page does."""
        at = self.address
        practise.answer(
            db,
            actor,
            at.revision,
            at.kind,
            at.size,
            at.seed,
            self.answer,
            ticket=ticket,
            started=None,
            now=NOW,
        )


def given(db: Database, actor: Actor, first_seed: int = 0) -> Iterator[Given]:
    """Yield answers to different questions of one skill, without end."""
    first = practise.next_drill(db, actor, MODULE, _SKILL, None, now=NOW)
    module = publish.module_at(db, first.revision)
    seed = first_seed
    while True:
        seed = drills.seed_for(module, _SKILL, seed)
        key: Any = drills.key(module, first.kind, first.size, seed)
        yield Given(type(first)(first.module_id, first.revision, first.kind, first.size, seed), list(key))
        seed += 1
