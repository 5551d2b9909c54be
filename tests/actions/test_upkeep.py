from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW, TASK
from tests.people import AMA
from trainer.actions import covered_tasks, opening, upkeep
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.settings import Settings
from trainer.store.upgrade import SchemaOutOfStep, newest

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.actions.opening import Database


def test_a_fresh_installation_is_made_and_says_what_was_done(tmp_path: Path) -> None:
    settings = Settings(instance=tmp_path / "new" / "instance", company="Somebody's works")
    done = upkeep.upgrade(settings)
    assert done[0] == f"Made the folder {tmp_path / 'new' / 'instance'}."
    assert any(sentence.startswith(f"Schema {newest()}") for sentence in done)
    with opening.open_database(settings) as db:
        assert (db.company, db.session_hours) == ("Somebody's works", settings.session_hours)
    assert upkeep.upgrade(settings) == (f"The database has the present schema, {newest()}.",)


def test_a_database_that_was_not_upgraded_is_not_opened(tmp_path: Path) -> None:
    with pytest.raises(SchemaOutOfStep, match="run `trainer upgrade` first"):
        opening.open_database(Settings(instance=tmp_path))


def test_the_register_takes_what_is_new_or_changed_and_leaves_the_rest(db: Database) -> None:
    changed, new = replace(TASK, needed=3), replace(TASK, id="T-32", title="Another task")
    assert covered_tasks.register(db, SYSTEM, [TASK], now=NOW) == ()
    assert covered_tasks.register(db, SYSTEM, [changed, new], now=NOW) == ("T-31", "T-32")
    assert covered_tasks.register(db, SYSTEM, [changed, new], now=NOW) == ()
    assert covered_tasks.register(db, SYSTEM, [], now=NOW) == ()


def test_only_who_keeps_the_register_changes_it(db: Database) -> None:
    with pytest.raises(NotAllowed):
        covered_tasks.register(db, bench.enter(db, AMA), [], now=NOW)
    with pytest.raises(NotAllowed):
        upkeep.rebuild_summaries(db, bench.enter(db, AMA), now=NOW)
