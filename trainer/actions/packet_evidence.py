"""What stands behind a qualification record, gathered for the inspector's packet from the register and the log."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.actions import policy, rounds
from trainer.actions.published import prepared
from trainer.drills.answer_forms import NextStep
from trainer.errors import TrainerError
from trainer.exports.evidence import (
    AnsweredQuestion,
    Behind,
    ObservationShown,
    PaperShown,
    PolicyShown,
    RevisionShown,
    Right,
    Told,
)
from trainer.records import canonical
from trainer.store import (
    events,
    modules,
    observations,
    people,
    photographs,
    policies,
    qualifications,
    sittings,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from trainer.competency.rounds import Round
    from trainer.drills.question import Question
    from trainer.exports.packets import RecordPacket
    from trainer.records.qualification import QualificationRecord
    from trainer.store.earlier import Earlier
    from trainer.store.events import Event
    from trainer.store.observations import Observation
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Unit

_ANSWER, _SIGN = "sitting:answer", "qualification:sign"
_EVALUATION, _CLOSE = "evaluation:record", "observation:close"
_SITTING = ("sitting:release", "sitting:begin", "sitting:time_up", "sitting:break_off")
_LIFE = (
    *("qualification:suspend", "qualification:lift", "qualification:withdraw", "qualification:stop"),
    *("qualification:change_shown", "qualification:change_not_shown"),
)
_PUBLISH, _READ = "module:publish", "notice:read"
_PEOPLE = ("people:add", "people:change")
_CHECKED = "earlier:check"
_EARLIER = ("earlier:transcribe", _CHECKED, "earlier:withdraw")
_WANTED = (
    *(_SIGN, _EVALUATION, _CLOSE, _PUBLISH, _READ, policy.POLICY_SET, policy.POLICY_KEPT),
    *(*_SITTING, *_LIFE, *_PEOPLE, *_EARLIER),
)


@dataclass(frozen=True)
class Log:
    """The entries that can stand behind a record, answers left out, by their actions; and everybody's name by number."""

    by_action: Mapping[str, tuple[Told, ...]]
    names: Mapping[str, str]

    def of(self, *actions: str, **wanted: Any) -> tuple[Told, ...]:
        """Return the entries of some actions whose payload holds what is wanted, the earliest first."""
        found = [
            told
            for action in actions
            for told in self.by_action.get(action, ())
            if all(told.payload.get(name) == value for name, value in wanted.items())
        ]
        return tuple(sorted(found, key=lambda told: told.number))


def read_log(unit: Unit) -> Log:
    """Return the entries that can stand behind records."""
    names = {person.id: person.display_name for person in people.everybody(unit, with_retired=True)}
    found: dict[str, list[Told]] = {}
    for event in events.by_action(unit, _WANTED):
        found.setdefault(event.action, []).append(_told(event, names))
    return Log({action: tuple(told) for action, told in found.items()}, names)


def _told(event: Event, names: Mapping[str, str]) -> Told:
    by = names.get(event.person_id, event.person_id)
    return Told(event.number, event.at, event.person_id, by, event.action, canonical.read(event.payload))


def behind(unit: Unit, log: Log, kept: Qualification, record: QualificationRecord) -> Behind:
    """Return what stands behind a record, and what came after it."""
    evaluation = next(iter(log.of(_EVALUATION, evaluation=kept.evaluation_id)), None)
    seen = tuple(_observations(unit, log, record))
    answers = tuple(_answers(unit, record))
    sat = {one.sitting for one in answers}
    after = [told for told in log.of(_PUBLISH, module=record.module) if told.at > kept.signed_at]
    read = log.of(_READ, module=record.module, signed_under=record.revision)
    followed = [told for told in log.of(_SIGN) if told.payload["record"]["supersedes"] == kept.number]
    return Behind(
        evaluation=evaluation,
        rights=tuple(_rights(unit, log, record, evaluation, seen)),
        observations=seen,
        sittings=tuple(told for told in log.of(*_SITTING) if told.payload["sitting"] in sat),
        answers=answers,
        life=(*log.of(*_LIFE, person=kept.person_id, qualification=kept.number), *followed),
        notices=(*after, *(told for told in read if told.person == kept.person_id)),
    )


def _answers(unit: Unit, record: QualificationRecord) -> Iterator[AnsweredQuestion]:
    """Yield what the person answered in sittings at the revision, in the round that the record ended."""
    of_it = _round_of(unit, record)
    asked = {
        (one.sitting_id, one.position): one.answer
        for sat in sittings.of_person(unit, record.person_id, record.module)
        if sat.revision == record.revision
        for one in sittings.questions(unit, sat.id)
        if one.answer is not None and one.answer.at <= record.supervisor.at and of_it.counts(one.answer.at)
    }
    for event in events.of_person(unit, record.person_id, (_ANSWER,)):
        told = canonical.read(event.payload)
        kept = asked.get((told["sitting"], told["position"]))
        if kept is not None and "question" in told:
            yield AnsweredQuestion(
                entry=event.number,
                sitting=told["sitting"],
                position=told["position"],
                at=event.at,
                question=told["question"],
                answer=told["answer"],
                mark=kept.mark,
                asked=asked_again(unit, told["question"], told["answer"]),
            )


