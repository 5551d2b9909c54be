"""Statements of what people did: every kind of drill, whatever is answered, passes the rules of the standard."""

from __future__ import annotations

import json
import uuid
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from tests.exports import samples
from trainer import drills
from trainer.drills.answer_forms import Arrange, Choose, Line, Number, NumberField, Option, Row, Say, SayField
from trainer.exports import EXPORTS
from trainer.exports.activity import shape
from trainer.exports.activity.done import (
    Answered,
    Decided,
    Entry,
    Evaluated,
    Halted,
    Qualified,
    Sat,
    Undone,
    Watched,
)
from trainer.exports.activity.interaction import interaction
from trainer.exports.activity.sound import StatementUnsound, sound_statement
from trainer.exports.activity.statements import duration, statement
from trainer.exports.packets import ActivityPacket
from trainer.procedure import library
from trainer.procedure.window import prepare

HOME = samples.HOME
AT = datetime(2027, 3, 17, 9, 30, 0, 125000, tzinfo=UTC)
ENTRY = Entry(HOME, 17, AT)
MODULES = [library.load(name) for name in library.shipped_procedures()]
KINDS = {
    kind: next(module for module in MODULES if drills.KINDS[kind].skills(prepare(module)))
    for kind in drills.KINDS
}
DECIDED = Decided(
    ENTRY, "P-0107", 3, "piston-valve", "a" * 64, "order critical", "Order", True, 14, 0, "Passed: 14 of 14."
)
QUALIFIED = Qualified(ENTRY, "P-0107", "P-0002", "QR-000117", "T-31", "Overhaul", date(2030, 3, 17))


def _answered(kind: str, seed: int = 3, **changes: Any) -> Answered:
    module = KINDS[kind]
    asked = drills.ask(module, kind, None, seed)
    key = drills.key(module, kind, None, seed)
    return replace(samples.answered(asked, key), entry=ENTRY, **changes)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_drill_makes_a_statement_without_fault(kind: str) -> None:
    for seed in range(6):
        made = sound_statement(_answered(kind, seed))
        assert shape.faults(made) == ()
        assert made["verb"]["id"] == "http://adlnet.gov/expapi/verbs/answered"
        assert "correctResponsesPattern" not in made["object"]["definition"]
        assert made["result"]["success"] is True
        assert json.loads(json.dumps(made)) == made


@pytest.mark.parametrize("kind", KINDS)
def test_a_response_names_nothing_but_components(kind: str) -> None:
    # 2.4.4.1: a response is made of the ids of its components, parted by [,] and paired by [.].
    for seed in range(6):
        made = statement(_answered(kind, seed))
        definition, parts = made["object"]["definition"], made["result"]["response"].split("[,]")
        if definition["interactionType"] in ("choice", "sequencing"):
            assert set(parts) <= {item["id"] for item in definition["choices"]}
        elif definition["interactionType"] == "matching":
            pairs = [part.split("[.]") for part in parts]
            assert {source for source, _ in pairs} == {item["id"] for item in definition["source"]}
            assert {target for _, target in pairs} <= {item["id"] for item in definition["target"]}
        elif definition["interactionType"] == "numeric":
            float(made["result"]["response"])
        else:
            assert definition["interactionType"] in ("fill-in", "long-fill-in", "other")
            assert all(parts)


@pytest.mark.parametrize(
    "done", [_answered("order", right=False), DECIDED, QUALIFIED], ids=lambda d: type(d).__name__
)
def test_nobody_is_told_by_name_or_address(done: Any) -> None:
    made = statement(done)
    assert shape.faults(made) == ()
    assert made["actor"] == {"objectType": "Agent", "account": {"homePage": HOME, "name": "P-0107"}}
    assert made["timestamp"] == "2027-03-17T09:30:00.125Z"
    assert "mailto" not in json.dumps(made)


def test_an_id_comes_of_the_entry_and_of_what_it_tells() -> None:
    # RFC 4122, 4.3 with the name space for addresses (Appendix C), by Python's own uuid.
    made = statement(_answered("order"))
    assert made["id"] == str(uuid.uuid5(uuid.NAMESPACE_URL, f"{HOME}/log/17"))
    assert uuid.UUID(made["id"]).version == 5
    assert statement(_answered("order"))["id"] == made["id"]
    others = {
        statement(DECIDED)["id"],
        statement(replace(DECIDED, element_class="another"))["id"],
        statement(replace(DECIDED, entry=replace(ENTRY, number=18)))["id"],
        made["id"],
    }
    assert len(others) == 4


