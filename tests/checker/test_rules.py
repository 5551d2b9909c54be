"""Every rule: its Wrong example yields exactly its code, its Right example nothing; every rule file is in the list."""

from __future__ import annotations

import pkgutil
from typing import TYPE_CHECKING

import pytest

import trainer.checker.rules
from tests.checker.samples import SHARED
from trainer.checker.check import check_text
from trainer.checker.manual import complete, page
from trainer.checker.rules import RULES
from trainer.procedure.precedence import Fault

if TYPE_CHECKING:
    from trainer.checker.checked import Rule


def _name(rule: Rule) -> str:
    return rule.CODE


@pytest.mark.parametrize("rule", RULES, ids=_name)
def test_the_wrong_example_yields_exactly_its_code(rule: Rule) -> None:
    _, findings = check_text(complete(page(rule).wrong), "wrong.yaml", SHARED)
    assert {finding.code for finding in findings} == {rule.CODE}, findings
    assert {finding.signal for finding in findings} == {rule.SIGNAL}


@pytest.mark.parametrize("rule", RULES, ids=_name)
def test_the_right_example_yields_nothing(rule: Rule) -> None:
    _, findings = check_text(complete(page(rule).right), "right.yaml", SHARED)
    assert findings == ()


@pytest.mark.parametrize("rule", RULES, ids=_name)
def test_a_finding_says_what_is_wrong_and_how_to_mend_it(rule: Rule) -> None:
    _, findings = check_text(complete(page(rule).wrong), "wrong.yaml", SHARED)
    for finding in findings:
        assert finding.place.line >= 1
        assert finding.place.column >= 1
        assert finding.what.endswith((".", "?"))
        assert finding.mend.endswith(".")


def test_every_rule_file_is_in_the_list() -> None:
    files = {module.name for module in pkgutil.iter_modules(trainer.checker.rules.__path__)}
    listed = {str(rule.__name__).rpartition(".")[2] for rule in RULES}  # type: ignore[attr-defined]
    assert files == listed


def test_every_fault_of_an_order_has_its_rule() -> None:
    assert {str(fault) for fault in Fault} <= {rule.CODE for rule in RULES}


def test_a_file_is_named_after_its_code() -> None:
    for rule in RULES:
        name = str(rule.__name__).rpartition(".")[2]  # type: ignore[attr-defined]
        assert name.replace("_", "-").startswith(rule.CODE)


def test_codes_are_told_apart() -> None:
    codes = [rule.CODE for rule in RULES]
    assert len(codes) == len(set(codes))
