"""The numbers of the programme: which are in force, what they were on any earlier day, and changing them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from trainer.actions import accounts, journal
from trainer.actions.actor import SYSTEM, NotFound
from trainer.actions.permissions import Permission
from trainer.competency import policy as numbers_of
from trainer.competency.policy import Policy, PolicyUnreadable
from trainer.errors import TrainerError
from trainer.records import canonical
from trainer.store import policies

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.store.policies import KeptPolicy
    from trainer.store.session import Database, Unit

_BROUGHT_ALONG = "The numbers that the program brings along; nobody has changed them yet."
_LONGEST_REASON = 2000
_MOST_KNOWN = 200
_known: dict[str, Policy] = {}


class PolicyUnfit(TrainerError):
    """The numbers cannot be put in force; `fields` says what is wrong with each that is wrong."""

    def __init__(self, fields: Mapping[str, str]) -> None:
        self.fields = dict(fields)
        super().__init__("Not changed: " + ("; ".join(self.fields.values()) or "nothing is different") + ".")


class ReasonMissing(TrainerError):
    """A change of the programme's numbers without a reason."""

    def __init__(self) -> None:
        super().__init__(f"Write down why the numbers change, in at most {_LONGEST_REASON} characters.")


POLICY_SET, POLICY_KEPT = "policy:set", "policy:keep"


@dataclass(frozen=True)
class PolicyLine:
    """One policy in the list of all that were in force; `set_by` is "" for the numbers the program brings along."""

    sha256: str
    set_by: str
    because: str
    at: datetime | None


@dataclass(frozen=True)
class PolicySheet:
    """The numbers of one policy, and the list of all; `changed` names those that differ from the default."""

    policy: Policy
    line: PolicyLine
    is_in_force: bool
    changed: frozenset[str]
    history: tuple[PolicyLine, ...]


@dataclass(frozen=True)
class InForce:
    """A policy and the hash that names it."""

    policy: Policy
    sha256: str


def in_force(unit: Unit) -> InForce:
    """Return the policy in force: the one set last, or the numbers that the program brings along."""
    kept = policies.in_force(unit)
    return _brought_along() if kept is None else InForce(_read(kept.sha256, kept.written), kept.sha256)


def kept_in_force(unit: Unit, *, now: datetime) -> InForce:
    """Return the policy in force, written down: what is decided under it can be worked out again later.

    The numbers that the program brings along may be others in a later program, so they are kept at their first use.
    """
    found = in_force(unit)
    if policies.by_hash(unit, found.sha256) is None:
        numbers = found.policy.as_data()
        _, number = policies.add(unit, numbers, because=_BROUGHT_ALONG, by="", at=now)
        journal.note(
            unit,
            SYSTEM,
            POLICY_KEPT,
            at=now,
            policy=found.sha256,
            number=number,
            numbers=numbers,
            because=_BROUGHT_ALONG,
        )
    return found


def by_hash(unit: Unit, sha256: str) -> Policy:
    """Return a policy that was in force once.

    Raises:
        NotFound: none was kept under this hash.
    """
    brought = _brought_along()
    if sha256 == brought.sha256:
        return brought.policy
    if sha256 in _known:
        return _known[sha256]
    kept = policies.by_hash(unit, sha256)
    if kept is None:
        raise NotFound("policy", sha256)
    return _read(sha256, kept.written)


def _read(sha256: str, written: str) -> Policy:
    """Numbers never change under their hash, so each policy is read once a process."""
    if sha256 not in _known:
        if len(_known) >= _MOST_KNOWN:
            _known.pop(next(iter(_known)), None)
        _known[sha256] = numbers_of.read(canonical.read(written))
    return _known[sha256]


@cache
def _brought_along() -> InForce:
    policy = Policy()
    return InForce(policy, policies.digest(policy.as_data()))


def sheet(db: Database, actor: Actor, sha256: str | None = None) -> PolicySheet:
    """Return the numbers in force, or those of an earlier policy by its hash.

    Raises:
        NotFound: there was no such policy.
    """
    actor.must(Permission.POLICY_READ)
    with db.reading() as unit:
        now_in_force = in_force(unit)
        kept = policies.every(unit)
        wanted = sha256 or now_in_force.sha256
        policy = by_hash(unit, wanted)
    lines = tuple(_line(one) for one in kept) or (PolicyLine(now_in_force.sha256, "", _BROUGHT_ALONG, None),)
    return PolicySheet(
        policy=policy,
        line=next(
            (line for line in lines if line.sha256 == wanted), PolicyLine(wanted, "", _BROUGHT_ALONG, None)
        ),
        is_in_force=wanted == now_in_force.sha256,
        changed=frozenset(
            number.name for number in numbers_of.numbers() if getattr(policy, number.name) != number.default
        ),
        history=lines,
    )


def _line(kept: KeptPolicy) -> PolicyLine:
    return PolicyLine(kept.sha256, kept.setter_name, kept.because, kept.at)


def change(
    db: Database, actor: Actor, values: Mapping[str, str], *, because: str, password: str, now: datetime
) -> str:
    """Put new numbers in force; sittings that are under way keep the numbers they began with.

    Args:
        db: the database.
        actor: who keeps the programme.
        values: numbers by name as they were typed; those left out stay as they are.
        because: why, in writing.
        password: the actor's password again.
        now: the time.

    Returns:
        The session's new token.

    Raises:
        PolicyUnfit: a number is none, lies out of bounds or contradicts another one, or nothing is different.
        ReasonMissing: no reason is written, or a far too long one.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    actor.must(Permission.POLICY_SET)
    reason = because.strip()
    with db.reading() as unit:
        _changed(in_force(unit).policy, values)
    if not 0 < len(reason) <= _LONGEST_REASON:
        raise ReasonMissing
    actor = accounts.signing(db, actor, password, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        before = kept_in_force(unit, now=now)
        policy = _changed(before.policy, values)
        sha256, number = policies.add(unit, policy.as_data(), because=reason, by=actor.person_id, at=now)
        was, become = before.policy.as_data(), policy.as_data()
        journal.note(
            unit,
            actor,
            POLICY_SET,
            at=now,
            policy=sha256,
            number=number,
            numbers=become,
            before=before.sha256,
            changed={name: [was[name], become[name]] for name in become if was[name] != become[name]},
            because=reason,
            session=actor.session,
        )
    return token


def _changed(before: Policy, values: Mapping[str, str]) -> Policy:
    """Return the policy with some numbers changed, or say of each wrong one what is wrong with it."""
    kept = before.as_data()
    wrong: dict[str, str] = {}
    for number in numbers_of.numbers():
        if number.name in values:
            try:
                kept[number.name] = _as_data(numbers_of.value_of(number, values[number.name]))
            except PolicyUnreadable as problem:
                wrong[number.name] = problem.why
    if wrong:
        raise PolicyUnfit(wrong)
    try:
        policy = numbers_of.read(kept)
    except PolicyUnreadable as problem:
        named = [number.name for number in numbers_of.numbers() if f"'{number.name}'" in problem.why]
        raise PolicyUnfit(dict.fromkeys(named[:1] or [""], problem.why)) from problem
    if policy == before:
        raise PolicyUnfit({})
    return policy


def _as_data(value: object) -> int | str:
    return value if isinstance(value, int) else str(value)
