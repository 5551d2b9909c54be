"""Which people a list shows: everybody where they are few; in a large company one crew, or those whose name holds some text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.store import crews, people

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.actions.permissions import Permission
    from trainer.store.people import Person
    from trainer.store.session import Unit

# How many people a list shows before a crew has to be chosen, and how many are found by a name (own choice).
AT_ONCE = 100
FOUND = 50


@dataclass(frozen=True)
class Wanted:
    """What was asked for: a crew by its name, None for none in particular; and a part of a name, "" for none."""

    crew: str | None = None
    name: str = ""


@dataclass(frozen=True)
class Choice:
    """What can be chosen and what was.

    `crews` are those to choose among, empty where everybody is shown at once; `crew` is the one that is shown, None for
    all of them; `of` is how many people there are in all; `found` are those with the name looked for.
    """

    crews: tuple[str, ...]
    crew: str | None
    name: str
    of: int
    found: tuple[Person, ...]


def choose(
    unit: Unit, actor: Actor, permission: Permission, wanted: Wanted, *, with_retired: bool = False
) -> Choice:
    """Return which people to show to this actor.

    Args:
        unit: the transaction.
        actor: who looks.
        permission: what the actor needs on somebody to see them.
        wanted: what was asked for; a crew that the actor does not see is passed over.
        with_retired: those who have left are counted and found too.
    """
    seen = {
        crew: size
        for crew, size in crews.sizes(unit, with_retired=with_retired).items()
        if actor.may_for(permission, crew=crew)
    }
    of = sum(seen.values())
    name = wanted.name.strip()
    named = people.named(unit, name, most=FOUND, with_retired=with_retired) if name else ()
    found = tuple(person for person in named if person.crew in seen)
    if len(seen) < 2 or of <= AT_ONCE:
        return Choice((), next(iter(seen)) if len(seen) == 1 else None, name, of, found)
    first = actor.crew if actor.crew in seen else next(iter(seen))
    crew = wanted.crew if wanted.crew is not None and wanted.crew in seen else first
    return Choice(tuple(seen), crew, name, of, found)
