"""Trace the fault: likelihoods by Bayes' rule, and a check weighed by what it tells for its cost."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from trainer import drills
from trainer.drills import diagnosis
from trainer.drills.answer_forms import NextStep
from trainer.procedure import library
from trainer.procedure.shared_tables import SharedTables

if TYPE_CHECKING:
    from trainer.drills.question import Question

KIND = "trace-the-fault"
# Invented.
CLIMBS = """\
module: climbs
title: An invented fault
document: T-1
covered_task: T-31
sizes: [DN 50]
parts: {body: {fixed: true}}
faults:
  climbs:
    symptom: The outlet climbs
    causes:
      dirt: {text: Dirt on the seat, often: 5}
      cut: {text: The disc is cut, often: 3}
      nick: {text: The seat is nicked, often: 2}
    checks:
      flush: {do: Flush the seat, minutes: 5, finds: dirt, found: It stops, not_found: It climbs}
      listen: {do: Listen at the seat, minutes: 8, finds: [cut, nick], found: It hisses, not_found: It is still}
      strip: {do: Strip the valve, minutes: 200, finds: cut, found: A cut, not_found: No cut}
steps: [{id: look, do: Look}]
"""
MODULE = library.read_module(CLIMBS, "climbs.yaml", SharedTables())


def _pick(question: Question | None, begins: str) -> str:
    assert question is not None
    assert isinstance(question.form, NextStep)
    return next(option.id for option in question.form.options if option.text.startswith(begins))


def _seed(shows: str) -> int:
    """Return a seed whose cause answers to flushing so."""
    for seed in range(60):
        first = drills.ask(MODULE, KIND, "DN 50", seed)
        ahead = drills.go_on(MODULE, KIND, "DN 50", seed, [_pick(first, "Flush")])
        assert ahead is not None
        assert isinstance(ahead.form, NextStep)
        if ahead.form.done[0][1].startswith(shows):
            return seed
    raise AssertionError("not drawn in 60 seeds")


def test_likelihoods_are_those_of_the_causes_that_agree() -> None:
    known = diagnosis.at_first(MODULE.faults["climbs"])
    assert known.likely == {"dirt": 0.5, "cut": 0.3, "nick": 0.2}
    assert known.after("flush", "cut").likely == pytest.approx({"cut": 0.6, "nick": 0.4})
    assert known.after("flush", "dirt").likely == {"dirt": 1.0}


def test_what_a_check_tells_is_the_entropy_of_its_outcomes() -> None:
    """H(1/2) is 1 bit and H(0.3) 0.8813 bit: C. E. Shannon, 1948, section 6 (value from the formula)."""
    known = diagnosis.at_first(MODULE.faults["climbs"])
    checks = MODULE.faults["climbs"].checks
    assert known.tells(checks["flush"]) == pytest.approx(1)
    assert known.tells(checks["strip"]) == pytest.approx(0.8813, abs=1e-4)
    assert known.best == "flush"
    assert known.after("flush", "cut").best == "strip"
    assert known.after("flush", "dirt").best is None


def test_the_best_check_is_praised_and_a_good_one_let_pass() -> None:
    seed = _seed("It stops")
    for begins, told in (
        ("Flush", "Well picked: nothing tells more"),
        ("Listen", "Good; “Flush the seat” would"),
    ):
        first = drills.ask(MODULE, KIND, "DN 50", seed)
        picks = [_pick(first, begins)]
        picks.append(_pick(drills.go_on(MODULE, KIND, "DN 50", seed, picks), "Name the cause: dirt"))
        mark = drills.mark(MODULE, KIND, "DN 50", seed, picks)
        assert mark.right
        assert mark.remarks[0].text.startswith(told)
        assert mark.headline == f"Right: traced in {5 if begins == 'Flush' else 8} minutes of work."


@pytest.mark.parametrize(
    ("begins", "told"),
    [
        (
            "Strip",
            "That is 200 min on a guess, with the run shut all the while. “Flush the seat” costs 5 min",
        ),
        ("Name", "It is 50 % likely, no more. “Flush the seat” costs 5 min and may rule it out."),
    ],
)
def test_stripping_and_guessing_are_shown_for_what_they_are(begins: str, told: str) -> None:
    first = drills.ask(MODULE, KIND, "DN 50", 3)
    mark = drills.mark(MODULE, KIND, "DN 50", 3, [_pick(first, begins)])
    assert (mark.right, mark.critical, mark.credit) == (False, False, 0)
    assert mark.incident is not None
    assert mark.incident.text.startswith(told)


def test_a_check_that_can_tell_nothing_any_more_is_told() -> None:
    seed = _seed("It climbs")
    picks = [_pick(drills.ask(MODULE, KIND, "DN 50", seed), "Flush")]
    ahead = drills.go_on(MODULE, KIND, "DN 50", seed, picks)
    mark = drills.mark(MODULE, KIND, "DN 50", seed, [*picks, _pick(ahead, "Listen")])
    assert mark.incident is not None
    assert mark.incident.text.startswith("Whatever is left, it would show the same: 8 min for nothing.")
    assert mark.credit == 0.25


def test_the_likelihoods_are_kept_as_the_checks_go_on() -> None:
    seed = _seed("It climbs")
    picks = [_pick(drills.ask(MODULE, KIND, "DN 50", seed), "Flush")]
    ahead = drills.go_on(MODULE, KIND, "DN 50", seed, picks)
    assert ahead is not None
    assert isinstance(ahead.form, NextStep)
    assert ahead.form.done == (
        ("Flush the seat (5 min)", "It climbs. Now: The disc is cut 60 %; The seat is nicked 40 %."),
    )


def test_stripping_is_right_when_nothing_cheaper_tells() -> None:
    seed = _seed("It climbs")
    key = drills.key(MODULE, KIND, "DN 50", seed)
    mark = drills.mark(MODULE, KIND, "DN 50", seed, key)
    assert mark.right
    assert mark.picked[1] == "Strip the valve (200 min)"