def test_an_order_of_work_is_sequencing_with_its_lines_as_choices() -> None:
    done = _answered("order")
    made = statement(done)
    definition = made["object"]["definition"]
    assert definition["interactionType"] == "sequencing"
    # 2.4.4.1: items of a response are parted by [,].
    assert made["result"]["response"].split("[,]") == done.answer
    assert {item["id"] for item in definition["choices"]} == set(done.answer)
    assert "every order" in made["result"]["extensions"][f"{HOME}/extensions/marking"]["rule"]


@pytest.mark.parametrize(("thousandths", "scaled"), [(0, 0), (670, 0.67), (1000, 1)])
def test_the_credit_is_the_scaled_score(thousandths: int, scaled: float) -> None:
    made = statement(_answered("order", credit_thousandths=thousandths, right=thousandths == 1000))
    assert made["result"]["score"] == {"scaled": scaled}
    assert made["result"]["success"] is (thousandths == 1000)


# ADL, Part Two, 4.6, as in its examples; seconds to the hundredth count.
@pytest.mark.parametrize(
    ("seconds", "written"),
    [(41.25, "PT41.25S"), (120, "PT120S"), (0, "PT0S"), (0.004, "PT0S"), (-5, "PT0S"), (3600.5, "PT3600.5S")],
)
def test_a_duration_is_in_seconds(seconds: float, written: str) -> None:
    assert duration(seconds) == written


def test_the_time_taken_is_told_where_it_is_known() -> None:
    made = statement(_answered("order", started_at=AT - timedelta(seconds=41, milliseconds=250)))
    assert made["result"]["duration"] == "PT41.25S"
    assert "duration" not in statement(_answered("order", started_at=None))["result"]


def test_one_row_is_a_choice_and_several_are_matched() -> None:
    # 2.4.4.1: pairs of source and target are joined by [.], pairs parted by [,].
    two = (Option("a", "Keep"), Option("b", "Renew"))
    one = interaction(Choose((Row("r1", "Seat ring", two),)), {"r1": "b"})
    assert (one.definition["interactionType"], one.response) == ("choice", "b")
    rows = (Row("r1", "Seat ring", two), Row("r2", "Stem", two))
    alike = interaction(Choose(rows), {"r1": "b", "r2": "a"})
    assert (alike.definition["interactionType"], alike.response) == ("matching", "r1[.]b[,]r2[.]a")
    assert [item["id"] for item in alike.definition["target"]] == ["a", "b"]
    others = (rows[0], Row("r2", "Stem", (Option("a", "Polish"), Option("c", "Leave"))))
    apart = interaction(Choose(others), {"r1": "b", "r2": "a"})
    assert apart.response == "r1[.]r1/b[,]r2[.]r2/a"
    assert [item["id"] for item in apart.definition["target"]] == ["r1/a", "r1/b", "r2/a", "r2/c"]


def test_numbers_and_words_are_told_as_they_were_given() -> None:
    fields = (NumberField("f1", "First pass", ("N·m",)), NumberField("f2", "Second pass", ("N·m",)))
    given = {"f1": {"value": "35", "unit": "N·m"}, "f2": {"value": "70", "unit": "N·m"}}
    one = interaction(Number(fields[:1]), given)
    assert (one.definition["interactionType"], one.response, one.beside) == ("numeric", "35", {"unit": "N·m"})
    both = interaction(Number(fields), given)
    assert (both.definition["interactionType"], both.response) == ("fill-in", "35 N·m[,]70 N·m")
    said = interaction(
        Say((SayField("s", "Why?"), SayField("t", "What?"))), {"s": "gas[,]trapped", "t": "vent"}
    )
    # Nobody's words part the answer.
    assert said.response.split("[,]") == ["gas[ ,]trapped", "vent"]


def test_what_breaks_a_rule_stays_here() -> None:
    asked = drills.ask(KINDS["order"], "order", None, 3)
    spoilt = replace(asked, form=Arrange((Line("a[,]b", "One"), Line("c", "Two"))))
    with pytest.raises(StatementUnsound, match=r"entry 17 .* parts answers"):
        sound_statement(replace(_answered("order"), item=samples.item(spoilt), answer=["c", "a[,]b"]))


