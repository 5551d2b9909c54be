"""Who may do what: one table of role by permission, and beside it the conditions a table cannot say."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


class Role(StrEnum):
    """What a person does here; one person has one or more."""

    TECHNICIAN = "technician"
    MENTOR = "mentor"
    SUPERVISOR = "supervisor"
    INSPECTOR = "inspector"
    KEEPER = "keeper"

    @property
    def words(self) -> str:
        """The role as printed."""
        return _TITLES[self]


_TITLES = {
    Role.TECHNICIAN: "Technician",
    Role.MENTOR: "Mentor",
    Role.SUPERVISOR: "Supervisor",
    Role.INSPECTOR: "Inspector",
    Role.KEEPER: "Keeper of the register",
}


class Permission(StrEnum):
    """Something that can be allowed, as `resource:action`."""

    ACCOUNT_OWN = "account:own"
    AGREEMENT_READ = "agreement:read"
    ANALYSIS_READ = "analysis:read"
    ATTEMPT_READ = "attempt:read"
    CREW_READ = "crew:read"
    DATA_READ = "data:read"
    EARLIER_TRANSCRIBE = "earlier:transcribe"
    EVALUATION_RECORD = "evaluation:record"
    KEEPING_DECIDE = "keeping:decide"
    KEEPING_PROPOSE = "keeping:propose"
    KEEPING_READ = "keeping:read"
    LEDGER_READ = "ledger:read"
    LEDGER_SIGN = "ledger:sign"
    MODULE_ASSIGN = "module:assign"
    MODULE_PUBLISH = "module:publish"
    MODULE_READ = "module:read"
    OBSERVATION_READ = "observation:read"
    OBSERVATION_RECORD = "observation:record"
    PANEL_KEEP = "panel:keep"
    PEOPLE_MANAGE = "people:manage"
    PEOPLE_READ = "people:read"
    PLAN_KEEP = "plan:keep"
    POLICY_READ = "policy:read"
    POLICY_SET = "policy:set"
    PRACTICE_DO = "practice:do"
    QUALIFICATION_READ = "qualification:read"
    QUALIFICATION_SIGN = "qualification:sign"
    QUALIFICATION_SUSPEND = "qualification:suspend"
    RECORD_OWN = "record:own"
    RECORD_READ = "record:read"
    SHEET_OWN = "sheet:own"
    SITTING_RELEASE = "sitting:release"
    SITTING_TAKE = "sitting:take"
    TASK_SET = "task:set"


_P = Permission

ALLOWED: Mapping[Role, frozenset[Permission]] = {
    Role.TECHNICIAN: frozenset(
        {
            _P.ACCOUNT_OWN,
            _P.MODULE_READ,
            _P.POLICY_READ,
            _P.PRACTICE_DO,
            _P.RECORD_OWN,
            _P.SHEET_OWN,
            _P.SITTING_TAKE,
        }
    ),
    Role.MENTOR: frozenset(
        {
            _P.ACCOUNT_OWN,
            _P.ANALYSIS_READ,
            _P.ATTEMPT_READ,
            _P.CREW_READ,
            _P.EVALUATION_RECORD,
            _P.MODULE_ASSIGN,
            _P.MODULE_READ,
            _P.OBSERVATION_READ,
            _P.OBSERVATION_RECORD,
            _P.PEOPLE_READ,
            _P.POLICY_READ,
            _P.PRACTICE_DO,
            _P.RECORD_OWN,
            _P.RECORD_READ,
            _P.SHEET_OWN,
            _P.SITTING_RELEASE,
            _P.SITTING_TAKE,
        }
    ),
    Role.SUPERVISOR: frozenset(
        {
            _P.ACCOUNT_OWN,
            _P.AGREEMENT_READ,
            _P.ANALYSIS_READ,
            _P.ATTEMPT_READ,
            _P.CREW_READ,
            _P.DATA_READ,
            _P.EVALUATION_RECORD,
            _P.KEEPING_DECIDE,
            _P.KEEPING_PROPOSE,
            _P.KEEPING_READ,
            _P.MODULE_ASSIGN,
            _P.MODULE_READ,
            _P.OBSERVATION_READ,
            _P.OBSERVATION_RECORD,
            _P.PANEL_KEEP,
            _P.PEOPLE_READ,
            _P.PLAN_KEEP,
            _P.POLICY_READ,
            _P.QUALIFICATION_READ,
            _P.QUALIFICATION_SIGN,
            _P.QUALIFICATION_SUSPEND,
            _P.RECORD_OWN,
            _P.RECORD_READ,
        }
    ),
    Role.INSPECTOR: frozenset(
        {
            _P.ACCOUNT_OWN,
            _P.ANALYSIS_READ,
            _P.ATTEMPT_READ,
            _P.CREW_READ,
            _P.KEEPING_READ,
            _P.LEDGER_READ,
            _P.MODULE_READ,
            _P.OBSERVATION_READ,
            _P.PEOPLE_READ,
            _P.POLICY_READ,
            _P.QUALIFICATION_READ,
            _P.RECORD_READ,
        }
    ),
    Role.KEEPER: frozenset(
        {
            _P.ACCOUNT_OWN,
            _P.AGREEMENT_READ,
            _P.ANALYSIS_READ,
            _P.DATA_READ,
            _P.EARLIER_TRANSCRIBE,
            _P.KEEPING_DECIDE,
            _P.KEEPING_READ,
            _P.LEDGER_READ,
            _P.LEDGER_SIGN,
            _P.MODULE_PUBLISH,
            _P.MODULE_READ,
            _P.PANEL_KEEP,
            _P.PEOPLE_MANAGE,
            _P.PEOPLE_READ,
            _P.POLICY_READ,
            _P.POLICY_SET,
            _P.TASK_SET,
        }
    ),
}

# Roles that look after one crew and see the people of that crew alone; the others see every crew.
BOUND_TO_CREW = frozenset({Role.TECHNICIAN, Role.MENTOR})


def allowed(roles: Iterable[Role], permission: Permission) -> bool:
    """Return whether one of the roles has the permission."""
    return any(permission in ALLOWED[role] for role in roles)


def sees_every_crew(roles: Iterable[Role], permission: Permission) -> bool:
    """Return whether one of the roles that are not bound to a crew has the permission."""
    return any(permission in ALLOWED[role] for role in roles if role not in BOUND_TO_CREW)


# The law as read names no demand on evaluators, and 21 CFR 11.200(a)(3), which points to two people, does not bind here;
# these are house rules (common practice, no source).
NOBODY_EVALUATES_THEMSELVES = "Nobody evaluates themselves."
NOBODY_SIGNS_THEMSELVES = "Nobody signs for themselves."
ANOTHER_SIGNS = "You evaluated this person; another supervisor signs (house rule: two people)."


def why_not_evaluate(
    *, appointed: bool, qualified: bool, task_title: str, suspended: bool = False
) -> str | None:
    """Return why somebody has no right to evaluate for a task, or None when they have.

    Args:
        appointed: the evaluator holds an appointment as evaluator.
        qualified: the evaluator was qualified for the task on the day of the evaluation.
        task_title: the task, for the sentence.
        suspended: the evaluator was suspended for the task on that day; an appointment does not help then.
    """
    if suspended:
        return f"Whoever is suspended for '{task_title}' evaluates nobody in it on those days."
    if not (appointed or qualified):
        return (
            f"To evaluate '{task_title}' you must be qualified for it that day, or be appointed as evaluator."
        )
    return None


def why_not_check(*, checker: str, person: str, transcribed_by: str) -> str | None:
    """Return why this supervisor may not put their name to a transcribed record, or None when they may.

    Whoever keeps the register has no right to qualify anybody; without a second person, a file could do what its
    sender may not. Two people for one qualification is a house rule here as for a signature of our own.
    """
    if checker == person:
        return NOBODY_SIGNS_THEMSELVES
    if checker == transcribed_by:
        return "You put this record down; another supervisor holds it against the paper (house rule: two people)."
    return None
