from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW
from tests.people import AMA, EVERYBODY, KIT, SOL
from trainer.actions import accounts, policy
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.competency.policy import Policy
from trainer.store import events, policies

if TYPE_CHECKING:
    from trainer.actions.opening import Database

STRICTER = {"critical_false_pass": "0.01"}


def _change(db: Database, values: dict[str, str], because: str = "Two incidents last winter.") -> str:
    return policy.change(db, bench.enter(db, KIT), values, because=because, password=KIT.password, now=NOW)


def test_the_defaults_are_in_force_until_somebody_sets_other_numbers(db: Database) -> None:
    sheet = policy.sheet(db, bench.enter(db, AMA))
    assert (sheet.policy, sheet.is_in_force, sheet.changed) == (Policy(), True, frozenset())
    _change(db, STRICTER)
    sheet = policy.sheet(db, bench.enter(db, AMA))
    assert str(sheet.policy.critical_false_pass) == "0.01"
    assert sheet.changed == {"critical_false_pass"}
    assert sheet.policy.ordinary_false_pass == Policy().ordinary_false_pass


def test_every_policy_stays_readable_under_its_hash(db: Database) -> None:
    before = policy.sheet(db, SYSTEM).line.sha256
    _change(db, STRICTER)
    _change(db, {"critical_false_pass": "0.02"})
    sheet = policy.sheet(db, SYSTEM, before)
    assert (sheet.policy, sheet.is_in_force) == (Policy(), False)
    now, between, first = policy.sheet(db, SYSTEM).history
    assert (now.set_by, between.set_by, first.set_by) == (KIT.display_name, KIT.display_name, "")
    assert first.sha256 == before
    assert str(policy.sheet(db, SYSTEM, between.sha256).policy.critical_false_pass) == "0.01"
    with pytest.raises(NotFound):
        policy.sheet(db, SYSTEM, "0" * 64)


def test_a_change_is_logged_with_what_was_and_what_is(db: Database) -> None:
    _change(db, STRICTER)
    with db.reading() as unit:
        (entry,) = [event for event in events.since(unit) if event.action == "policy:set"]
    told = json.loads(entry.payload)
    assert entry.person_id == KIT.id
    assert told["changed"] == {"critical_false_pass": ["0.05", "0.01"]}
    assert told["because"] == "Two incidents last winter."
    assert (told["before"], told["policy"]) == (
        policies.digest(Policy().as_data()),
        policy.sheet(db, SYSTEM).line.sha256,
    )


def test_only_the_keeper_sets_the_numbers_and_everybody_reads_them(db: Database) -> None:
    for someone in EVERYBODY:
        actor = bench.enter(db, someone)
        assert policy.sheet(db, actor).policy == Policy()
        if someone is not KIT:
            with pytest.raises(NotAllowed):
                policy.change(db, actor, STRICTER, because="So.", password=someone.password, now=NOW)
    with pytest.raises(NotAllowed):
        policy.change(db, SYSTEM, STRICTER, because="So.", password="", now=NOW)


def test_a_wrong_password_changes_nothing(db: Database) -> None:
    with pytest.raises(accounts.PasswordWrong):
        policy.change(db, bench.enter(db, KIT), STRICTER, because="So.", password=SOL.password, now=NOW)
    assert policy.sheet(db, SYSTEM).policy == Policy()


def test_without_a_reason_nothing_changes(db: Database) -> None:
    for because in ("", "  \n ", "x" * 2001):
        with pytest.raises(policy.ReasonMissing):
            _change(db, STRICTER, because)
    assert policy.sheet(db, SYSTEM).policy == Policy()


def test_each_wrong_number_is_told_by_its_name(db: Database) -> None:
    typed = {"critical_false_pass": "0.9", "series_most": "2.5", "exposure": "many", "clean_in_a_row": "4"}
    with pytest.raises(policy.PolicyUnfit) as refused:
        _change(db, typed)
    assert set(refused.value.fields) == {"critical_false_pass", "series_most", "exposure"}
    assert "between 0.001 and 0.2" in refused.value.fields["critical_false_pass"]
    assert "whole number" in refused.value.fields["series_most"]
    assert policy.sheet(db, SYSTEM).policy == Policy()


def test_two_numbers_that_contradict_each_other_are_told(db: Database) -> None:
    with pytest.raises(policy.PolicyUnfit, match="must be less than") as refused:
        _change(db, {"critical_good": "0.15", "critical_poor": "0.1"})
    assert set(refused.value.fields) == {"critical_good"}


def test_the_same_numbers_again_are_no_change(db: Database) -> None:
    with pytest.raises(policy.PolicyUnfit, match="nothing is different"):
        _change(db, {"critical_false_pass": "0.050"})


def test_the_session_gets_a_new_token(db: Database) -> None:
    entered = accounts.sign_in(db, KIT.sign_in_name, KIT.password, address="192.0.2.1", now=NOW)
    token = policy.change(db, entered.actor, STRICTER, because="So.", password=KIT.password, now=NOW)
    assert accounts.actor_for(db, entered.token, now=NOW) is None
    assert accounts.actor_for(db, token, now=NOW) == entered.actor
