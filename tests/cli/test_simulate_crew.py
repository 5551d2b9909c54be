"""`trainer simulate-crew`: shapes, exit codes, sentences."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner, Result

from trainer import settings
from trainer.actions import accounts, people, policy, upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.actions.permissions import Role
from trainer.cli import command
from trainer.competency import proving_ground
from trainer.competency.sequential import plan_for

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.competency.policy import Policy
    from trainer.competency.sequential import Plan
    from trainer.competency.skill_classes import SkillClass

NOW = datetime(2027, 3, 1, 8, 0, tzinfo=UTC)
FEW = ("--people", "2000")


@pytest.fixture(autouse=True)
def _elsewhere(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TRAINER_INSTANCE", str(tmp_path / "instance"))
    monkeypatch.delenv("TRAINER_DATABASE_URL", raising=False)


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(command, ["simulate-crew", *arguments])


def test_json_has_the_fixed_shape() -> None:
    result = _run(*FEW, "--format", "json")
    assert result.exit_code == 0
    assert result.stderr == ""
    data = json.loads(result.stdout)
    assert {"people", "beta", "alpha", "false_pass", "false_fail", "mean_attempts"} <= set(data)
    assert data["people"] == 2000
    assert 0 < data["false_pass"]["rate"] < data["false_pass"]["upper_95"] <= data["beta"]
    assert {"rate", "upper_95"} <= set(data["false_fail"])
    assert 0 < data["mean_attempts"]["ours"] < data["mean_attempts"]["fixed_length"]
    assert set(data["classes"]) == set(data["refreshers"]) == {"critical", "ordinary", "abnormal"}
    assert data["classes"]["critical"]["false_pass"] == data["false_pass"]


def test_text_says_it_in_words() -> None:
    result = _run(*FEW, "--seed", "2")
    assert result.exit_code == 0
    assert result.stdout.startswith("2,000 invented people, seed 2\n")
    for words in ("found ready below standard", "within the stated 5.0 %", "in a row", "days of 92 allowed"):
        assert words in result.stdout


def test_a_policy_of_ones_own(tmp_path: Path) -> None:
    file = tmp_path / "policy.json"
    file.write_text('{"critical_false_pass": "0.025"}', encoding="utf-8")
    result = _run(*FEW, "--policy", str(file), "--format", "json")
    assert json.loads(result.stdout)["beta"] == 0.025


def test_without_an_instance_the_numbers_are_the_programs_own(tmp_path: Path) -> None:
    result = _run(*FEW)
    assert "\nNumbers: the program's own\n" in result.stdout
    assert not (tmp_path / "instance").exists()


def test_the_numbers_in_force_at_the_instance_are_used_unless_others_are_given(tmp_path: Path) -> None:
    chosen = settings.load()
    upkeep.upgrade(chosen)
    assert "nobody has changed them" in _run(*FEW).stdout
    with open_database(chosen) as db:
        people.add(
            db, SYSTEM, "bea", "Bea Invented", (Role.KEEPER,), "", password="bea has no secrets", now=NOW
        )
        keeper = accounts.sign_in(db, "bea", "bea has no secrets", address="192.0.2.1", now=NOW).actor
        changed = {"critical_false_pass": "0.1", "critical_poor": "0.3"}
        policy.change(db, keeper, changed, because="Invented.", password="bea has no secrets", now=NOW)
    data = json.loads(_run(*FEW, "--format", "json").stdout)
    assert data["beta"] == 0.1
    assert data["numbers"]["policy"]["critical_poor"] == "0.3"
    assert "in force at the instance since 2027-03-01" in data["numbers"]["from"]
    file = tmp_path / "policy.json"
    file.write_text("{}", encoding="utf-8")
    assert json.loads(_run(*FEW, "--policy", str(file), "--format", "json").stdout)["beta"] == 0.05


@pytest.mark.parametrize(
    ("text", "why"),
    [("[]", "must be a JSON object"), ("{", "must be a JSON object"), ('{"x": 1}', "no number 'x'")],
)
def test_an_odd_policy_is_refused_in_a_sentence(tmp_path: Path, text: str, why: str) -> None:
    file = tmp_path / "policy.json"
    file.write_text(text, encoding="utf-8")
    result = _run(*FEW, "--policy", str(file))
    assert result.exit_code == 2
    assert why in result.stderr


def test_too_few_people_are_refused_in_a_sentence() -> None:
    result = _run("--people", "5")
    assert result.exit_code == 2
    assert result.stderr == "trainer: A crew to simulate has 100 to 1000000 people, not 5.\n"


def test_a_rule_that_breaks_its_risk_ends_with_1(monkeypatch: pytest.MonkeyPatch) -> None:
    def careless(numbers: Policy, skill_class: SkillClass, _series: int) -> Plan:
        honest = plan_for(numbers, skill_class, 1)
        return type(honest)(honest.p0, honest.p1, honest.alpha, 0.4)

    monkeypatch.setattr(proving_ground, "plan_for", careless)
    result = _run(*FEW)
    assert result.exit_code == 1
    assert "NOT SHOWN WITHIN" in result.stdout
