"""Checking files: all findings in one run, in the order of their places, whatever the files hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checker.samples import SHARED
from tests.modules import SMALL_VALVE
from trainer import settings
from trainer.checker.check import check_paths, check_shipped, check_text, is_sound
from trainer.procedure import library
from trainer.procedure.findings import Finding, Place, Signal
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

MANY_FAULTS = """\
module: many-faults
title: A procedure with a fault in every corner
covered_task: T-31
sizes: [DN 50, DN 80]
facts:
  run_shut: {text: The run is shut, hand_back: true}
parts:
  body: {fixed: yes}
  cover: {rest_on: body, mass: {DN 50: 31 kg}}
fasteners:
  cover_nuts: {clamp: cover, count: 5, torque: 95, pattern: cross}
steps:
  - {id: shut, do: Close both run valves, makes: run_shut}
  - {id: slack, do: Undo the cover nuts, undo: cover_nuts, needs: run_shot}
  - {id: lift, do: Lift the cover, remove: cover}
  - {id: close, do: Lower the cover, install: cover, after: lift}
"""


def codes(text: str | bytes) -> list[tuple[int, str]]:
    _, findings = check_text(text, "valve.yaml", SHARED)
    return [(finding.place.line, finding.code) for finding in findings]


@pytest.fixture
def fresh_tables() -> Iterator[None]:
    library.tables.cache_clear()
    yield
    library.tables.cache_clear()


def test_all_findings_come_in_one_run_in_the_order_of_their_places() -> None:
    assert codes(MANY_FAULTS) == [
        (8, "wrong-value"),
        (9, "unknown-key"),
        (9, "heavy-without-lift"),
        (9, "size-without-value"),
        (11, "unit"),
        (11, "cross-pattern-impossible"),
        (13, "not-handed-back"),
        (14, "undone-never-tightened"),
        (14, "unknown-name"),
        (16, "order-without-because"),
    ]


def test_a_finding_stands_where_the_mistake_is() -> None:
    _, findings = check_text(MANY_FAULTS, "valve.yaml", SHARED)
    lines = MANY_FAULTS.splitlines()
    by_code = {finding.code: finding.place for finding in findings}
    for code, word in (("unit", "95,"), ("unknown-name", "run_shot"), ("unknown-key", "rest_on")):
        place = by_code[code]
        assert place.file == "valve.yaml"
        assert lines[place.line - 1][place.column - 1 :].startswith(word)


def test_the_same_text_gives_the_same_findings() -> None:
    assert check_text(MANY_FAULTS, "a.yaml", SHARED) == check_text(MANY_FAULTS.encode(), "a.yaml", SHARED)


def test_the_small_valve_may_be_used() -> None:
    _, findings = check_text(SMALL_VALVE, "valve.yaml", SHARED)
    assert is_sound(findings)


def test_only_an_error_keeps_a_module_out_of_use() -> None:
    def finding(signal: Signal) -> Finding:
        return Finding("a-code", signal, Place("a.yaml", 1, 1), "Something.", "Mend it.")

    assert is_sound([finding(Signal.WARNING), finding(Signal.ADVICE)])
    assert not is_sound([finding(Signal.WARNING), finding(Signal.ERROR)])


# -- whatever the file holds --------------------------------------------------------------------------------

DAMAGES: dict[str, Callable[[str], list[str]]] = {
    "deleted": lambda _: [],
    "doubled": lambda line: [line, line],
    "reversed": lambda line: [line[::-1]],
    "cut in half": lambda line: [line[: len(line) // 2]],
    "without its colons": lambda line: [line.replace(":", " ")],
    "without its brackets": lambda line: [line.replace("}", "").replace("]", "")],
    "with a letter changed": lambda line: [line[:7] + "x" + line[8:]],
    "with a tab": lambda line: ["\t" + line],
    "emptied": lambda line: [line.partition(":")[0] + ":"],
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_any_damaged_line_gives_findings_with_a_place_or_a_module_with_an_order(damage: str) -> None:
    lines = SMALL_VALVE.splitlines()
    for number, line in enumerate(lines):
        damaged = [*lines[:number], *DAMAGES[damage](line), *lines[number + 1 :]]
        module, findings = check_text("\n".join(damaged), "valve.yaml", SHARED)
        assert all(1 <= finding.place.line <= len(damaged) + 1 for finding in findings)
        # Whatever reading has found is passed on by some rule.
        assert set(module.problems) <= set(findings)
        if is_sound(findings):
            # No error means that everything derived from the module is there.
            assert prepare(module).order.size == len(module.steps)


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"\xff\xfe",
        b"module",
        b"[1, 2]",
        b"steps: []",
        b"steps: [1]",
        b"parts: {a: {rests_on: a}}",
        b"? {a: b}",
    ],
)
def test_any_file_gives_findings_and_no_traceback(text: bytes) -> None:
    _, findings = check_text(text, "valve.yaml", SHARED)
    assert not is_sound(findings)


def test_a_value_that_no_physics_allows_is_told_and_hides_nothing() -> None:
    text = SMALL_VALVE.replace("DN 50: 80 mm", "DN 50: 0 mm").replace(
        "tighten: cap_screws", "note: Forgotten"
    )
    found = {code for _, code in codes(text)}
    assert {"value-not-positive", "undone-never-tightened"} <= found


def test_a_quoted_flag_is_told_even_when_the_plain_one_was_checked_before() -> None:
    plain = "parts:\n  body: {fixed: true}\nsteps:\n  - {id: lift, do: Lift it, remove: body}\n"
    assert "fixed-part-moves" in {code for _, code in codes(plain)}
    quoted = {code for _, code in codes(plain.replace("true", "'true'"))}
    assert "wrong-value" in quoted
    assert "fixed-part-moves" not in quoted
    assert "fixed-part-moves" in {code for _, code in codes(plain)}


# -- files and folders --------------------------------------------------------------------------------------


def test_a_broken_file_does_not_hide_the_findings_of_another(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("module: [")
    (tmp_path / "b.yaml").write_text(MANY_FAULTS)
    found = {(finding.place.file, finding.code) for finding in check_paths([tmp_path])}
    assert (str(tmp_path / "a.yaml"), "yaml") in found
    assert (str(tmp_path / "b.yaml"), "not-handed-back") in found


def test_a_folder_is_searched_with_its_folders_for_procedure_files(tmp_path: Path) -> None:
    inner = tmp_path / "valves"
    inner.mkdir()
    (tmp_path / "folder.yaml").mkdir()
    (inner / "a.yml").write_text("module: [")
    (tmp_path / "notes.txt").write_text("module: [")
    assert [finding.place.file for finding in check_paths([tmp_path])] == [str(inner / "a.yml")]


def test_a_file_that_is_named_twice_is_checked_once(tmp_path: Path) -> None:
    file = tmp_path / "a.yaml"
    file.write_text("module: [")
    assert len(check_paths([file, tmp_path, file])) == 1


@pytest.mark.parametrize("name", ["nothing-here.yaml", "nothing-here"])
def test_a_path_that_cannot_be_opened_is_said_so(tmp_path: Path, name: str) -> None:
    with pytest.raises(library.FileUnreadable, match="nothing-here"):
        check_paths([tmp_path / name])


@pytest.mark.usefixtures("fresh_tables")
def test_the_shared_tables_are_checked_with_what_is_shipped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for folder in ("content", "shared"):
        (tmp_path / folder).mkdir()
    (tmp_path / "content" / "valve.yaml").write_text("module: [")
    (tmp_path / "shared" / "cautions.yaml").write_text(
        "cautions:\n  noise: {signal: loud, text: It is loud}\n"
    )
    (tmp_path / "shared" / "glossary.yaml").write_text("terms: {run: A regulator line}\n")
    (tmp_path / "shared" / "tools.yaml").write_text("tools: {wrench: Torque wrench, hoist: {nam: Hoist}}\n")
    monkeypatch.setattr(settings, "shipped", lambda folder: tmp_path / folder)
    found = {(finding.place.file.rpartition("/")[2], finding.code) for finding in check_shipped()}
    assert found == {
        ("cautions.yaml", "wrong-value"),
        ("tasks.yaml", "yaml"),
        ("tools.yaml", "missing-key"),
        ("tools.yaml", "unknown-key"),
        ("valve.yaml", "yaml"),
    }
