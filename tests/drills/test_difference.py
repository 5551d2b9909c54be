"""What a revision changes: the sentences, and the competencies touched; expected values written by hand."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from tests.modules import SMALL_VALVE
from trainer.cli import command
from trainer.drills.difference import Difference, NotOneModule, difference
from trainer.procedure import library

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.procedure.model import Module


def _module(text: str) -> Module:
    return library.read_module(text, "small-valve.yaml", library.tables())


def _against(old: str, new: str) -> Difference:
    assert old != new
    return difference(_module(old), _module(new))


def test_the_same_text_in_other_quotes_is_no_difference() -> None:
    old = _module(SMALL_VALVE)
    found = difference(
        old, _module(SMALL_VALVE.replace("title: Overhaul a small", "title:   Overhaul a small"))
    )
    assert (found.changes, found.skills, found.classes) == ((), (), ())


def test_another_torque_touches_the_tightening_of_that_set_alone() -> None:
    found = _against(SMALL_VALVE, SMALL_VALVE.replace("DN 80: 95 N·m", "DN 80: 110 N·m"))
    (change,) = found.changes
    assert (change.table, change.id) == ("fasteners", "bonnet_studs")
    assert change.text == "Fastener 'Bonnet studs', torque: DN 80 95 N·m, now DN 80 110 N·m."
    # The card with the slips prints the torque too.
    assert {(skill.id, skill.how) for skill in found.skills} == {
        ("torque-pass:bonnet_studs", "changed"),
        ("find-the-slip", "changed"),
    }


def test_a_need_that_goes_is_told_as_an_order_that_no_longer_holds() -> None:
    found = _against(
        SMALL_VALVE, SMALL_VALVE.replace("needs: run_shut, prove: body_vented", "prove: body_vented")
    )
    assert any(
        change.table == "order" and "no longer has to come before" in change.text for change in found.changes
    )
    assert any(skill.id.startswith("order") for skill in found.skills)
    back = _against(
        SMALL_VALVE.replace("needs: run_shut, prove: body_vented", "prove: body_vented"), SMALL_VALVE
    )
    assert any(change.table == "order" and " now: " in change.text for change in back.changes)


def test_a_summary_touches_no_competency() -> None:
    found = _against(SMALL_VALVE, SMALL_VALVE.replace("document: TEST-0001", "document: TEST-0001-B"))
    assert [change.text for change in found.changes] == ["Document: TEST-0001, now TEST-0001-B."]
    assert (found.skills, found.classes) == ((), ())


def test_two_modules_are_no_two_revisions() -> None:
    with pytest.raises(NotOneModule):
        _against(SMALL_VALVE, SMALL_VALVE.replace("module: small-valve", "module: other-valve"))


def test_the_command_tells_both_forms(tmp_path: Path) -> None:
    runner = CliRunner()
    old, new = tmp_path / "a.yaml", tmp_path / "b.yaml"
    old.write_text(SMALL_VALVE, encoding="utf-8")
    new.write_text(SMALL_VALVE.replace("95 N·m", "110 N·m"), encoding="utf-8")
    said = runner.invoke(command, ["difference", str(old), str(new)])
    told = runner.invoke(command, ["difference", str(old), str(new), "--format", "json"])
    data = json.loads(told.output)
    assert said.exit_code == told.exit_code == 0, said.output
    assert "Competencies touched" in said.output
    assert data["changes"][0]["id"] == "bonnet_studs"
    assert data["competencies"]
    assert data["element_classes"]
