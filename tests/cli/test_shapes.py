"""The shapes on which scripts rely: exit codes, one sentence on standard error, JSON."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner, Result

from tests.modules import SMALL_VALVE
from trainer import drills
from trainer.cli import COMMANDS, command
from trainer.procedure import library

if TYPE_CHECKING:
    from pathlib import Path


def run(*words: str, given: str = "") -> Result:
    return CliRunner().invoke(command, list(words), input=given)


def data(result: Result) -> Any:
    return json.loads(result.stdout)


@pytest.fixture
def valve(tmp_path: Path) -> str:
    path = tmp_path / "small-valve.yaml"
    path.write_text(SMALL_VALVE, encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_with_an_example(name: str) -> None:
    result = run(name, "--help")
    assert result.exit_code == 0, result.output
    assert "Example" in result.stdout


def test_order_gives_relations_that_generate_the_order(valve: str) -> None:
    found = data(run("order", valve, "--phase", "teardown", "--format", "json"))
    assert found.keys() == {"module", "revision", "steps", "relations", "legal_orders", "width"}
    assert found["module"] == "small-valve"
    assert found["legal_orders"] == "17"
    assert isinstance(found["width"], int)
    for relation in found["relations"]:
        assert relation.keys() == {"before", "after", "reasons"}
        assert relation["reasons"]
        for reason in relation["reasons"]:
            assert reason["signal"] in {"danger", "warning", "caution", "notice", None}


def test_mark_gives_the_incident_and_the_fewest_moves(valve: str) -> None:
    result = run(
        "mark",
        valve,
        "--steps",
        "shut,vent,studs",
        "--answer",
        "-",
        "--format",
        "json",
        given='["studs","shut","vent"]',
    )
    assert result.exit_code == 1
    found = data(result)
    assert found.keys() == {"legal", "moves", "credit", "critical", "broken", "incident", "move"}
    assert (found["legal"], found["moves"], found["critical"], found["move"]) == (False, 1, True, ["studs"])
    # Width 1 on three steps: 1 - 1 / (3 - 1).
    assert found["credit"] == 0.5
    assert found["incident"]["step"] == "studs"
    assert found["incident"]["position"] == 1
    assert found["incident"]["signal"] == "danger"
    # 8 bar on a diameter of 80 and 140 mm: p · π d² / 4 = 4.02 kN and 12.3 kN.
    assert "4\u202fkN at DN 50 and 12\u202fkN at DN 100" in found["incident"]["text"]


def test_mark_of_a_legal_order_is_clean(valve: str) -> None:
    result = run(
        "mark", valve, "--steps", "vent,shut", "--answer", "-", "--format", "json", given='["shut","vent"]'
    )
    assert result.exit_code == 0
    assert data(result) == {
        "legal": True,
        "moves": 0,
        "credit": 1.0,
        "critical": False,
        "broken": [],
        "incident": None,
        "move": [],
    }


def test_check_lists_findings_and_exits_with_1(tmp_path: Path) -> None:
    path = tmp_path / "wrong.yaml"
    path.write_text(SMALL_VALVE.replace("makes: run_shut}", "makes: run_shutt}"), encoding="utf-8")
    result = run("check", str(path), "--format", "json")
    assert result.exit_code == 1
    found = data(result)
    assert all(item.keys() == {"code", "signal", "file", "line", "column", "what", "mend"} for item in found)
    wrong = next(item for item in found if item["code"] == "unknown-name")
    line = next(
        n for n, text in enumerate(path.read_text(encoding="utf-8").splitlines(), 1) if "run_shutt" in text
    )
    assert (wrong["file"], wrong["line"]) == (str(path), line)
    assert "Did you mean `run_shut`?" in wrong["what"]


def test_the_shipped_content_is_clean() -> None:
    result = run("check")
    assert (result.exit_code, result.stdout) == (0, "Nothing to mend.\n")


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("order", "no-such"), "There is no procedure 'no-such'"),
        (("check", "/no/such/file.yaml"), "/no/such/file.yaml cannot be read"),
        (("ask", "--kind", "order"), "Name a module, a kind and a seed"),
        (
            ("ask", "piston-valve-overhaul", "--kind", "juggling", "--seed", "1"),
            "no kind of drill 'juggling'",
        ),
        (
            ("mark", "piston-valve-overhaul", "--phase", "x", "--steps", "y", "--answer", "-"),
            "either --phase or --steps",
        ),
        (("mark", "piston-valve-overhaul", "--phase", "x", "--answer", "-"), "no phase 'x'"),
        (("order", "piston-valve-overhaul", "--steps", "shutt"), "no step 'shutt'"),
        (
            ("answer", "piston-valve-overhaul", "--kind", "order", "--seed", "1", "--answer", "-"),
            "is not JSON",
        ),
    ],
)
def test_what_cannot_run_says_so_in_one_sentence(words: tuple[str, ...], sentence: str) -> None:
    result = run(*words, given="{")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert sentence in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1


def test_ask_and_answer_go_together() -> None:
    asked = run(
        "ask",
        "piston-valve-overhaul",
        "--kind",
        "order",
        "--seed",
        "7",
        "--size",
        "DN 80",
        "--format",
        "json",
    )
    question = data(asked)
    assert question["form"] == "arrange"
    lines = [line["id"] for line in question["lines"]]
    answer = (
        "answer",
        "piston-valve-overhaul",
        "--kind",
        "order",
        "--seed",
        "7",
        "--size",
        "DN 80",
        "--format",
        "json",
    )
    result = run(*answer, "--answer", "-", given=json.dumps(lines))
    assert result.exit_code == 1
    mark = data(result)
    assert mark["right"] is False
    assert mark["incident"]["text"]
    in_place = sorted(mark["lines"], key=lambda line: line["place"])
    again = run(*answer, "--answer", "-", given=json.dumps([line["id"] for line in in_place]))
    assert again.exit_code == 0
    assert data(again)["right"] is True


def test_ask_lists_what_each_module_can_give() -> None:
    found = data(run("ask", "--list", "--format", "json"))
    kinds = {row["kind"] for row in found if row["module"] == "piston-valve-overhaul" and row["skills"]}
    assert kinds == set(drills.KINDS) - {"line-up"}
    assert {row["module"] for row in found if row["kind"] == "line-up" and row["skills"]} == {
        "station-run-service"
    }


@pytest.mark.parametrize("kind", drills.KINDS)
def test_every_kind_can_be_read_as_text(kind: str) -> None:
    module = "station-run-service" if kind == "line-up" else "piston-valve-overhaul"
    said = run("ask", module, "--kind", kind, "--seed", "3").output
    form = data(run("ask", module, "--kind", kind, "--seed", "3", "--format", "json"))
    shown = [*form.get("lines", []), *form.get("rows", []), *form.get("fields", []), *form.get("options", [])]
    assert shown
    for item in shown:
        assert f"  {item['id']}  {item['text']}" in said
        for option in item.get("options", []):
            assert f"  {option['id']}  {option['text']}" in said
    assert "Answer: a JSON" in said


def test_a_run_is_asked_on_pick_by_pick() -> None:
    address = ("ask", "piston-valve-overhaul", "--kind", "what-now", "--seed", "3", "--size", "DN 80")
    first, *rest = drills.key(library.load("piston-valve-overhaul"), "what-now", "DN 80", 3)
    said = run(*address, "--after", str(first)).output
    assert "  picked 1: " in said
    over = run(*address, *(word for pick in (first, *rest) for word in ("--after", str(pick))))
    assert over.exit_code == 2
    assert "The run is over after these picks" in over.output