def asked_again(unit: Unit, question: Mapping[str, Any], answer: Any) -> tuple[Question, ...]:
    """Return a question as this program makes it again, each moment of a run; nothing where it comes out otherwise."""
    module = prepared(unit, question["revision"]).module
    where = (module, question["kind"], question["size"] or None, question["seed"])
    try:
        first = drills.ask(*where)
        if canonical.written(first.as_data()) != canonical.written(dict(question)):
            return ()
        moments = [first]
        if isinstance(first.form, NextStep):
            later = (drills.go_on(*where, answer[:count]) for count in range(1, len(answer)))
            moments += [moment for moment in later if moment is not None]
    except TrainerError:
        return ()
    return tuple(moments)


def _round_of(unit: Unit, record: QualificationRecord) -> Round:
    return rounds.of_person(unit, record.person_id, record.task, before=record.supervisor.at)


def _observations(unit: Unit, log: Log, record: QualificationRecord) -> Iterator[ObservationShown]:
    of_it = _round_of(unit, record)
    for seen in reversed(observations.closed_of(unit, record.person_id, record.module)):
        if (
            seen.revision == record.revision
            and seen.closed_at
            and seen.closed_at <= record.supervisor.at
            and of_it.counts(seen.begun_at)
        ):
            entry = next(iter(log.of(_CLOSE, observation=seen.id)), None)
            yield ObservationShown(
                entry=entry.number if entry else 0,
                number=seen.id,
                written=seen.record_text,
                record=seen.record,
                steps={step.id: step.do for step in prepared(unit, seen.revision).module.steps.values()},
                photographs=dict(_photographs(unit, seen)),
            )


def _photographs(unit: Unit, seen: Observation) -> Iterator[tuple[str, bytes]]:
    for one in seen.record["photographs"]:
        found = photographs.of_observation_by_hash(unit, seen.id, one["sha256"])
        if found is not None:
            yield one["sha256"], found.data


def _rights(
    unit: Unit,
    log: Log,
    record: QualificationRecord,
    evaluation: Told | None,
    seen: Iterable[ObservationShown],
) -> Iterator[Right]:
    """Yield by what right each evaluator evaluated: under a record, a transcribed paper, or an appointment."""
    told = [(one.record["evaluator"], one.record["basis"], one.entry) for one in seen]
    if evaluation is not None:
        told.append((record.evaluator.person, evaluation.payload["basis"], evaluation.number))
    for person, basis, before in dict.fromkeys(told):
        own = next((one for one in qualifications.of_person(unit, person) if one.number in basis), None)
        paper = next((one for one in log.of(_CHECKED) if str(one.payload["number"]) in basis), None)
        appointed = [one for one in log.of(*_PEOPLE) if _appoints(one, person) and one.number < before]
        shown_by = paper or (appointed[-1] if appointed and own is None else None)
        yield Right(
            who=log.names.get(person, person),
            basis=basis,
            record=own.number if own else "",
            entry=shown_by.number if shown_by else 0,
        )


def paper(log: Log, kept: Earlier) -> PaperShown:
    """Return what was transcribed from an earlier paper, with the entries that tell of it."""
    number = kept.record.number
    written = [told for told in log.of(_EARLIER[0]) if told.payload["record"]["number"] == number]
    lived = log.of(*_LIFE, qualification=number)
    return PaperShown(kept.record, (*written, *log.of(*_EARLIER[1:], number=number), *lived))


def _appoints(told: Told, person: str) -> bool:
    return told.payload.get("person") == person and bool(told.payload.get("evaluator"))


def revisions(unit: Unit, log: Log, named: Iterable[str]) -> Iterator[RevisionShown]:
    """Yield procedures as they were published, each once."""
    for revision in sorted(set(named)):
        text = modules.text(unit, revision)
        if text is not None:
            module = prepared(unit, revision).module
            published = next(iter(log.of(_PUBLISH, revision=revision)), None)
            yield RevisionShown(revision, text.file, text.source, text.canonical, module, published)


def policies_of(
    unit: Unit, log: Log, records: Iterable[RecordPacket], found: Iterable[Behind]
) -> Iterator[PolicyShown]:
    """Yield the numbers that decided: those of each element class, and those under which sittings were released."""
    named = {one.policy for proven in records for one in proven.record.classes}
    named |= {
        str(told.payload["policy"]) for one in found for told in one.sittings if "policy" in told.payload
    }
    for sha256 in sorted(named - {""}):
        kept = policies.by_hash(unit, sha256)
        if kept is not None:
            set_by = log.of(policy.POLICY_KEPT, policy.POLICY_SET, policy=sha256)
            yield PolicyShown(sha256, kept.written, set_by)


def entries_of(
    found: Iterable[Behind], revisions_shown: Iterable[RevisionShown], numbers: Iterable[PolicyShown]
) -> set[int]:
    """Return the numbers of all entries that something of a packet refers to."""
    listed = {told.number for shown in numbers for told in shown.set_by}
    listed |= {shown.published.number for shown in revisions_shown if shown.published}
    for one in found:
        listed |= {told.number for told in (*one.sittings, *one.life, *one.notices)}
        listed |= {answered.entry for answered in one.answers}
        listed |= {seen.entry for seen in one.observations}
        listed |= {right.entry for right in one.rights}
        listed |= {one.evaluation.number} if one.evaluation else set()
    return listed
