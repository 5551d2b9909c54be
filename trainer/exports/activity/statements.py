"""What people did, as activity statements: an item answered, a sitting ended, a job watched, a qualification signed.

The pattern of right responses is left out throughout: there are many right orders of work and often several right
answers, and a pattern that is not exhaustive would make readers call right answers wrong (Part Two, 2.4.4.1). Success
is told by the statement itself. People are told by their number in the register, never by an address.
"""

from __future__ import annotations

import uuid
from datetime import UTC
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from trainer.drills.answer_forms import Arrange
from trainer.exports.activity.done import (
    Answered,
    Decided,
    Evaluated,
    Halted,
    Qualified,
    Sat,
    Undone,
    Watched,
)
from trainer.exports.activity.interaction import interaction

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from trainer.exports.activity.done import Done, Entry

Statement = dict[str, Any]

_VERBS = "http://adlnet.gov/expapi/verbs/"
_ACTIVITIES = "http://adlnet.gov/expapi/activities/"
_LANGUAGE = "en"
_ANY_WORKING_ORDER = (
    "Right is every order in which each step comes after what it needs; right orders are many and not listed. "
    "The credit falls with the lines that have to be moved to come to one."
)
_EVERY_PART = "Right is an answer with nothing wrong in it; the credit is the share that is right."


def statement(done: Done) -> Statement:
    """Return the statement of what was done; the same every time, its id among it."""
    make: Callable[[Any], Statement] = _MAKERS[type(done)]
    return make(done)


def statement_id(entry: Entry, what: str = "") -> str:
    """Return the id of a statement: a UUID of version 5 (RFC 4122, 4.3) made of the entry's address in the log.

    Args:
        entry: the entry.
        what: tells apart the statements that one entry makes.
    """
    return str(uuid.uuid5(uuid.NAMESPACE_URL, f"{entry.home}/log/{entry.number}{what and '#'}{what}"))


def _answered(done: Answered) -> Statement:
    item, home = done.item, done.entry.home
    asked = item.question
    form = interaction(asked.form if asked else None, done.answer)
    result: dict[str, Any] = {
        "success": done.right,
        "completion": True,
        "response": form.response,
        "score": {"scaled": done.credit_thousandths / 1000},
        "extensions": {
            f"{home}/extensions/marking": {
                "rule": _ANY_WORKING_ORDER if asked and isinstance(asked.form, Arrange) else _EVERY_PART,
                "critical": done.critical,
                "told": done.headline,
                "counts": done.counts,
                **form.beside,
            }
        },
    }
    if done.started_at is not None:
        result["duration"] = duration((done.entry.at - done.started_at).total_seconds())
    return {
        **_head(done.entry, done.person, "answered"),
        "object": _activity(
            f"{home}/questions/{item.revision}/{_plain(item.kind)}/{_plain(item.size or 'any')}/{item.seed}",
            "cmi.interaction",
            asked.title if asked else item.skill,
            " ".join(part for part in (asked.ask, asked.given) if part) if asked else "",
            **form.definition,
        ),
        "result": result,
        "context": _context(
            home, item.module, item.revision, done.sitting, {f"{home}/extensions/skill": item.skill}
        ),
    }


def _decided(done: Decided) -> Statement:
    home = done.entry.home
    told = {"attempts": done.attempts, "failures": done.failures, "told": done.sentence}
    return {
        **_head(
            done.entry, done.person, "passed" if done.passed else "failed", f"class/{done.element_class}"
        ),
        "object": _activity(
            f"{home}/modules/{_plain(done.module)}/{done.revision}/classes/{_plain(done.element_class)}",
            "objective",
            done.title,
        ),
        "result": {
            "success": done.passed,
            "completion": True,
            "extensions": {f"{home}/extensions/decision": told},
        },
        "context": _context(home, done.module, done.revision, done.sitting, {}),
    }


def _qualified(done: Qualified) -> Statement:
    home = done.entry.home
    record = {"number": done.number, "valid_until": done.valid_until.isoformat()}
    return {
        **_head(done.entry, done.person, "passed"),
        "object": _activity(
            f"{home}/tasks/{_plain(done.task)}", "performance", f"{done.task} {done.title}".strip()
        ),
        "result": {
            "success": True,
            "completion": True,
            "extensions": {f"{home}/extensions/record": record},
        },
        "context": {"instructor": _agent(home, done.signer), "language": _LANGUAGE},
    }


