from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text

from tests.actions import bench
from tests.actions.bench import NOW
from tests.modules import SMALL_VALVE
from tests.people import AMA, KIT
from trainer.actions import publish, published
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.store import events, modules

if TYPE_CHECKING:
    from trainer.actions.opening import Database

REVISED = SMALL_VALVE.replace("DN 80: 95 N·m", "DN 80: 110 N·m")
FILE = "small-valve.yaml"


def test_a_revision_is_named_by_its_content_and_put_in_force(db: Database) -> None:
    (before,) = publish.current_modules(db, bench.enter(db, AMA))
    done = publish.publish(db, bench.enter(db, KIT), REVISED, file=FILE, now=NOW)
    assert done.new
    assert done.revision != before.revision
    (now,) = publish.current_modules(db, bench.enter(db, AMA))
    assert (now.revision, now.published_by, now.published_at) == (done.revision, KIT.display_name, NOW)
    assert (now.module_id, now.task_id, now.task_title) == ("small-valve", "T-31", bench.TASK.title)
    assert now.sizes == ("DN 50", "DN 80", "DN 100")
    assert now.steps == len(publish.module_at(db, now.revision).steps)
    assert before.published_by == SYSTEM.display_name


def test_the_same_revision_again_changes_nothing(db: Database) -> None:
    with db.reading() as unit:
        logged = len(list(events.since(unit)))
    again = publish.publish(db, SYSTEM, SMALL_VALVE + "# a comment is no change\n", file=FILE, now=NOW)
    assert not again.new
    with db.reading() as unit:
        assert len(list(events.since(unit))) == logged


def test_an_earlier_revision_can_be_put_in_force_again(db: Database) -> None:
    (first,) = publish.current_modules(db, SYSTEM)
    publish.publish(db, SYSTEM, REVISED, file=FILE, now=NOW)
    assert publish.publish(db, SYSTEM, SMALL_VALVE, file=FILE, now=NOW).new
    (now,) = publish.current_modules(db, SYSTEM)
    assert now.revision == first.revision


def test_a_revision_no_longer_in_force_stays_readable(db: Database) -> None:
    (before,) = publish.current_modules(db, SYSTEM)
    publish.publish(db, SYSTEM, REVISED, file=FILE, now=NOW)
    old = publish.module_at(db, before.revision)
    torque = old.fasteners["bonnet_studs"].torque
    assert torque is not None
    assert "95" in str(torque.at("DN 80"))
    with pytest.raises(NotFound):
        publish.module_at(db, "0" * 64)


def test_a_module_with_errors_is_refused_with_all_findings(db: Database) -> None:
    broken = SMALL_VALVE.replace("rests_on: [seat_gasket]", "rests_on: [seat_gaskett]")
    with pytest.raises(publish.NotFitToPublish, match="cannot be published") as refused:
        publish.publish(db, SYSTEM, broken, file=FILE, now=NOW)
    assert any("seat_gaskett" in finding.what for finding in refused.value.findings)


def test_a_module_for_a_task_outside_the_register_is_refused(db: Database) -> None:
    with pytest.raises(publish.NotFitToPublish) as refused:
        publish.publish(
            db, SYSTEM, SMALL_VALVE.replace("covered_task: T-31", "covered_task: T-99"), file=FILE, now=NOW
        )
    assert any("T-99" in finding.what for finding in refused.value.findings)


def test_only_the_keeper_publishes(db: Database) -> None:
    with pytest.raises(NotAllowed):
        publish.publish(db, bench.enter(db, AMA), REVISED, file=FILE, now=NOW)


def test_text_that_was_changed_behind_the_programs_back_is_noticed(db: Database) -> None:
    (current,) = publish.current_modules(db, SYSTEM)
    published._kept.clear()
    with db.writing() as unit:
        # Who owns the database can take the guard away.
        on = "" if db.is_sqlite else " ON module_revisions"
        unit.execute(text(f"DROP TRIGGER module_revisions_keep{on}"))
        unit.execute(text("UPDATE module_revisions SET source = replace(source, '95 N', '59 N')"))
    with pytest.raises(published.RevisionDamaged):
        publish.module_at(db, current.revision)


def test_the_source_is_kept_as_the_author_wrote_it(db: Database) -> None:
    commented = REVISED + "# kept\n"
    done = publish.publish(db, SYSTEM, commented, file=FILE, now=NOW)
    with db.reading() as unit:
        kept = modules.text(unit, done.revision)
    assert kept is not None
    assert kept.source == commented