def test_what_can_no_longer_be_asked_is_told_as_it_was_answered() -> None:
    known = _answered("order")
    made = sound_statement(replace(known, item=replace(known.item, question=None)))
    definition = made["object"]["definition"]
    assert made["object"]["id"] == statement(known)["object"]["id"]
    assert (definition["interactionType"], definition["name"]["en"]) == ("other", known.item.skill)
    assert json.loads(made["result"]["response"]) == known.answer
    assert made["result"]["success"] is True


def test_a_class_and_a_qualification_are_passed_or_failed() -> None:
    assert statement(DECIDED)["verb"]["id"].endswith("/passed")
    failed = statement(replace(DECIDED, passed=False))
    assert failed["verb"]["id"].endswith("/failed")
    assert failed["result"]["success"] is False
    signed = statement(QUALIFIED)
    assert signed["context"]["instructor"]["account"]["name"] == "P-0002"
    assert signed["object"]["id"] == f"{HOME}/tasks/T-31"


SAT = Sat(ENTRY, "P-0107", 3, "piston-valve", "a" * 64, True, whole=True, broken_off=False)
WATCHED = Watched(ENTRY, "P-0107", "P-0002", 4, "piston-valve", "Overhaul", "a" * 64, "DN 80", 21, right=True)
EVALUATED = Evaluated(
    ENTRY,
    "P-0107",
    "P-0002",
    9,
    "T-31",
    "Overhaul",
    "piston-valve",
    "a" * 64,
    "2027-03-17",
    ("192.803 (b)", "192.803 (d)(3)"),
    abnormal_passed=True,
    passed=True,
)
SUSPENDED = Halted(ENTRY, "P-0107", "P-0002", "QR-000117", "T-31", "Overhaul", "2027-03-17", ended=False)
LIFTED = Undone(replace(ENTRY, number=21), "P-0107", "P-0004", ENTRY)


@pytest.mark.parametrize(
    ("done", "verb", "kind", "success"),
    [
        # ADL, vocabulary of verbs and of types of activity (adlnet.gov/expapi).
        (SAT, "passed", "assessment", True),
        (replace(SAT, passed=False), "failed", "assessment", False),
        (replace(SAT, passed=None, whole=False), "completed", "assessment", None),
        (replace(SAT, passed=None, whole=False, broken_off=True), "terminated", "assessment", None),
        (WATCHED, "completed", "performance", True),
        (replace(WATCHED, right=False), "completed", "performance", False),
        (EVALUATED, "passed", "assessment", True),
        (replace(EVALUATED, abnormal_passed=False), "failed", "assessment", False),
        (SUSPENDED, "suspended", "performance", None),
        (replace(SUSPENDED, ended=True), "terminated", "performance", None),
    ],
)
def test_what_is_done_has_a_verb_and_a_type_of_the_vocabulary(
    done: Any, verb: str, kind: str, success: bool | None
) -> None:
    made = sound_statement(done)
    assert made["verb"]["id"] == f"http://adlnet.gov/expapi/verbs/{verb}"
    assert made["object"]["definition"]["type"] == f"http://adlnet.gov/expapi/activities/{kind}"
    assert made["result"].get("success") is success
    assert made["actor"]["account"]["name"] == "P-0107"


def test_an_evaluation_names_its_methods_and_its_evaluator_and_no_words_about_the_person() -> None:
    made = statement(EVALUATED)
    assert made["context"]["instructor"]["account"]["name"] == "P-0002"
    told = made["result"]["extensions"][f"{HOME}/extensions/evaluation"]
    assert told["methods"] == ["192.803 (b)", "192.803 (d)(3)"]
    assert set(told) == {"evaluated_on", "methods", "abnormal_conditions", "task"}


def test_what_was_unfounded_is_voided_by_another_statement() -> None:
    # Part Two, 2.3.2: the verb is voided, the object a reference to the statement, which itself never changes.
    made = sound_statement(LIFTED)
    assert made["verb"]["id"] == "http://adlnet.gov/expapi/verbs/voided"
    assert made["object"] == {"objectType": "StatementRef", "id": statement(SUSPENDED)["id"]}
    assert made["actor"]["account"]["name"] == "P-0004"
    assert made["id"] != statement(SUSPENDED)["id"]


def test_the_file_is_a_list_of_statements() -> None:
    listed = json.loads(EXPORTS["activity_statements"].write(samples.activity(), paper="a4"))
    assert [one["verb"]["display"]["en"] for one in listed] == ["answered", "passed", "passed"]
    assert json.loads(EXPORTS["activity_statements"].write(ActivityPacket("P-1", ()), paper="a4")) == []
