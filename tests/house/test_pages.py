"""The documentation is what the code says: generated pages are fresh, registers and rooms are named."""

from __future__ import annotations

from pathlib import Path

import pytest

import trainer
from trainer.cli.language import PAGES

ROOT = Path(trainer.__file__).parent.parent


@pytest.mark.parametrize("name", sorted(PAGES))
def test_the_generated_pages_are_fresh(name: str) -> None:
    written = (ROOT / "content" / name).read_text(encoding="utf-8")
    assert written == PAGES[name](), "run `trainer language --write`"


def test_the_developers_page_names_every_room() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rooms = {path.name for path in (ROOT / "trainer").iterdir() if (path / "__init__.py").is_file()}
    assert {room for room in rooms if f"`{room}/`" not in page} == set()


def test_the_readme_opens_with_the_job_and_has_both_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    opening = text.split("\n\n")[1]
    assert len(opening.split()) > 60
    assert "    python3 -m venv .venv && .venv/bin/pip install -q -e . && .venv/bin/trainer demo\n" in text
    tests = ".venv/bin/pytest -n auto --dist loadfile"
    assert f"    python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]' && {tests}\n" in text
