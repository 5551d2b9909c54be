"""Rows about a person that are evidence: practice, sittings, the bench, evaluations, qualifications and their life."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.actions import observe
from trainer.actions.kept_rows import day_of, moment_of
from trainer.actions.published import prepared
from trainer.errors import TrainerError
from trainer.exports.question_words import in_words
from trainer.records import canonical
from trainer.store import (
    attempts,
    changes,
    earlier,
    evaluations,
    events,
    life_events,
    observations,
    photographs,
    qualifications,
    sittings,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.actions.kept_rows import Of
    from trainer.store.attempts import Address
    from trainer.store.session import Unit
    from trainer.store.sittings import Sitting


def practice(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each answer in practice with its question."""
    for kept in attempts.every_of(of.unit, of.person.id):
        asked = _asked(of.unit, kept.address)
        yield {
            "number": kept.id,
            "module": kept.module_id,
            **_address(kept.address),
            "skill": kept.skill,
            "started_at": moment_of(kept.started_at),
            "at": moment_of(kept.at),
            "counts": kept.counts,
            **_answer(asked, kept.answer, kept.mark),
            "critical": kept.critical,
            "credit_thousandths": kept.credit_thousandths,
        }


def _address(address: Address) -> dict[str, Any]:
    return {
        "revision": address.revision,
        "kind": address.kind,
        "size": address.size,
        "seed": address.seed,
    }


def _answer(question: Mapping[str, Any], answer: Any, mark: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "right": bool(mark.get("right")),
        "words": in_words(question, answer, mark),
        "question": dict(question),
        "answer": answer,
        "mark": dict(mark),
    }


def _asked(unit: Unit, address: Address) -> dict[str, Any]:
    """Return the question, empty where a revision or a kind of drill is gone."""
    try:
        module = prepared(unit, address.revision).module
        return drills.ask(module, address.kind, address.size or None, address.seed).as_data()
    except TrainerError:
        return {}


