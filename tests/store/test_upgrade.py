from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import inspect, text

from tests.people import AMA
from tests.store import guarded, samples
from trainer.store import life_events, qualifications, upgrade
from trainer.store.schema import metadata

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from trainer.store.session import Database


def test_an_empty_database_comes_to_the_newest_schema_and_the_changes_are_told(empty: Database) -> None:
    assert upgrade.present(empty) is None
    told = upgrade.to_newest(empty)
    assert told[0].startswith("Schema 0001: First tables")
    assert upgrade.present(empty) == upgrade.newest()
    upgrade.must_be_newest(empty)


def test_the_newest_schema_is_the_head_of_the_migrations() -> None:
    script = upgrade._script()
    assert script.get_heads() == [upgrade.newest()]
    for one in script.walk_revisions():
        assert Path(one.path).name.startswith(f"{one.revision}_")


def test_a_second_upgrade_has_nothing_to_do(empty: Database) -> None:
    upgrade.to_newest(empty)
    assert upgrade.to_newest(empty) == ()


def test_an_empty_database_is_refused_for_use(empty: Database) -> None:
    with pytest.raises(upgrade.SchemaOutOfStep, match="run `trainer upgrade`"):
        upgrade.must_be_newest(empty)


def test_a_database_of_a_newer_program_is_not_touched(empty: Database) -> None:
    upgrade.to_newest(empty)
    with empty.writing() as unit:
        unit.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(upgrade.SchemaUnknown, match="9999"):
        upgrade.to_newest(empty)
    with pytest.raises(upgrade.SchemaOutOfStep):
        upgrade.must_be_newest(empty)


def test_schema_and_migrations_agree(empty: Database) -> None:
    upgrade.to_newest(empty)
    with empty.reading() as unit:
        context = MigrationContext.configure(
            unit, opts={"compare_type": True, "compare_server_default": True}
        )
        assert compare_metadata(context, metadata) == []


def test_migrations_make_the_same_constraints_as_the_schema(empty: Database) -> None:
    # compare_metadata looks neither at checks nor at the names of constraints.
    upgrade.to_newest(empty)
    with empty.reading() as unit:
        migrated = _constraints(unit)
    with empty.writing() as unit:
        command.downgrade(upgrade.config(unit), "base")
        metadata.create_all(unit)
    with empty.reading() as unit:
        assert _constraints(unit) == migrated
    assert any(checks for checks in migrated["checks"].values())


def test_every_migration_can_be_taken_back_and_made_again(empty: Database) -> None:
    upgrade.to_newest(empty)
    with empty.writing() as unit:
        command.downgrade(upgrade.config(unit), "base")
    with empty.reading() as unit:
        assert inspect(unit).get_table_names() == ["alembic_version"]
    upgrade.to_newest(empty)
    with empty.reading() as unit:
        assert set(inspect(unit).get_table_names()) == {*metadata.tables, "alembic_version"}


def test_what_happened_to_qualifications_comes_along_when_its_table_is_made_again(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)
        qualifications.add(unit, samples.qualification(samples.evaluation(unit)))
        samples.suspended(unit)
        before = life_events.of_person(unit, AMA.id)
    assert before
    for turn in (command.downgrade, command.upgrade):
        with database.writing() as unit:
            turn(upgrade.config(unit), "0016" if turn is command.downgrade else "head")
    with database.reading() as unit:
        assert life_events.of_person(unit, AMA.id) == before
    guarded.no_row_can_be_deleted(database, "life_events")
    guarded.no_row_can_be_replaced_or_emptied_away(database, "life_events")


def test_a_migration_that_fails_leaves_nothing_behind(empty: Database) -> None:
    with empty.writing() as unit:
        # The last table of the migration is already there, so it fails at its end.
        unit.execute(text("CREATE TABLE qualifications (number INTEGER)"))
    with pytest.raises(Exception, match="qualifications"):
        upgrade.to_newest(empty)
    with empty.reading() as unit:
        assert inspect(unit).get_table_names() == ["qualifications"]


def _constraints(unit: Connection) -> dict[str, Any]:
    seen = inspect(unit)
    tables = sorted(set(seen.get_table_names()) - {"alembic_version"})
    return {
        "checks": {t: sorted(c["name"] or "" for c in seen.get_check_constraints(t)) for t in tables},
        "unique": {t: sorted(c["name"] or "" for c in seen.get_unique_constraints(t)) for t in tables},
        "foreign": {t: sorted(c["name"] or "" for c in seen.get_foreign_keys(t)) for t in tables},
        "primary": {t: seen.get_pk_constraint(t)["constrained_columns"] for t in tables},
        "indexes": {t: sorted(str(i["name"]) for i in seen.get_indexes(t)) for t in tables},
    }
