"""Drawing the next question of a sitting: from the classes still open, fresh, and spread over the people asked."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.actions import policy as policies_room
from trainer.competency.readiness import series_for
from trainer.competency.sequential import Decision
from trainer.competency.skill_classes import SkillClass
from trainer.store import attempts, sittings
from trainer.store.attempts import Address

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from trainer.actions.published import Prepared
    from trainer.actions.readiness import Assessed
    from trainer.competency.readiness import ClassReadiness
    from trainer.competency.skill_classes import ElementClass
    from trainer.drills.question import Question
    from trainer.store.session import Unit
    from trainer.store.sittings import SatQuestion, Sitting

# What can hurt somebody is decided first.
_WEIGHT = {SkillClass.CRITICAL: 0, SkillClass.ABNORMAL: 1, SkillClass.ORDINARY: 2}
# So many questions are looked at before the one that was put to the fewest people is taken (own choice).
_LOOKS = 3


@dataclass(frozen=True)
class Drawn:
    """The next question: the element class and series it counts for, and where it stands."""

    element_class: str
    series: int
    skill: str
    address: Address
    likeness: str

    def as_data(self) -> dict[str, Any]:
        """Return it as plain JSON values; the revision is the sitting's."""
        return {
            "element_class": self.element_class,
            "series": self.series,
            "skill": self.skill,
            "kind": self.address.kind,
            "size": self.address.size,
            "seed": self.address.seed,
            "likeness": self.likeness,
        }


def still_open(
    sitting: Sitting, assessed: Assessed, asked: Iterable[SatQuestion]
) -> tuple[tuple[ClassReadiness, int], ...]:
    """Return the classes that a sitting still has to decide, each with the series that its next question counts for.

    A class that was found not ready before the release begins a new series; one found so since waits for the next sitting.
    """
    found = []
    series_here = {(question.element_class, question.series) for question in asked}
    for item in assessed.readiness.classes:
        again = (
            item.decision is Decision.NOT_READY
            and item.decided_at is not None
            and item.decided_at <= sitting.released_at
            and (item.element.id, item.series) not in series_here
        )
        series = series_for(item, assessed.policies[item.element.id].policy)
        if (item.decision is Decision.GO_ON or again) and series is not None:
            found.append((item, series))
    return tuple(found)


def draw(
    unit: Unit, sitting: Sitting, published: Prepared, assessed: Assessed, asked: Sequence[SatQuestion]
) -> Drawn | None:
    """Return the next question, or None when every class is decided.

    The class asked least comes next, among equals what can hurt somebody first; of a class the skill asked least, in
    the size asked least. The rest is chance, taken at the release.

    Args:
        unit: the transaction.
        sitting: the sitting.
        published: the procedure as it was released.
        assessed: where the person stands.
        asked: the questions of this sitting so far.
    """
    open_classes = still_open(sitting, assessed, asked)
    if not open_classes:
        return None
    times = Counter(question.element_class for question in asked)
    order = {item.element.id: place for place, (item, _) in enumerate(open_classes)}
    chosen, series = min(
        open_classes,
        key=lambda one: (
            times[one[0].element.id],
            _WEIGHT[one[0].element.skill_class],
            order[one[0].element.id],
        ),
    )
    since = assessed.this_round.since
    counted = sittings.asked_in_series(
        unit, sitting.person_id, sitting.revision, chosen.element.id, series, since=since
    )
    return _of_class(unit, sitting, published, chosen.element, series, counted, len(asked) + 1)


def _of_class(
    unit: Unit,
    sitting: Sitting,
    published: Prepared,
    element: ElementClass,
    series: int,
    counted: Sequence[tuple[str, str]],
    position: int,
) -> Drawn:
    by_skill, by_size = Counter(skill for skill, _ in counted), Counter(size for _, size in counted)
    skill = min(element.skills, key=lambda name: (by_skill[name], _chance(sitting, name)))
    sizes = published.module.sizes or ("",)
    size = min(sizes, key=lambda name: (by_size[name], _chance(sitting, f"{skill} {name}")))
    address, likeness = _fresh(unit, sitting, published, skill, size, position)
    return Drawn(element.id, series, skill, address, likeness)


def _fresh(
    unit: Unit, sitting: Sitting, published: Prepared, skill_id: str, size: str, position: int
) -> tuple[Address, str]:
    """Return a question that this person never had, of those looked at the one put to the fewest people."""
    skill = published.skill(skill_id)
    assert skill is not None  # noqa: S101  # the element classes are made of the skills
    own = sittings.likenesses_of(unit, sitting.person_id, sitting.revision)
    most = policies_room.by_hash(unit, sitting.policy).exposure
    best: tuple[tuple[bool, bool, int], Address, str] | None = None
    look = 0
    while best is None or look < _LOOKS:
        start = int(_chance(sitting, f"{position} {look}")[:8], 16) >> 1
        look += 1
        address = Address(
            sitting.revision, skill.kind, size, drills.seed_for(published.module, skill_id, start)
        )
        if _had(unit, sitting.person_id, address):
            continue
        found = likeness(drills.ask(published.module, address.kind, size or None, address.seed))
        people = sittings.people_asked(unit, found)
        # Where a procedure gives fewer different questions than people were asked, the least worn one it is.
        rank = (found in own, people >= most, people)
        if best is None or rank < best[0]:
            best = (rank, address, found)
        if rank == (False, False, 0):
            break
    return best[1], best[2]


def _had(unit: Unit, person_id: str, address: Address) -> bool:
    return attempts.was_asked(unit, person_id, address) or sittings.was_asked(unit, person_id, address)


def likeness(question: Question) -> str:
    """Return what is the same for two questions that ask the same, whatever the order of their lines and options."""
    told = [
        question.kind,
        question.skill,
        question.size,
        question.ask,
        question.given,
        repr(question.picture),
        *sorted(_texts(asdict(question.form))),
    ]
    return hashlib.sha256("\n".join((question.revision, *told)).encode()).hexdigest()


def _texts(value: Any) -> list[str]:
    """Every text of a form but the letters that only name its lines."""
    if isinstance(value, dict):
        return [text for key, item in value.items() if key != "id" for text in _texts(item)]
    if isinstance(value, list | tuple):
        return [text for item in value for text in _texts(item)]
    return [json.dumps(value, default=repr)]


def _chance(sitting: Sitting, about: str) -> str:
    return hashlib.sha256(f"{sitting.drawn_with}/{about}".encode()).hexdigest()
