"""Say it: values by number and unit, reasons by their terms, and what cannot be marked is not."""

from __future__ import annotations

import pytest

from trainer import drills
from trainer.drills.answer_forms import AnswerUnreadable, Say
from trainer.drills.kinds.say_it import holds
from trainer.procedure import library
from trainer.procedure.shared_tables import SharedTables

KIND = "say-it"
# Invented.
NUTS = """\
module: nuts
title: Say something of an invented cover
document: T-1
covered_task: T-31
sizes: [DN 80]
parts: {body: {fixed: true}}
fasteners: {nuts: {name: Cover nuts, clamp: body, torque: 95 N·m}}
sayings:
  dry: {ask: Why does the disc go in dry?, say: Grease picks up dirt, terms: [grease, dirt/grit]}
  tell: {ask: What do you tell the crew?, say: Who throttles and who works}
steps:
  - {id: off, do: Undo the nuts, undo: nuts}
  - {id: on, do: Tighten the nuts, tighten: nuts}
"""
MODULE = library.read_module(NUTS, "nuts.yaml", SharedTables())


def _told(begins: str, words: str) -> tuple[bool, bool, str]:
    """Return whether words to a question are right and marked, and what is said of them."""
    for seed in range(60):
        form, key = drills.ask(MODULE, KIND, None, seed).form, drills.key(MODULE, KIND, None, seed)
        assert isinstance(form, Say)
        assert isinstance(key, dict)
        for said in form.fields:
            if said.text.startswith(begins):
                mark = drills.mark(MODULE, KIND, None, seed, {**key, said.id: words})
                remark = next(remark for remark in mark.remarks if remark.about == said.id)
                assert mark.right is (remark.right or not remark.marked)
                return remark.right, remark.marked, remark.text
    raise AssertionError("not asked in 60 seeds")


@pytest.mark.parametrize(
    "words", ["95 N·m", "95 Nm", "95,5 N·m", "70.1 lbf·ft"]
)  # 95 / 1.355818, NIST SP 811
def test_a_value_is_right_in_any_unit_of_its_kind(words: str) -> None:
    assert _told("The torque", words)[0]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("95", "“95” has no unit"),
        ("95 lbf·ft", "that is the figure in N·m"),
        ("70.1 N·m", "that is the figure in lbf·ft"),
        ("95 mm", "is a length"),
        ("tight", "is not a number with a unit"),
        ("140 N·m", "too much"),
    ],
)
def test_a_wrong_value_is_told_with_its_slip(words: str, told: str) -> None:
    right, marked, text = _told("The torque", words)
    assert (right, marked) == (False, True)
    assert told in text
    assert text.endswith("It is 95\u202fN·m.")


@pytest.mark.parametrize(
    "words", ["grease holds dirt", "Because GREASE picks up grit!", "dirt sticks to greased rubber"]
)
def test_a_reason_is_right_when_it_holds_its_terms(words: str) -> None:
    assert _told("Why", words)[0]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("it swims", "does not speak of “grease”, “dirt” or “grit”"),
        ("grease", "does not speak of “dirt” or “grit”"),
        ("grease does not pick up dirt", "The words are there, but so is a “not”"),
    ],
)
def test_a_reason_that_lacks_a_term_is_told_which(words: str, told: str) -> None:
    right, marked, text = _told("Why", words)
    assert (right, marked) == (False, True)
    assert told in text
    assert text.endswith("A model answer: Grease picks up dirt.")


def test_what_cannot_be_marked_is_compared_by_the_person_and_counts_for_nothing() -> None:
    right, marked, text = _told("What do you tell", "whatever")
    assert (right, marked) == (True, False)
    assert text == "Compare it with this. A model answer: Who throttles and who works."


def test_the_sheet_says_before_what_is_not_marked() -> None:
    for seed in range(20):
        form = drills.ask(MODULE, KIND, None, seed).form
        assert isinstance(form, Say)
        for said in form.fields:
            assert said.detail.startswith("Not marked") is said.text.startswith("What do you tell")


@pytest.mark.parametrize(
    ("text", "term", "found"),
    [
        ("the gas is let out", "gas out", True),
        ("the valve leaks", "leak", True),
        ("a leakage", "pass/leak", True),
        ("bleak", "leak", False),
        ("the O-ring", "o-ring/oring", True),
        ("", "leak", False),
    ],
)
def test_a_term_is_found_by_the_beginnings_of_its_words(text: str, term: str, found: bool) -> None:
    assert holds(text, term) is found


def test_too_many_words_are_refused() -> None:
    key = drills.key(MODULE, KIND, None, 1)
    assert isinstance(key, dict)
    with pytest.raises(AnswerUnreadable, match=r"More than 300 characters"):
        drills.mark(MODULE, KIND, None, 1, dict.fromkeys(key, "x" * 301))
