"""Statements held to the rules of the standard: one that is right, and the same one broken in published ways."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from trainer.exports.activity import shape

# ADL, xAPI-Spec 1.0.3, Part Two (adlnet/xAPI-Spec, xAPI-Data.md); the statement itself is invented.
RIGHT: dict[str, Any] = {
    "id": "12345678-1234-4234-8234-567812345678",
    "actor": {"objectType": "Agent", "account": {"homePage": "https://records.example", "name": "t-17"}},
    "verb": {"id": "http://adlnet.gov/expapi/verbs/answered", "display": {"en": "answered"}},
    "object": {
        "objectType": "Activity",
        "id": "https://records.example/xapi/items/teardown-01/v3",
        "definition": {
            "type": "http://adlnet.gov/expapi/activities/cmi.interaction",
            "interactionType": "sequencing",
            "correctResponsesPattern": ["depressurise[,]remove-spring[,]lift-diaphragm"],
            "choices": [{"id": "remove-spring"}, {"id": "lift-diaphragm"}, {"id": "depressurise"}],
        },
    },
    "result": {
        "response": "depressurise[,]lift-diaphragm[,]remove-spring",
        "success": False,
        "completion": True,
        "score": {"scaled": 0.67, "raw": 2, "min": 0, "max": 3},
        "duration": "PT41.25S",
    },
    "timestamp": "2026-01-05T09:30:00.000Z",
}
GONE = "taken out"
# The member changed, what it becomes, and the section of Part Two that forbids it.
BROKEN: list[tuple[str, object, str]] = [
    ("actor", GONE, "2.2"),
    ("verb", GONE, "2.2"),
    ("object", GONE, "2.2"),
    ("result.score.scaled", 1.01, "2.4.5.1"),
    ("result.score.scaled", "0.5", "2.2"),
    ("result.score.raw", 4, "2.4.5.1"),
    ("result.score", {"min": 3, "max": 3, "raw": 3}, "2.4.5.1"),
    ("result.duration", "41s", "4.6"),
    ("result.duration", "P4W1D", "4.6"),
    ("result.duration", "P0003-06-04T12:30:05", "4.6"),
    ("result.duration", "P", "4.6"),
    ("result.duration", "PT", "4.6"),
    ("result.duration", "PA1H0M0S", "4.6"),
    ("result.response", None, "2.2"),
    ("foo", 1, "2.2"),
    ("object.definition.interactionType", "ordering", "2.4.4.1"),
    ("object.definition.correctResponsesPattern", "a[,]b", "2.4.4.1"),
    ("object.definition.choices", [{"id": "a"}, {"id": "a"}], "2.4.4.1"),
    ("object.definition.choices", [{"id": "a[,]b"}], "2.4.4.1"),
    ("object.definition.scale", [{"id": "a"}], "2.4.4.1"),
    ("actor.mbox", "mailto:a@b.example", "2.4.2.3"),
    ("result.success", "true", "2.4.5"),
    ("id", "xyz", "4.4"),
    ("verb.id", "answered", "2.2"),
    ("timestamp", "2008-09-15T15:53:00.601-00:00", "4.5"),
    ("timestamp", "2026-01-05", "4.5"),
    ("timestamp", "2026-02-30T10:00:00Z", "4.5"),
    ("verb.display", {"e": "x"}, "4.2"),
    ("object.definition.interactionType", GONE, "2.4.4.1"),
    ("actor", {"account": {"name": "t-17"}}, "2.4.2.4"),
    ("verb.id", "http://adlnet.gov/expapi/verbs/voided", "2.3.2"),
    ("object", {"objectType": "StatementRef"}, "2.4.4.3"),
    ("object", {"objectType": "StatementRef", "id": "https://records.example/1"}, "2.4.4.3"),
]
ALLOWED: list[tuple[str, object]] = [
    ("result.duration", "P4W"),
    ("result.duration", "P3Y1M29DT4H35M59.14S"),
    ("result.duration", "PT1H0M0.1S"),
    ("result.score.scaled", 1.0),
    ("result.score.scaled", -1),
    ("timestamp", "2008-09-15T15:53:00.601+00:00"),
    (
        "context",
        {"contextActivities": {"parent": [{"id": "https://records.example/module"}]}, "language": "en-GB"},
    ),
    ("result.extensions", {"https://records.example/credit": None}),
    ("object", {"objectType": "StatementRef", "id": "12345678-1234-4234-8234-567812345679"}),
]


def _changed(path: str, value: object) -> dict[str, Any]:
    statement = copy.deepcopy(RIGHT)
    *way, name = path.split(".")
    at: Any = statement
    for step in way:
        at = at[step]
    if value is GONE:
        del at[name]
    else:
        at[name] = value
    return statement


def test_what_is_right_passes() -> None:
    assert shape.faults(RIGHT) == ()


@pytest.mark.parametrize(("path", "value", "section"), BROKEN, ids=lambda v: str(v)[:40])
def test_what_the_standard_forbids_is_told_in_a_sentence(path: str, value: object, section: str) -> None:
    found = shape.faults(_changed(path, value))
    assert found, section
    assert all(sentence[0] in "'ABCDEFGHIJKLMNOPQRSTUVWXYZ" and sentence.endswith(".") for sentence in found)


@pytest.mark.parametrize(("path", "value"), ALLOWED, ids=lambda v: str(v)[:40])
def test_what_the_standard_allows_passes(path: str, value: object) -> None:
    assert shape.faults(_changed(path, value)) == ()


@pytest.mark.parametrize("statement", [None, [], "x", {}])
def test_what_is_no_statement_is_told(statement: object) -> None:
    assert shape.faults(statement)
