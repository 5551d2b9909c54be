"""Where somebody stands in a procedure: what counts in this round, under the numbers each series began with."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from trainer.actions import bench, rounds
from trainer.actions import policy as policies_room
from trainer.actions.published import prepared
from trainer.competency.readiness import Counted, Readiness, class_readiness
from trainer.competency.rounds import Round
from trainer.competency.sequential import Decision
from trainer.competency.skill_classes import SkillClass
from trainer.records.qualification import ClassShown
from trainer.store import sittings

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from datetime import datetime

    from trainer.actions.policy import InForce
    from trainer.actions.published import Prepared
    from trainer.competency.policy import Policy
    from trainer.competency.readiness import ClassReadiness
    from trainer.competency.skill_classes import ElementClass
    from trainer.competency.witnessed import Witnessed
    from trainer.store.session import Unit
    from trainer.store.sittings import SatMark, Sitting


# 49 CFR 192.803 asks for them of everybody who is qualified; where no drill does, the evaluator has to.
_BY_THE_EVALUATOR_ALONE = (
    "No drill of this procedure asks about abnormal conditions; the evaluator alone went through them."
)


@dataclass(frozen=True)
class Assessed:
    """Where somebody stands in a round, and for each element class the policy that its series is decided by.

    `failed` has, for each class whose newest series since the last signature ended as not ready, when it did.
    """

    readiness: Readiness
    policies: Mapping[str, InForce]
    this_round: Round = field(default_factory=Round)
    failed: Mapping[str, datetime] = field(default_factory=dict)

    @property
    def is_begun(self) -> bool:
        """At least one attempt counts."""
        return any(item.attempts for item in self.readiness.classes)

    @property
    def since(self) -> datetime | None:
        """When the last class came to its decision, None while one is open."""
        days = [item.decided_at for item in self.readiness.classes]
        return max((day for day in days if day is not None), default=None) if all(days) else None

    @property
    def statement(self) -> str:
        """What a record and a signature rest on, in words; and who alone judged the abnormal conditions, if so."""
        asked = any(item.element.skill_class is SkillClass.ABNORMAL for item in self.readiness.classes)
        return self.readiness.sentence + ("" if asked else f" {_BY_THE_EVALUATOR_ALONE}")

    def on_record(self) -> tuple[ClassShown, ...]:
        """Return what a signed record says of each class."""
        return tuple(self._shown(item) for item in self.readiness.classes)

    def _shown(self, item: ClassReadiness) -> ClassShown:
        found = self.policies[item.element.id]
        numbers = found.policy.of(item.element.skill_class)
        return ClassShown(
            title=item.element.title,
            weight=item.element.skill_class.value,
            series=item.series,
            attempts=item.attempts,
            failures=item.failures,
            witnessed=item.witnessed,
            decided_on=item.decided_at.date() if item.decided_at else None,
            poor=str(numbers.poor),
            of_risk=str(numbers.false_pass),
            policy=found.sha256,
            sentence=item.sentence,
        )


def of_person(
    unit: Unit,
    person_id: str,
    revision: str,
    *,
    late: tuple[int, datetime] | None = None,
    only: frozenset[str] | None = None,
) -> Assessed:
    """Return where a person stands at a revision in the round that runs; practice counts for nothing here.

    Args:
        unit: the transaction.
        person_id: whose evidence.
        revision: the revision.
        late: number of a sitting whose time is up, and since when; its open question has failed.
        only: the ids of the element classes that a change touches; None for all, with the work at the bench.
    """
    published = prepared(unit, revision)
    marks = sittings.marks(unit, person_id, revision, late=late)
    seen = bench.witnessed_of(unit, person_id, published.module.id, revision)
    return assessed(
        published,
        marks,
        seen,
        policies_room.in_force(unit),
        lambda sha256: policies_room.by_hash(unit, sha256),
        rounds.of_person(unit, person_id, published.module.covered_task),
        only=only,
    )


def of_sitting(unit: Unit, sitting: Sitting, *, late: datetime | None = None) -> Assessed:
    """Return where a person stands in what a sitting is about; `late` is since when its time is up."""
    return of_person(
        unit,
        sitting.person_id,
        sitting.revision,
        late=None if late is None else (sitting.id, late),
        only=frozenset(sitting.classes) or None,
    )


def assessed(
    published: Prepared,
    marks: Sequence[SatMark],
    seen: Sequence[Witnessed],
    now_in_force: InForce,
    by_hash: Callable[[str], Policy],
    this_round: Round,
    only: frozenset[str] | None = None,
) -> Assessed:
    """Return where somebody stands by evidence alone: the same evidence gives the same decision at any later date.

    Args:
        published: the revision.
        marks: what sittings say, in the order in which the questions were asked.
        seen: what closed observations say, the earliest first.
        now_in_force: the policy that a series begun now would get.
        by_hash: gives the policy that a sitting was released under.
        this_round: what counts, and which series are spent.
        only: the ids of the element classes that a change touches, which questions alone decide; None for all.
    """
    known = {now_in_force.sha256: now_in_force}

    def named(sha256: str) -> InForce:
        if sha256 not in known:
            known[sha256] = policies_room.InForce(by_hash(sha256), sha256)
        return known[sha256]

    stretches = [_in_stretch(number, this_round, marks, seen) for number in range(this_round.stretches)]
    classes: list[ClassReadiness] = []
    found: dict[str, InForce] = {}
    failed: dict[str, datetime] = {}
    for element in published.elements:
        if only is not None and element.id not in only:
            continue
        first, failed_at = 1, None
        for marks_here, seen_here in stretches:
            begun_under = _first_of_newest_series(element, marks_here, first)
            numbers = named(begun_under.policy if begun_under else now_in_force.sha256)
            mine = [*_asked_of(element, marks_here), *_seen_of(element, marks_here, seen_here, first)]
            mine.sort(key=lambda one: one.at)
            asked_alone = only is not None or not published.seen_in_work & set(element.skills)
            item = class_readiness(element, mine, _numbers_for(numbers.policy, asked_alone), first=first)
            if item.attempts:
                first = item.series + 1
                failed_at = item.decided_at if item.decision is Decision.NOT_READY else None
        classes.append(item)
        found[element.id] = numbers
        if failed_at is not None:
            failed[element.id] = failed_at
    return Assessed(Readiness(tuple(classes)), found, this_round, failed)


def _in_stretch(
    number: int, this_round: Round, marks: Iterable[SatMark], seen: Iterable[Witnessed]
) -> tuple[list[SatMark], list[Witnessed]]:
    """Work that was begun before a signature or a break and signed for after it belongs to neither side."""
    return (
        [mark for mark in marks if this_round.stretch_of(mark.at) == number],
        [one for one in seen if {this_round.stretch_of(at) for at in (one.begun, one.at)} == {number}],
    )


def _numbers_for(policy: Policy, asked_alone: bool) -> Policy:
    """What only questions can show is never seen at the bench; to ask for it there would shut everybody out."""
    if not asked_alone:
        return policy
    return replace(policy, critical_observed=0, ordinary_observed=0, abnormal_observed=0)


def _first_of_newest_series(element: ElementClass, marks: Iterable[SatMark], first: int) -> SatMark | None:
    """A series keeps the numbers that it began with; the risks of a plan hold for the whole of it only."""
    mine = [mark for mark in marks if mark.skill in element.skills and mark.series >= first]
    newest = max((mark.series for mark in mine), default=0)
    return next((mark for mark in mine if mark.series == newest), None)


def _asked_of(element: ElementClass, marks: Iterable[SatMark]) -> list[Counted]:
    return [
        Counted(
            skill=mark.skill,
            series=mark.series,
            right=mark.right,
            critical=mark.critical,
            at=mark.at,
            question=f"{mark.sitting_id}/{mark.position}",
        )
        for mark in marks
        if mark.skill in element.skills
    ]


def _seen_of(
    element: ElementClass, marks: Sequence[SatMark], seen: Iterable[Witnessed], first: int
) -> list[Counted]:
    """What was seen at the bench belongs to the series that was running at the time."""
    return [
        Counted(
            skill=one.skill,
            series=max(
                (
                    first,
                    *(mark.series for mark in marks if mark.skill in element.skills and mark.at <= one.at),
                )
            ),
            right=one.right,
            critical=one.critical,
            at=one.at,
            witnessed=True,
        )
        for one in seen
        if one.skill in element.skills
    ]
