"""What answers a requirement is there: every test that the tables name exists, and no row stands for many or for nothing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TABLE = ROOT / "trainer" / "records" / "REQUIREMENTS.md"
NAMED = re.compile(r"`(tests/[\w/]+\.py)(?:::(\w+))?`")
_REASONS = ("owner: ", "does not apply: ", "left out: ")
_TEXT = TABLE.read_text(encoding="utf-8")


def _rows(text: str) -> list[tuple[str, str]]:
    """Return name and answer of each row of the tables."""
    lines = [line for line in text.splitlines() if line.startswith("| ")]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return [(row[0], row[-1]) for row in cells if row[-1] != "answered by"]


def _is_answered(answer: str) -> bool:
    """Return whether an answer names a test, or gives a reason why there is none."""
    with_reason = [answer for start in _REASONS if answer.startswith(start) and len(answer) > len(start) + 10]
    return bool(NAMED.search(answer) or with_reason)


@pytest.mark.parametrize(("file", "function"), sorted(set(NAMED.findall(_TEXT))), ids=str)
def test_every_test_that_is_named_exists(file: str, function: str) -> None:
    source = (ROOT / file).read_text(encoding="utf-8")
    assert re.search(rf"^def {function or 'test_'}", source, re.MULTILINE), (
        f"{file} has no {function or 'test'}"
    )
    if function:
        assert f"\ndef {function}(" in source, f"{file} has no {function}"


def test_every_row_says_what_answers_it() -> None:
    rows = _rows(_TEXT)
    assert len(rows) > 150
    assert [name for name, answer in rows if not _is_answered(answer)] == []


def test_no_two_rows_of_a_table_have_one_name() -> None:
    for table in re.split(r"^## ", _TEXT, flags=re.MULTILINE):
        names = [name for name, _ in _rows(table)]
        assert sorted(names) == sorted(set(names))


def test_the_check_can_fail() -> None:
    assert _is_answered("owner: the written programme")
    assert not _is_answered("owner: ")
    assert not _is_answered("is kept")
    assert _rows("| paragraph | what | answered by |\n|---|---|---|\n| 1 | two | three |") == [("1", "three")]
