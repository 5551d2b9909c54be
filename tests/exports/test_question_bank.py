"""The questions as data: each with a key that earns full marks and slips that do not."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from tests.exports import samples
from trainer import drills
from trainer.drills.slips import slips
from trainer.exports import EXPORTS
from trainer.procedure import library
from trainer.procedure.window import prepare

MODULES = [library.load(name) for name in library.shipped_procedures()]
CASES = [(m, kind) for m in MODULES for kind in drills.KINDS if drills.KINDS[kind].skills(prepare(m))]


def _read(packet: Any) -> Any:
    return json.loads(EXPORTS["question_bank"].write(packet, paper="a4"))


@pytest.mark.parametrize(("module", "kind"), CASES, ids=lambda v: getattr(v, "id", v))
def test_every_kind_gives_keys_that_are_right_and_slips_that_are_not(module: Any, kind: str) -> None:
    packet = replace(samples.question_bank((kind,), 3), module=module, size="")
    questions = _read(packet)["questions"]
    assert [asked["seed"] for asked in questions] == [0, 1, 2]
    for asked in questions:
        assert (asked["kind"], asked["module"], asked["revision"]) == (kind, module.id, module.revision)
        assert asked["key"]["mark"]["right"] is True
        assert asked["key"]["mark"]["credit"] == "1"
        assert asked["wrong"]
        answers = [asked["key"]["answer"], *(one["answer"] for one in asked["wrong"])]
        assert len({json.dumps(answer, sort_keys=True) for answer in answers}) == len(answers)
        for one in asked["wrong"]:
            assert one["mark"]["right"] is False
            assert float(one["mark"]["credit"]) < 1
            assert one["mark"]["headline"]


def test_the_marks_are_those_that_a_trainee_gets() -> None:
    packet = samples.question_bank()
    for asked in _read(packet)["questions"]:
        for one in (asked["key"], *asked["wrong"]):
            mark = drills.mark(packet.module, asked["kind"], asked["size"], asked["seed"], one["answer"])
            assert (one["mark"]["right"], one["mark"]["critical"]) == (mark.right, mark.critical)
            assert one["mark"]["headline"] == mark.headline
            assert float(one["mark"]["credit"]) == pytest.approx(mark.credit, abs=1e-6)


def test_nothing_in_it_is_a_number_with_a_point() -> None:
    # RFC 8785 and I-JSON (RFC 7493, 2.2): a credit as text is read alike everywhere.
    def refuse(text: str) -> float:
        raise AssertionError(text)

    json.loads(EXPORTS["question_bank"].write(samples.question_bank(), paper="a4"), parse_float=refuse)


def test_no_seeds_give_no_questions() -> None:
    assert _read(samples.question_bank(seeds=0))["questions"] == []


def test_slips_name_what_they_cannot_do() -> None:
    with pytest.raises(drills.UnknownKind):
        next(slips(MODULES[0], "no-such-kind", None, 1))
