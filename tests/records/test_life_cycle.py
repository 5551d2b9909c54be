"""The life of a qualification: every state by every act, role and condition, and no way round what is asked.

The law behind it: 49 CFR 192.803 ("qualified") and 192.805(b)-(e); two people are a house rule.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.records.life_cycle import STEPS, Act, Condition, Life, Shown, State, StepRefused, why_not

ROLES = ("technician", "mentor", "supervisor", "inspector", "keeper", "calendar")
EVERYTHING = frozenset(Shown)
# Written by hand, apart from the table: by whom, from where (+ may, - may not), in the order of STATES.
STATES = (
    State.NOT_ASSIGNED,
    State.ASSIGNED,
    State.PRACTISING,
    State.RELEASED,
    State.QUALIFIED,
    State.DUE,
    State.LAPSED,
    State.SUSPENDED,
    State.WITHDRAWN,
    State.STOPPED,
    State.HELD_BACK,
    State.NOT_SHOWN,
)
MAY = {
    Act.ASSIGN: ("mentor supervisor", "++++++++++++"),
    Act.PRACTISE: ("technician mentor", "++++++++++++"),
    Act.RELEASE: ("mentor", "-++++++++-++"),
    Act.ASSESS: ("technician mentor", "---++++++-++"),
    Act.OBSERVE: ("mentor supervisor", "-++++++++-++"),
    Act.EVALUATE: ("mentor supervisor", "-++++++++-++"),
    Act.SIGN: ("supervisor", "-++++++++-++"),
    Act.COME_DUE: ("calendar", "----+-------"),
    Act.LAPSE: ("calendar", "----++------"),
    Act.REVISE: ("keeper", "-+++++++++++"),
    Act.ASK_TO_SHOW: ("keeper", "----++-+--++"),
    Act.FALL_DUE: ("calendar", "----++------"),
    Act.FAIL_TO_SHOW: ("technician mentor supervisor", "----++-+--+-"),
    Act.CONFIRM: ("supervisor", "----++----+-"),
    Act.SUSPEND: ("supervisor", "----++----+-"),
    Act.LIFT: ("supervisor", "-------+----"),
    Act.WITHDRAW: ("supervisor", "----++-+--++"),
    Act.STOP: ("supervisor", "-++++++++-++"),
}


def test_every_state_act_and_role() -> None:
    assert set(MAY) == set(Act) == set(STEPS)
    assert set(STATES) == set(State)
    for act, state, role in itertools.product(Act, STATES, ROLES):
        roles, row = MAY[act]
        expected = role in roles.split() and row[STATES.index(state)] == "+"
        refused = why_not(Life(state, EVERYTHING), act, [role], Condition)
        assert (refused is None) is expected, (act, state, role, refused)


@pytest.mark.parametrize("act", Act)
def test_each_condition_and_each_piece_of_evidence_is_asked_for(act: Act) -> None:
    step = STEPS[act]
    life = Life(next(state for state in STATES if state in step.of), EVERYTHING)
    for condition in Condition:
        refused = why_not(life, act, step.roles, set(Condition) - {condition})
        assert (refused is not None) is (condition in step.conditions)
        assert refused is None or condition.value in refused
    for piece in Shown:
        refused = why_not(Life(life.state, EVERYTHING - {piece}), act, step.roles, Condition)
        assert (refused is not None) is (act is Act.SIGN)


@pytest.mark.parametrize("act", [act for act in Act if STEPS[act].shows_with])
def test_what_was_not_enough_is_kept_and_shows_nothing_any_more(act: Act) -> None:
    step = STEPS[act]
    assert step.shows is not None
    life = Life(State.RELEASED, EVERYTHING, EVERYTHING)
    assert life.after(act, step.roles, Condition).shown == EVERYTHING
    for condition in step.shows_with:
        after = life.after(act, step.roles, set(Condition) - {condition})
        assert after.shown == after.aside == EVERYTHING - {step.shows}


def test_the_whole_way_and_back() -> None:
    life = Life()
    way = [Act.ASSIGN, Act.PRACTISE, Act.RELEASE, Act.ASSESS, Act.OBSERVE, Act.EVALUATE, Act.SIGN]
    seen = []
    for act in [*way, Act.COME_DUE, Act.SUSPEND]:
        life = life.after(act, ROLES, Condition)
        seen.append(life.state)
    assert seen == [
        State.ASSIGNED,
        State.PRACTISING,
        State.RELEASED,
        State.RELEASED,
        State.RELEASED,
        State.RELEASED,
        State.QUALIFIED,
        State.DUE,
        State.SUSPENDED,
    ]
    with pytest.raises(StepRefused, match="has to be assessed first"):
        life.after(Act.SIGN, ROLES, Condition)
    assert life.after(Act.LIFT, ROLES, Condition).state is State.QUALIFIED
    again = life
    for act in (Act.EVALUATE, Act.ASSESS, Act.OBSERVE):
        assert why_not(again, Act.SIGN, ROLES, Condition) is not None
        again = again.after(act, ROLES, Condition)
    again = again.after(Act.SIGN, ROLES, Condition)
    assert again.state is State.QUALIFIED
    # A renewal needs as much.
    assert again.shown == frozenset()
    assert again.after(Act.STOP, ROLES, Condition).state is State.STOPPED


def test_a_module_more_or_a_drill_more_changes_no_state_but_at_the_beginning() -> None:
    moved = {Act.ASSIGN: {State.NOT_ASSIGNED, State.STOPPED}, Act.PRACTISE: {State.ASSIGNED}}
    for act, states in moved.items():
        for state in STATES:
            after = Life(state, EVERYTHING).after(act, ROLES, Condition)
            assert (after.state is not state) is (state in states)
            assert after.shown == EVERYTHING


def test_what_a_lifted_suspension_laid_aside_counts_again() -> None:
    life = Life(State.QUALIFIED)
    for act in (Act.ASSESS, Act.OBSERVE, Act.SUSPEND, Act.EVALUATE):
        life = life.after(act, ROLES, Condition)
    assert life.shown == {Shown.EVALUATED}
    lifted = life.after(Act.LIFT, ROLES, Condition)
    assert lifted.after(Act.SIGN, ROLES, Condition).state is State.QUALIFIED
    # What a signature, a revision or a withdrawal took away does not come back.
    for act in (Act.SIGN, Act.REVISE, Act.WITHDRAW):
        before = replace(life, shown=EVERYTHING)
        assert before.after(act, ROLES, Condition).aside == frozenset()


steps = st.lists(
    st.tuples(
        st.sampled_from(Act),
        st.sets(st.sampled_from(ROLES), min_size=1),
        st.one_of(st.just(set(Condition)), st.sets(st.sampled_from(Condition))),
    ),
    min_size=4,
    max_size=30,
)
_ASKED = {
    Act.ASSESS: {Condition.EVERY_CLASS_DECIDED},
    Act.OBSERVE: {Condition.CRITICAL_SEEN, Condition.RIGHT_TO_EVALUATE, Condition.PASSWORD},
    Act.EVALUATE: {Condition.TASK_DONE_RIGHT, Condition.ABNORMAL_RECOGNISED, Condition.METHODS_CARRY},
}
# What takes evidence away for good, and what lays it aside until it is lifted as unfounded.
_GONE = (Act.SIGN, Act.REVISE, Act.FAIL_TO_SHOW, Act.WITHDRAW, Act.STOP)


@given(st.data(), steps)
@settings(max_examples=300, deadline=None)
def test_nobody_becomes_qualified_without_all_that_is_asked(
    data: st.DataObject, walk: list[tuple[Act, set[str], set[Condition]]]
) -> None:
    """Judged by the list of what was done alone, with no look at what the machine keeps."""
    life = Life(data.draw(st.sampled_from([State.NOT_ASSIGNED, State.RELEASED])))
    done: list[tuple[Act, set[str], set[Condition]]] = []
    for act, roles, met in walk:
        before = life
        try:
            life = life.after(act, roles, met)
        except StepRefused:
            assert life == before
            continue
        if life.state.may_work_alone and not before.state.may_work_alone:
            _must_be_earned(act, roles, met, before, done)
        done.append((act, roles, met))


def _must_be_earned(
    act: Act,
    roles: set[str],
    met: set[Condition],
    before: Life,
    done: list[tuple[Act, set[str], set[Condition]]],
) -> None:
    assert "supervisor" in roles
    assert {Condition.PASSWORD, Condition.ANOTHER_PERSON, Condition.NOT_ONESELF} <= met
    if act is Act.LIFT:
        assert before.state is State.SUSPENDED
        assert Condition.REASON in met
        # Qualified before it was suspended: a signature stands somewhere behind.
        assert any(earlier is Act.SIGN for earlier, _, _ in done)
        return
    if act is Act.CONFIRM:
        assert {Condition.CHANGE_OPEN, Condition.TOUCHED_PASSED} <= met
        assert before.state is State.HELD_BACK
        assert any(earlier is Act.SIGN for earlier, _, _ in done)
        return
    assert act is Act.SIGN
    since = _that_counts(done)
    for piece in (Act.ASSESS, Act.OBSERVE, Act.EVALUATE):
        assert any(earlier is piece and _ASKED[piece] <= true for earlier, _, true in since), piece


def _that_counts(
    done: list[tuple[Act, set[str], set[Condition]]],
) -> list[tuple[Act, set[str], set[Condition]]]:
    """What was done since the last thing that takes evidence away; a suspension that was lifted takes none."""
    lifted, last = False, -1
    for number in reversed(range(len(done))):
        act = done[number][0]
        lifted = lifted or act is Act.LIFT
        if act in _GONE or (act is Act.SUSPEND and not lifted):
            last = number
            break
        lifted = lifted and act is not Act.SUSPEND
    return done[last + 1 :]


def test_a_change_that_was_found_not_shown_ends_with_a_signature_alone() -> None:
    held = Life(State.QUALIFIED, frozenset({Shown.ASSESSED}))
    late = held.after(Act.FALL_DUE, ROLES, Condition)
    assert not late.state.may_work_alone
    assert late.after(Act.CONFIRM, ROLES, Condition) == Life(State.QUALIFIED, frozenset({Shown.ASSESSED}))
    # A confirmation in time leaves everything as it is, the end of the term too.
    due = Life(State.DUE)
    assert due.after(Act.CONFIRM, ROLES, Condition) == due
    for before in (held, due, late, held.after(Act.SUSPEND, ROLES, Condition)):
        failed = before.after(Act.FAIL_TO_SHOW, ROLES, Condition)
        assert failed == Life(State.NOT_SHOWN)
        for act in (Act.CONFIRM, Act.LIFT, Act.SUSPEND):
            with pytest.raises(StepRefused, match="not possible here"):
                failed.after(act, ROLES, Condition)
        for act in (Act.ASSESS, Act.OBSERVE, Act.EVALUATE, Act.SIGN):
            failed = failed.after(act, ROLES, Condition)
        assert failed.state is State.QUALIFIED


def test_a_random_walk_does_reach_a_signature() -> None:
    """Else the property above would hold for want of trying."""
    life = Life(State.RELEASED)
    for act in (Act.ASSESS, Act.OBSERVE, Act.EVALUATE, Act.SIGN):
        life = life.after(act, ROLES, Condition)
    assert life.state.may_work_alone
