"""What answers a requirement is there: every test that the table names exists and holds tests."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TABLE = ROOT / "trainer" / "records" / "REQUIREMENTS.md"
NAMED = re.compile(r"`(tests/[\w/]+\.py)`")


def test_every_test_that_is_named_exists_and_holds_tests() -> None:
    named = set(NAMED.findall(TABLE.read_text(encoding="utf-8")))
    assert len(named) > 30
    for path in sorted(named):
        assert "\ndef test_" in (ROOT / path).read_text(encoding="utf-8"), path


def test_every_row_says_what_answers_it() -> None:
    rows = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if line.startswith("| ")]
    for row in rows:
        answer = row.rstrip("|").rpartition("|")[2].strip()
        said = NAMED.search(answer) or answer.startswith(
            ("owner", "not ", "none", "left out", "answered", "accounts")
        )
        assert answer == "answered by" or said, row