def sat(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each sitting."""
    for one in reversed(sittings.of_person(of.unit, of.person.id)):
        end = one.end
        yield {
            "number": one.id,
            "module": one.module_id,
            "revision": one.revision,
            "policy": one.policy,
            "shown": one.shown,
            "skills": one.skills,
            "because": one.because,
            "released_by": of.name(one.released_by),
            "released_at": moment_of(one.released_at),
            "ended": end.how.value if end else "not yet",
            "ended_at": moment_of(end.at) if end else "",
            "ended_because": end.because if end else "",
            "results": [dict(item) for item in end.results] if end else [],
            "sentences": [item["sentence"] for item in end.results] if end else [],
        }


def sat_answers(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each answer of the sittings that are over."""
    as_asked = {}
    for event in events.of_person(of.unit, of.person.id, ("sitting:answer",)):
        told = canonical.read(event.payload)
        as_asked[told["sitting"], told["position"]] = told.get("question")
    for sat in reversed(sittings.of_person(of.unit, of.person.id)):
        if sat.end is not None:
            yield from _answers_of(of, sat, as_asked)


def _answers_of(of: Of, sat: Sitting, as_asked: Mapping[tuple[int, int], Any]) -> Iterator[Mapping[str, Any]]:
    for one in sittings.questions(of.unit, sat.id):
        asked = as_asked.get((sat.id, one.position)) or _asked(of.unit, one.address)
        head = {
            "sitting": sat.id,
            "position": one.position,
            "element_class": one.element_class,
            "series": one.series,
            "skill": one.skill,
            **_address(one.address),
            "asked_at": moment_of(one.asked_at),
        }
        if one.answer is None:
            yield {**head, "at": "", "right": False, "words": ["Not answered."], "question": asked}
        else:
            answered = _answer(asked, one.answer.answer, one.answer.mark)
            yield {**head, "at": moment_of(one.answer.at), "critical": one.answer.critical, **answered}


def observed(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield what was seen at the bench."""
    for seen in reversed(observations.ended_of(of.unit, of.person.id)):
        entries = observations.entries_of(of.unit, seen.id)
        yield {
            "number": seen.id,
            "module": seen.module_id,
            "revision": seen.revision,
            "task": seen.task_id,
            "size": seen.size,
            "evaluator": of.name(seen.evaluator_id),
            "begun_at": moment_of(seen.begun_at),
            "filled_on": day_of(seen.filled_on),
            "transcribed_by": of.name(seen.transcribed_by) if seen.transcribed_by else "",
            "closed_at": moment_of(seen.closed_at),
            "given_up_at": moment_of(seen.given_up_at),
            "given_up_because": seen.given_up_because,
            "record": dict(seen.record),
            "entries": [observe.as_data(one) for one in entries],
            "photographs": [
                observe.photograph_data(one) for one in photographs.of_observation(of.unit, seen.id)
            ],
            "marks": [" ".join(filter(None, (one.step, one.mark or "", one.note))) for one in entries],
            "result": seen.record.get("result", ""),
        }


def evaluated(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each evaluation."""
    for kept in reversed(evaluations.of_person(of.unit, of.person.id)):
        under = observations.under(of.unit, kept.id)
        yield {
            "number": kept.id,
            "task": kept.task_id,
            "module": kept.module_id,
            "revision": kept.revision,
            "evaluated_on": day_of(kept.evaluated_on),
            "methods": [method.words for method in kept.methods],
            "abnormal_conditions": list(kept.abnormal_conditions),
            "abnormal_passed": kept.abnormal_passed,
            "passed": kept.passed,
            "result": kept.note,
            "evaluator": kept.evaluator_name,
            "basis": kept.basis,
            "meaning": kept.meaning,
            "observation": under.id if under else None,
            "at": moment_of(kept.at),
        }


def qualified(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each qualification."""
    for kept in reversed(qualifications.of_person(of.unit, of.person.id)):
        yield {
            "number": kept.number,
            "task": kept.task_id,
            "evaluation": kept.evaluation_id,
            "evaluated_on": day_of(kept.evaluated_on),
            "valid_from": day_of(kept.valid_from),
            "valid_until": day_of(kept.valid_until),
            "signed_by": kept.signer_name,
            "signed_at": moment_of(kept.signed_at),
            "meaning": kept.meaning,
            "supersedes": kept.supersedes,
            "ended_on": day_of(kept.ended_on),
            "ended_because": kept.ended_because,
            "record": dict(kept.record),
        }


def on_paper(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each record brought on paper."""
    for kept in reversed(earlier.of_person(of.unit, of.person.id)):
        record, check = kept.record, kept.check
        yield {
            "number": record.number,
            "task": record.task,
            "paper": record.paper,
            "issued_by": record.issued_by,
            "valid_from": day_of(record.valid_from),
            "valid_until": day_of(record.valid_until),
            "stands": kept.stands,
            "checked_by": check.name if check else "",
            "checked_at": moment_of(check.at) if check else "",
            "turned_down_because": check.turned_down_because if check else "",
            "ended_on": day_of(kept.ended_on),
            "ended_because": kept.ended_because,
            "record": record.as_data(),
        }


def happened(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield what happened to the qualifications."""
    for event in life_events.of_person(of.unit, of.person.id):
        yield {
            "number": event.id,
            "task": event.task_id,
            "what": event.act.value,
            "cause": event.cause.words if event.cause else "",
            "on": day_of(event.on),
            "reason": event.reason,
            "qualification": event.number,
            "by": event.by_name,
            "at": moment_of(event.at),
        }


def to_show(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each change that had to be shown anew, with what became of it."""
    for demand in changes.of_person(of.unit, of.person.id):
        yield {
            "number": demand.id,
            "task": demand.task_id,
            "qualification": demand.number,
            "module": demand.module_id,
            "revision": demand.revision,
            "classes": list(demand.classes),
            "reason": demand.reason,
            "due": day_of(demand.due),
            "by": demand.by_name,
            "at": moment_of(demand.at),
            "came_to": [
                {
                    "number": step.id,
                    "what": step.act.value,
                    "on": day_of(step.on),
                    "reason": step.reason,
                    "by": step.by_name,
                    "at": moment_of(step.at),
                    "evidence": dict(step.evidence),
                }
                for step in demand.steps
            ],
        }