def _sat(done: Sat) -> Statement:
    home = done.entry.home
    told = {True: "passed", False: "failed", None: "completed"}[done.passed]
    result: dict[str, Any] = {"completion": done.whole}
    if done.passed is not None and not done.broken_off:
        result["success"] = done.passed
    return {
        **_head(done.entry, done.person, "terminated" if done.broken_off else told, "sitting"),
        "object": _activity(f"{home}/sittings/{done.sitting}", "assessment", f"Sitting {done.sitting}"),
        "result": result,
        "context": _context(home, done.module, done.revision, None, {}),
    }


def _watched(done: Watched) -> Statement:
    home = done.entry.home
    told = {"size": done.size, "steps": done.steps}
    return {
        **_head(done.entry, done.person, "completed"),
        "object": _activity(f"{home}/observations/{done.number}", "performance", done.title),
        "result": {
            "success": done.right,
            "completion": True,
            "extensions": {f"{home}/extensions/observation": told},
        },
        "context": {
            "instructor": _agent(home, done.evaluator),
            **_context(home, done.module, done.revision, None, {}),
        },
    }


def _evaluated(done: Evaluated) -> Statement:
    home, right = done.entry.home, done.passed and done.abnormal_passed
    told = {
        "evaluated_on": done.evaluated_on,
        "methods": list(done.methods),
        "abnormal_conditions": done.abnormal_passed,
        "task": done.task,
    }
    return {
        **_head(done.entry, done.person, "passed" if right else "failed"),
        "object": _activity(
            f"{home}/evaluations/{done.number}", "assessment", f"{done.task} {done.title}".strip()
        ),
        "result": {
            "success": right,
            "completion": True,
            "extensions": {f"{home}/extensions/evaluation": told},
        },
        "context": {
            "instructor": _agent(home, done.evaluator),
            **_context(home, done.module, done.revision, None, {}),
        },
    }


def _halted(done: Halted) -> Statement:
    home = done.entry.home
    record = {"number": done.number, "on": done.on}
    return {
        **_head(done.entry, done.person, "terminated" if done.ended else "suspended"),
        "object": _activity(
            f"{home}/tasks/{_plain(done.task)}", "performance", f"{done.task} {done.title}".strip()
        ),
        "result": {"extensions": {f"{home}/extensions/record": record}},
        "context": {"instructor": _agent(home, done.by), "language": _LANGUAGE},
    }


def _undone(done: Undone) -> Statement:
    """2.3.2: a statement never changes; what is undone is said by another one that refers to it, made by who undid it."""
    return {
        **_head(done.entry, done.by, "voided"),
        "object": {"objectType": "StatementRef", "id": statement_id(done.of)},
    }


_MAKERS: Mapping[type, Callable[[Any], Statement]] = {
    Answered: _answered,
    Decided: _decided,
    Qualified: _qualified,
    Sat: _sat,
    Watched: _watched,
    Evaluated: _evaluated,
    Halted: _halted,
    Undone: _undone,
}


def _head(entry: Entry, person: str, verb: str, what: str = "") -> Statement:
    return {
        "id": statement_id(entry, what),
        "actor": _agent(entry.home, person),
        "verb": {"id": f"{_VERBS}{verb}", "display": {_LANGUAGE: verb}},
        "timestamp": moment(entry.at),
    }


def _agent(home: str, person: str) -> Statement:
    return {"objectType": "Agent", "account": {"homePage": home, "name": person}}


def _activity(address: str, kind: str, name: str, description: str = "", **definition: Any) -> Statement:
    words: dict[str, Any] = {"name": {_LANGUAGE: name}, "type": f"{_ACTIVITIES}{kind}"}
    if description:
        words["description"] = {_LANGUAGE: description}
    return {"objectType": "Activity", "id": address, "definition": {**words, **definition}}


def _context(
    home: str, module: str, revision: str, sitting: int | None, extensions: Mapping[str, Any]
) -> Statement:
    around: dict[str, Any] = {"parent": [{"id": f"{home}/modules/{_plain(module)}/{revision}"}]}
    if sitting is not None:
        around["grouping"] = [
            {"id": f"{home}/sittings/{sitting}", "definition": {"type": f"{_ACTIVITIES}assessment"}}
        ]
    context: dict[str, Any] = {
        "contextActivities": around,
        "revision": revision,
        "language": _LANGUAGE,
    }
    return {**context, "extensions": dict(extensions)} if extensions else context


def moment(at: datetime) -> str:
    """Return a time as RFC 3339 in UTC to the millisecond (Part Two, 4.5)."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def duration(seconds: float) -> str:
    """Return a span of time as ISO 8601 to the hundredth of a second (Part Two, 4.6); below nothing is nothing."""
    return f"PT{max(seconds, 0.0):.2f}".rstrip("0").rstrip(".") + "S"


def _plain(text: str) -> str:
    return quote(text, safe="")
