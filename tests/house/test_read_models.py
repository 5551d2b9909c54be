"""Every table follows from the log or says why not, and every action says what its entry does to the tables."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from trainer.actions.rebuild import CHANGES_NO_TABLE, PROJECTIONS
from trainer.store.read_models import NOT_IN_LOG, NOT_TOLD, REBUILT
from trainer.store.schema import metadata

ACTIONS = Path(__file__).resolve().parents[2] / "trainer" / "actions"
NAME = re.compile(r"[a-z_]+:[a-z_]+")
SENTENCE = re.compile(r"[A-Z][^.]+\.")


def test_every_table_stands_in_exactly_one_list() -> None:
    assert REBUILT | set(NOT_IN_LOG) == set(metadata.tables)
    assert not REBUILT & set(NOT_IN_LOG)


def test_what_is_not_in_the_log_has_its_reason_in_one_sentence() -> None:
    left_out = [column.because for columns in NOT_TOLD.values() for column in columns.values()]
    for reason in (*NOT_IN_LOG.values(), *left_out):
        assert SENTENCE.fullmatch(reason), reason


def test_only_columns_of_rebuilt_tables_are_left_out() -> None:
    assert set(NOT_TOLD) <= REBUILT
    for name, columns in NOT_TOLD.items():
        assert set(columns) < set(metadata.tables[name].c.keys())


def _written() -> set[str]:
    """The names of actions in the code; permissions are named alike and stand in a file of their own."""
    found = set()
    for path in sorted(ACTIONS.glob("*.py")) + sorted(ACTIONS.glob("rebuild/carried.py")):
        if path.name == "permissions.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and NAME.fullmatch(node.value):
                found.add(node.value)
    return found


def test_every_action_says_what_its_entry_does_to_the_tables() -> None:
    written = _written()
    assert len(written) > 40
    assert written == set(PROJECTIONS) | CHANGES_NO_TABLE
    assert not set(PROJECTIONS) & CHANGES_NO_TABLE


def test_the_name_of_an_action_is_written_out() -> None:
    """Else the test above would not see it."""
    for path in sorted(ACTIONS.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and getattr(node.func, "attr", getattr(node.func, "id", "")) == "note"
            ):
                assert not any(isinstance(one, ast.JoinedStr) for one in node.args), (
                    f"{path.name}:{node.lineno}"
                )
