"""Decisions worked out again from the log alone: same entries, same decision, at any later date.

Nothing here asks a table: who was released for a sitting under which numbers, what was answered and what was seen at the bench
all stand in the log's own entries, and a procedure is named there by the hash of its text.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING, Any

from trainer.actions import changes, confirm_change, kept_record, ledger, readiness
from trainer.actions.covered_tasks import TASK_CHANGED, TASK_REGISTERED
from trainer.actions.permissions import Permission
from trainer.actions.policy import POLICY_KEPT, POLICY_SET, InForce
from trainer.actions.published import prepared
from trainer.competency import policy as numbers_of
from trainer.competency.rounds import round_after
from trainer.competency.witnessed import Witnessed, of_one_job
from trainer.dates import add_months
from trainer.records import canonical
from trainer.records.audit import Trouble
from trainer.records.methods import Method, why_not_enough
from trainer.records.qualification import CoveredTask
from trainer.store import events
from trainer.store.sittings import SatMark

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from trainer.actions.actor import Actor
    from trainer.actions.published import Prepared
    from trainer.actions.readiness import Assessed
    from trainer.competency.policy import Policy
    from trainer.records.qualification import QualificationRecord
    from trainer.store.events import Event
    from trainer.store.session import Database, Unit

_Whose = tuple[str, str]
_BREAKS = (
    "qualification:suspend",
    "qualification:withdraw",
    "qualification:stop",
    "earlier:withdraw",
    changes.FAILED,
)


@dataclass(frozen=True)
class Replayed:
    """How many signed decisions were worked out again, and those that came to something else.

    `destroyed` counts those whose entries were destroyed after their time, so that nothing can be worked out.
    """

    decisions: int
    troubles: tuple[Trouble, ...]
    destroyed: int = 0


@dataclass(frozen=True)
class Asked:
    """A change that somebody has to show: of which revision, and which of its element classes."""

    person: str
    revision: str
    classes: tuple[str, ...]


@dataclass
class Evidence:
    """What the entries so far say: by person and revision, and of signatures and breaks by person and task."""

    _policies: dict[str, Policy] = field(default_factory=dict)
    _in_force: str = ""
    _tasks: dict[str, CoveredTask] = field(default_factory=dict)
    _sittings: dict[int, tuple[_Whose, str]] = field(default_factory=dict)
    _marks: dict[_Whose, dict[tuple[int, int], SatMark]] = field(default_factory=dict)
    _jobs: dict[int, int] = field(default_factory=dict)
    _seen: dict[_Whose, dict[tuple[int, str], Witnessed]] = field(default_factory=dict)
    _demands: dict[int, Asked] = field(default_factory=dict)
    _begun: dict[int, datetime] = field(default_factory=dict)
    _signed: dict[_Whose, list[datetime]] = field(default_factory=dict)
    _breaks: dict[_Whose, dict[int, datetime]] = field(default_factory=dict)

    def take(self, event: Event) -> None:
        """Take in the next entry of the log."""
        told = canonical.read(event.payload)
        if event.action in (POLICY_SET, POLICY_KEPT):
            self._policies[told["policy"]] = numbers_of.read(told["numbers"])
            self._in_force = told["policy"]
        elif event.action == TASK_REGISTERED:
            self._tasks |= {one["id"]: CoveredTask.read(one) for one in told["tasks"]}
        elif event.action == TASK_CHANGED:
            self._tasks[told["task"]] = CoveredTask.read(told["after"])
        elif event.action == "sitting:release":
            self._sittings[told["sitting"]] = (told["person"], told["revision"]), told["policy"]
        elif event.action == "sitting:answer":
            self._mark(told, told, event.at)
        elif event.action == "sitting:time_up" and told["failed"]:
            failed = {**told["failed"], "right": False, "critical": False}
            self._mark(told, failed, datetime.fromisoformat(told["since"]))
        elif event.action in ("observation:begin", "observation:transcribe"):
            self._jobs[told["observation"]] = told.get("beside") or told["observation"]
            filled_on = told.get("filled_on")
            self._begun[told["observation"]] = _morning_of(filled_on) if filled_on else event.at
        elif event.action == "observation:close":
            self._watch(told, event.at)
        else:
            self._turn(event, told)

    def _turn(self, event: Event, told: Mapping[str, Any]) -> None:
        """Take in what begins a round, what breaks one off, and what a revision asks."""
        if event.action == ledger.SIGNED:
            record = told["record"]
            self._signed.setdefault((record["person_id"], record["task"]), []).append(event.at)
        # Before papers lived as our own do, withdrawing one broke nothing, and its entry named no task.
        elif event.action in _BREAKS and "task" in told:
            # What a supervisor suspended is named by its number, so that lifting can take it back.
            broken = self._breaks.setdefault((told["person"], told["task"]), {})
            broken[told.get("event", -event.number)] = event.at
        elif event.action == "qualification:lift":
            self._breaks[told["person"], told["task"]].pop(told["about"], None)
        elif event.action == "module:publish":
            for asked in told.get("asked", ()):
                self._demands[asked["demand"]] = Asked(
                    asked["person"], told["revision"], tuple(told["classes"])
                )

    def _mark(self, told: Mapping[str, Any], asked: Mapping[str, Any], at: datetime) -> None:
        whose, policy = self._sittings[told["sitting"]]
        place = told["sitting"], asked["position"]
        self._marks.setdefault(whose, {})[place] = SatMark(
            *place,
            policy,
            asked["element_class"],
            asked["series"],
            asked["skill"],
            asked["right"],
            asked["critical"],
            at,
        )

    def _watch(self, told: Mapping[str, Any], at: datetime) -> None:
        of_job = self._seen.setdefault((told["person"], told["revision"]), {})
        job = self._jobs.get(told["observation"], told["observation"])
        begun = self._begun.get(told["observation"], at)
        for item in told["record"]["witnessed"]:
            one = Witnessed(item["skill"], item["right"], item["critical"], begun, at)
            of_job[job, one.skill] = of_one_job(of_job.get((job, one.skill), one), one)

    def assessed(
        self, person_id: str, published: Prepared, *, only: frozenset[str] | None = None
    ) -> Assessed:
        """Return where a person stood when the last entry was written; `only` names classes that a change touches."""
        whose, task = (person_id, published.module.revision), (person_id, published.module.covered_task)
        marks = self._marks.get(whose, {})
        seen = self._seen.get(whose, {})
        return readiness.assessed(
            published,
            [marks[place] for place in sorted(marks)],
            sorted(seen.values(), key=lambda one: one.at),
            InForce(self._policies[self._in_force], self._in_force),
            self._policies.__getitem__,
            round_after(self._signed.get(task, ()), self._breaks.get(task, {}).values()),
            only=only,
        )

    def why_not_evaluated(self, told: Mapping[str, Any]) -> str | None:
        """Return why an evaluation could not be made by its methods when it was written down, or None."""
        methods, task = [Method(name) for name in told["methods"]], self._tasks.get(told["task"])
        return why_not_enough(methods) or (task and task.conditions.methods.why_not(methods, task.id)) or None

    def why_not_as_set(self, signed: QualificationRecord) -> str | None:
        """Return what a record says otherwise than its task was set when it was signed, or None."""
        task = self._tasks.get(signed.task)
        if task is None:
            return None
        if signed.interval_months != task.interval_months:
            return f"its interval is {signed.interval_months} months, {task.interval_months} were set"
        if signed.valid_until != add_months(signed.evaluated_on, task.interval_months):
            return "its last day is not the evaluation and the interval"
        if signed.conditions not in (None, task.conditions):
            return "its conditions are not those that were set"
        return task.conditions.methods.why_not(signed.methods, task.id)

    def asked(self, demands: Iterable[int]) -> tuple[Asked, ...]:
        """Return what was asked with the publication of revisions, by the numbers of the demands."""
        return tuple(self._demands[number] for number in demands if number in self._demands)


def _morning_of(day: str) -> datetime:
    """A card says the day alone; its work is taken for begun when the day did, as `actions/transcribe.py` keeps it."""
    return datetime.combine(date.fromisoformat(day), time(), tzinfo=UTC)


def decisions(db: Database, actor: Actor) -> Replayed:
    """Work out every signed decision again from the entries before it, and hold it against what was signed.

    Evaluations and records are judged by what was set for their task at that entry, whatever is set later.
    """
    actor.must(Permission.LEDGER_READ)
    evidence, troubles, done, destroyed = Evidence(), [], 0, 0
    with db.reading() as unit:
        for event in events.since(unit):
            if event.is_destroyed:
                destroyed += event.action == ledger.SIGNED
                continue
            if event.action == "evaluation:record":
                told = canonical.read(event.payload)
                why = evidence.why_not_evaluated(told)
                if why:
                    words = f"Evaluation {told['evaluation']} does not fit what was set for its task: {why}"
                    troubles.append(Trouble(event.number, words))
            if event.action == confirm_change.CONFIRMED:
                done += 1
                troubles += _of_confirmation(unit, evidence, event)
            if event.action != ledger.SIGNED:
                evidence.take(event)
                continue
            signed = kept_record.restored(canonical.read(event.payload)["record"])
            why = evidence.why_not_as_set(signed)
            if why:
                words = f"Record {signed.number} does not fit what was set for its task: {why}"
                troubles.append(Trouble(event.number, words))
            # Those without classes were signed before sittings decided.
            if signed.classes:
                done += 1
                found = evidence.assessed(signed.person_id, prepared(unit, signed.revision))
                if (found.on_record(), found.statement) != (signed.classes, signed.statement):
                    words = f"Record {signed.number} says something else than the entries before it: {found.statement}"
                    troubles.append(Trouble(event.number, words))
            # A signature begins the next round; it stands on what came before it.
            evidence.take(event)
    return Replayed(done, tuple(troubles), destroyed)


def _of_confirmation(unit: Unit, evidence: Evidence, event: Event) -> list[Trouble]:
    """Hold a confirmed change against what was asked and what was shown of it."""
    told = canonical.read(event.payload)
    kept, person_id = told["evidence"], told["person"]
    published = prepared(unit, kept["revision"])
    demands = [step["demand"] for step in told["steps"]]
    asked = evidence.asked(demands)
    wanted = changes.touched(unit, published, asked)
    found = evidence.assessed(person_id, published, only=frozenset(element.id for element in wanted))
    agrees = (
        len(asked) == len(demands)
        and {one.person for one in asked} == {person_id}
        and kept["classes"] == [element.id for element in wanted]
        and kept["statement"] == changes.statement_of(found)
        and kept["shown"] == changes.shown_data(found)
        and found.readiness.passed
    )
    words = f"The change confirmed for {person_id} says something else than the entries before it: "
    return [] if agrees else [Trouble(event.number, words + changes.statement_of(found))]
