"""What the owner sets for a task: refused where it contradicts itself or the law, told in words, kept as plain values."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.records import canonical
from trainer.records.conditions import (
    Conditions,
    Evaluator,
    Evaluators,
    Finding,
    Ground,
    Grounds,
    Methods,
    Span,
)
from trainer.records.methods import Method, why_not_enough

W, ASKED, H, J, _, S, _ = Method  # in the order of the law's list

methods = st.lists(st.sampled_from(list(Method)), unique=True).map(tuple)
texts = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=40)
conditions = st.builds(
    Conditions,
    st.builds(Methods, methods, methods, methods),
    st.builds(Span, st.integers(0, 9), texts),
    st.builds(Evaluators, st.booleans(), st.integers(0, 120), st.booleans(), st.booleans(), texts),
)


@given(conditions)
def test_conditions_are_read_back_as_they_were_kept(one: Conditions) -> None:
    assert Conditions.read(canonical.read(canonical.written(one.as_data()))) == one


def test_the_four_tests_are_those_of_the_law() -> None:
    """49 CFR 192.801(b)(1)-(4), read in a stored public copy: facility, task, required, affects."""
    assert [(g.paragraph, g.words.split()[-1]) for g in Ground] == [
        ("192.801(b)(1)", "facility"),
        ("192.801(b)(2)", "task"),
        ("192.801(b)(3)", "it"),
        ("192.801(b)(4)", "pipeline"),
    ]


def test_grounds_say_what_their_answers_come_to() -> None:
    none = Grounds()
    assert none.sentence == "4 of the four tests are not written down yet."
    three = Grounds(tuple(Finding(g, True, "Yes.") for g in list(Ground)[:3]))
    assert three.sentence == "1 of the four tests is not written down yet."
    every = replace(three, findings=(*three.findings, Finding(Ground.AFFECTS, True, "Yes.")))
    assert every.sentence.startswith("All four tests are met")
    own = replace(three, findings=(*three.findings, Finding(Ground.AFFECTS, False, "No.")))
    assert own.sentence.startswith("Not all four tests are met")
    assert own.of(Ground.AFFECTS) == Finding(Ground.AFFECTS, False, "No.")
    assert three.of(Ground.AFFECTS) is None
    for one in (none, three, every, own):
        assert Grounds.read(canonical.read(canonical.written(one.as_data()))) == one


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (Methods(allowed=()), "No method is allowed"),
        (Methods(allowed=(W,), always=(ASKED,)), "Oral examination is asked for but not allowed"),
        (Methods(allowed=(W,), one_of=(S,)), "Observation during simulation is asked for but not allowed"),
        # 49 CFR 192.809(d) and (e), through the twin 195.509: never the only method.
        (Methods(allowed=(H,)), "192.809(d)"),
        (Methods(allowed=(J,)), "192.809(e)"),
    ],
)
def test_methods_that_nobody_could_be_evaluated_by_are_refused(one: Methods, said: str) -> None:
    assert said in (one.why_unsound() or "")


@pytest.mark.parametrize(
    ("one", "used", "said"),
    [
        (Methods(), (W,), None),
        (Methods((W, ASKED, S)), (W, S), None),
        (
            Methods((W, ASKED, S)),
            (W, H),
            "Review of work history is not allowed for T-1; allowed: written examination",
        ),
        (Methods((W, ASKED, S), always=(ASKED,)), (ASKED, S), None),
        (
            Methods((W, ASKED, S), always=(ASKED,)),
            (W, S),
            "Every evaluation for T-1 uses this method: oral examination.",
        ),
        (Methods((W, J, S), one_of=(J, S)), (W, S), None),
        (
            Methods((W, J, S), one_of=(J, S)),
            (W,),
            "at least one of these: observation on the job or observation during simulation.",
        ),
    ],
)
def test_an_evaluation_is_held_against_the_methods(
    one: Methods, used: tuple[Method, ...], said: str | None
) -> None:
    why = one.why_not(used, "T-1")
    assert (why is None) if said is None else said in (why or "")


@given(st.builds(Methods, methods, methods, methods))
def test_sound_methods_can_always_be_met_and_what_meets_them_is_allowed(one: Methods) -> None:
    if one.why_unsound() is None:
        assert one.why_not(one.allowed, "T-1") is None
        assert why_not_enough(one.allowed) is None
        for method in Method:
            if method not in one.allowed:
                assert one.why_not((*one.allowed, method), "T-1")


def test_a_span_of_none_says_that_nobody_works_unqualified_even_directed() -> None:
    """No number stands in 49 CFR 192.805(c); that 1:0 means nobody unqualified is from public summaries of a standard."""
    assert Span().words == "nobody works at it unqualified, not even directed and observed"
    assert Span(1, "Seen.").sentence == (
        "Only while directed and observed by somebody qualified, who directs one person at most. Seen."
    )
    assert "directs 2 people at most" in Span(2, "Seen.").words


MAY = Evaluator(
    appointed=True, qualified_since=date(2025, 1, 1), months_held=24, same_crew=False, assigned_it=False
)


@pytest.mark.parametrize(
    ("asked", "evaluator", "said"),
    [
        (Evaluators(), replace(MAY, qualified_since=None, months_held=0), None),
        (Evaluators(appointment_enough=False), MAY, None),
        (
            Evaluators(appointment_enough=False),
            replace(MAY, qualified_since=None, months_held=0),
            "must be qualified for it that day, an appointment is not enough",
        ),
        (Evaluators(months_held=24), replace(MAY, appointed=False), None),
        (Evaluators(months_held=25), MAY, None),
        (
            Evaluators(months_held=25),
            replace(MAY, appointed=False),
            "for 25 months without a break, and that began on 2025-01-01",
        ),
        (Evaluators(appointment_enough=False, months_held=25), MAY, "25 months"),
        (Evaluators(other_crew=True), MAY, None),
        (Evaluators(other_crew=True), replace(MAY, same_crew=True), "Somebody of another crew evaluates"),
        (Evaluators(not_who_assigned=True), MAY, None),
        (Evaluators(not_who_assigned=True), replace(MAY, assigned_it=True), "Whoever put the procedure on"),
    ],
)
def test_each_condition_on_evaluators_refuses_and_allows(
    asked: Evaluators, evaluator: Evaluator, said: str | None
) -> None:
    asked = replace(asked, because="Two pairs of eyes.")
    why = asked.why_not(evaluator, "Overhaul")
    if said is None:
        assert why is None
    else:
        assert why is not None
        assert said in why
        assert why.endswith("; the programme's reason: Two pairs of eyes.")
        assert why.count(".") == 1


def test_what_is_asked_of_evaluators_is_told() -> None:
    assert not Evaluators(because="For nothing.").asks_anything
    told = " ".join(Evaluators(False, 1, True, True).sentences)
    for words in ("not enough", "one month without a break", "another crew", "person's sheet"):
        assert words in told
    assert "whoever evaluates by being qualified" in " ".join(Evaluators(months_held=6).sentences)
