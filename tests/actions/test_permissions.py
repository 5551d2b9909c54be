from __future__ import annotations

import pytest

from tests.people import AMA, CREW, INES, KIT, MIRA, OTHER_CREW, SOL, Someone
from trainer.actions.actor import SYSTEM, Actor, NotAllowed
from trainer.actions.permissions import (
    ALLOWED,
    Permission,
    Role,
    allowed,
    why_not_evaluate,
)


def _actor(someone: Someone) -> Actor:
    return Actor(
        someone.id, someone.sign_in_name, someone.display_name, frozenset(someone.roles), someone.crew, 1
    )


def test_every_permission_is_somebodys_and_every_role_has_its_row() -> None:
    assert set(ALLOWED) == set(Role)
    given = frozenset().union(*ALLOWED.values())
    assert given == set(Permission)


def test_permissions_are_named_resource_action_in_alphabetical_order() -> None:
    names = [permission.value for permission in Permission]
    assert names == sorted(names)
    assert all(name.count(":") == 1 for name in names)


def test_only_a_supervisor_signs_and_only_the_keeper_manages_people() -> None:
    signing = [role for role in Role if allowed([role], Permission.QUALIFICATION_SIGN)]
    managing = [role for role in Role if allowed([role], Permission.PEOPLE_MANAGE)]
    assert signing == [Role.SUPERVISOR]
    assert managing == [Role.KEEPER]


def test_an_inspector_changes_nothing() -> None:
    assert {p.value.split(":")[1] for p in ALLOWED[Role.INSPECTOR]} == {"own", "read"}


def test_several_roles_add_up() -> None:
    both = [Role.TECHNICIAN, Role.KEEPER]
    assert allowed(both, Permission.PRACTICE_DO)
    assert allowed(both, Permission.MODULE_PUBLISH)
    assert not allowed(both, Permission.QUALIFICATION_SIGN)


@pytest.mark.parametrize(
    ("someone", "own_crew", "other_crew"),
    [(AMA, False, False), (MIRA, True, False), (SOL, True, True), (INES, True, True), (KIT, False, False)],
)
def test_a_mentor_sees_the_attempts_of_the_own_crew_alone(
    someone: Someone, own_crew: bool, other_crew: bool
) -> None:
    actor = _actor(someone)
    assert actor.may_for(Permission.ATTEMPT_READ, crew=CREW) is own_crew
    assert actor.may_for(Permission.ATTEMPT_READ, crew=OTHER_CREW) is other_crew


def test_people_without_a_crew_are_no_crew_to_each_other() -> None:
    mentor = Actor("P-9", "m", "M", frozenset({Role.MENTOR}), crew="")
    assert not mentor.may_for(Permission.ATTEMPT_READ, crew="")


def test_the_command_line_may_everything_but_what_takes_a_person() -> None:
    refused = {permission for permission in Permission if not SYSTEM.may(permission)}
    assert {Permission.QUALIFICATION_SIGN, Permission.EVALUATION_RECORD, Permission.PRACTICE_DO} <= refused
    assert SYSTEM.may(Permission.PEOPLE_MANAGE)
    with pytest.raises(NotAllowed, match="qualification:sign"):
        SYSTEM.must(Permission.QUALIFICATION_SIGN)


@pytest.mark.parametrize(
    ("appointed", "qualified", "may"),
    [(False, False, False), (True, False, True), (False, True, True), (True, True, True)],
)
def test_an_evaluator_is_appointed_or_qualified(appointed: bool, qualified: bool, may: bool) -> None:
    why_not = why_not_evaluate(appointed=appointed, qualified=qualified, task_title="T")
    assert (why_not is None) is may
