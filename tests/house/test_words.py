"""The words of the job: nothing on a screen or a paper speaks of schooling or games."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import trainer

ROOT = Path(trainer.__file__).parent.parent
FORBIDDEN = re.compile(
    r"\b(course|lesson|quiz|badge|streak|score|scores|leaderboard|gamif\w*|homework|classroom|student|pupil|learner)s?\b",
    re.IGNORECASE,
)
SHOWN = sorted(
    path
    for folder, pattern in (
        ("trainer", "*.html"),
        ("trainer", "*.typ"),
        ("content", "*.yaml"),
        ("shared", "*.yaml"),
    )
    for path in (ROOT / folder).rglob(pattern)
)


@pytest.mark.parametrize("path", SHOWN, ids=lambda path: str(path.relative_to(ROOT)))
def test_words_of_the_job_only(path: Path) -> None:
    text = re.sub(r"<!--.*?-->|\{#.*?#\}", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    found = [match[0] for match in FORBIDDEN.finditer(text)]
    assert found == []


def test_the_check_can_fail() -> None:
    assert FORBIDDEN.search("A quiz for our students")
    assert not FORBIDDEN.search("Put the strip-down in order")
