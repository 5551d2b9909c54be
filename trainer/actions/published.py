"""Published revisions as modules, ready to ask from. A revision never changes, so each is read once a process."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer import drills
from trainer.actions.actor import NotFound
from trainer.drills.element_classes import element_classes
from trainer.drills.observed import seen_in_work
from trainer.errors import TrainerError
from trainer.procedure import library
from trainer.procedure.model import Caution, Hazard
from trainer.procedure.shared_tables import SharedTables
from trainer.procedure.window import prepare
from trainer.store import modules

if TYPE_CHECKING:
    from trainer.competency.evidence import Skill
    from trainer.competency.skill_classes import ElementClass
    from trainer.procedure.model import Module
    from trainer.store.modules import Revision
    from trainer.store.session import Database, Unit

_MOST_KEPT = 200
_kept: dict[str, Prepared] = {}


class RevisionDamaged(TrainerError):
    """The stored text of a revision no longer gives the hash that names it."""

    def __init__(self, revision: str) -> None:
        super().__init__(
            f"The stored text of revision {revision[:10]} is not what was published; restore the database."
        )


@dataclass(frozen=True)
class Prepared:
    """A published module, its skills, the classes of skills that are decided together, and what the work itself shows."""

    module: Module
    skills: tuple[Skill, ...]
    elements: tuple[ElementClass, ...]
    seen_in_work: frozenset[str]

    def skill(self, skill_id: str) -> Skill | None:
        """Return a skill by id, or None."""
        return next((skill for skill in self.skills if skill.id == skill_id), None)


def prepared_from(db: Database, revision: str) -> Prepared:
    """Return a published revision like `prepared`, with a transaction of its own when one is needed.

    Raises:
        NotFound: no such revision was published.
        RevisionDamaged: its text was changed in the database.
    """
    known = _kept.get(revision)
    if known is not None:
        return known
    with db.reading() as unit:
        return prepared(unit, revision)


def prepared(unit: Unit, revision: str) -> Prepared:
    """Return a published revision, ready to ask from.

    Raises:
        NotFound: no such revision was published.
        RevisionDamaged: its text was changed in the database.
    """
    known = _kept.get(revision)
    if known is not None:
        return known
    found = modules.text(unit, revision)
    if found is None:
        raise NotFound("revision", revision)
    # The shared cautions of the day of publishing belong to the revision; today's may say something else.
    module = library.read_module(found.source, found.file, SharedTables(cautions=_cautions(found.canonical)))
    if module.revision != revision:
        raise RevisionDamaged(revision)
    skills = drills.skills(module)
    made = Prepared(module, skills, element_classes(module, skills), _seen_in_work(module))
    if len(_kept) >= _MOST_KEPT:
        _kept.pop(next(iter(_kept)), None)
    _kept[revision] = made
    return made


def _seen_in_work(module: Module) -> frozenset[str]:
    sizes = module.sizes or ("",)
    return frozenset().union(*(seen_in_work(prepare(module, size)) for size in sizes))


def in_force(unit: Unit, module_id: str) -> Revision:
    """Return the revision in force of a module.

    Raises:
        NotFound: the module was never published.
    """
    found = modules.current(unit, module_id)
    if found is None:
        raise NotFound("module", module_id)
    return found


def _cautions(canonical: str) -> dict[str, Caution]:
    shared = json.loads(canonical).get("shared_cautions", {})
    return {name: Caution(name, Hazard(item["signal"]), item["text"]) for name, item in shared.items()}
