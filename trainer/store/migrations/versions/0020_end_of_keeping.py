"""What was kept long enough may be destroyed by two people's decision, and nothing else may be deleted."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

KEPT_AS_WRITTEN = ("keeping_events", "destroyed_entries")

# How a row that is to be deleted (OLD) belongs to a confirmed decision `k`: by person, task and time.
_OF_TASK = (
    "k.person_id = {row}.person_id AND k.covered_task_id = {row}.covered_task_id AND {row}.{at} <= k.at"
)
_OF_REVISION = (
    "k.person_id = {row}.person_id AND {row}.{at} <= k.at AND k.covered_task_id = "
    "(SELECT r.covered_task_id FROM module_revisions r WHERE r.revision = {row}.revision)"
)
_PARENTS = {
    "evaluations": (_OF_TASK, "at"),
    "qualifications": (_OF_TASK, "signed_at"),
    "earlier_qualifications": (_OF_TASK, "transcribed_at"),
    "life_events": (_OF_TASK, "at"),
    "observations": (_OF_TASK, "begun_at"),
    "attempts": (_OF_REVISION, "at"),
    "sittings": (_OF_REVISION, "released_at"),
}
# (table of a part, its column that names the whole, the whole, its key)
_PARTS = (
    ("earlier_checks", "number", "earlier_qualifications", "number"),
    ("evaluation_observations", "evaluation_id", "evaluations", "id"),
    ("observation_entries", "observation_id", "observations", "id"),
    ("observation_photographs", "observation_id", "observations", "id"),
    ("sitting_questions", "sitting_id", "sittings", "id"),
    ("sitting_answers", "sitting_id", "sittings", "id"),
    ("sitting_ends", "sitting_id", "sittings", "id"),
)


def upgrade() -> None:
    _keeping_events()
    _destroyed_entries()
    for table in KEPT_AS_WRITTEN:
        _guard(table)
    _no_confirmation_of_what_is_held()
    for table, allowed in allowances().items():
        _stays_unless(table, allowed)
    _payload_may_go()


def downgrade() -> None:
    server = op.get_bind().dialect.name == "postgresql"
    for table in allowances():
        op.execute(f"DROP TRIGGER {table}_stay" + (f" ON {table}" if server else ""))
        _stay(table)
        if server:
            op.execute(f"DROP FUNCTION {table}_stay()")
    op.execute("DROP TRIGGER events_keep" + (" ON events" if server else ""))
    _keep("events")
    for table in reversed(KEPT_AS_WRITTEN):
        op.drop_table(table)
    if server:
        op.execute("DROP FUNCTION events_keep()")
        op.execute("DROP FUNCTION keeping_events_held()")


def allowances() -> dict[str, str]:
    """Return for each table the condition on which its row OLD may be deleted."""
    confirmed = "EXISTS (SELECT 1 FROM keeping_events k WHERE k.act = 'confirmed' AND {})"
    found = {table: confirmed.format(rule.format(row="OLD", at=at)) for table, (rule, at) in _PARENTS.items()}
    for table, column, whole, key in _PARTS:
        rule, at = _PARENTS[whole]
        of_whole = f"w.{key} = OLD.{column} AND {rule.format(row='w', at=at)}"
        found[table] = (
            f"EXISTS (SELECT 1 FROM {whole} w JOIN keeping_events k ON k.act = 'confirmed' WHERE {of_whole})"  # noqa: S608  # names of ours
        )
    # A photograph that goes with no observation any more.
    found["photographs"] = (
        "NOT EXISTS (SELECT 1 FROM observation_photographs p WHERE p.sha256 = OLD.sha256) "
        "AND EXISTS (SELECT 1 FROM keeping_events k WHERE k.act = 'confirmed')"
    )
    return found


def _stays_unless(table: str, allowed: str) -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute(_function(f"{table}_stay", f"IF {allowed} THEN RETURN OLD; END IF;", table))
        op.execute(f"DROP TRIGGER {table}_stay ON {table}")
        op.execute(
            f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} FOR EACH ROW EXECUTE FUNCTION {table}_stay()"
        )
        return
    op.execute(f"DROP TRIGGER {table}_stay")
    op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} WHEN NOT ({allowed}) {_refuse(table)}")


def _payload_may_go() -> None:
    """An entry may lose its payload, once it is named, and nothing else of it changes."""
    named = "EXISTS (SELECT 1 FROM destroyed_entries d WHERE d.number = OLD.number)"
    same = "NEW.payload = '' AND NEW.number = OLD.number AND NEW.at = OLD.at AND NEW.action = OLD.action"
    if op.get_bind().dialect.name == "postgresql":
        allowed = f"{same} AND NEW.person_id IS NOT DISTINCT FROM OLD.person_id AND {named}"
        op.execute(_function("events_keep", f"IF {allowed} THEN RETURN NEW; END IF;", "events"))
        op.execute("DROP TRIGGER events_keep ON events")
        op.execute(
            "CREATE TRIGGER events_keep BEFORE UPDATE ON events FOR EACH ROW EXECUTE FUNCTION events_keep()"
        )
        return
    allowed = f"{same} AND NEW.person_id IS OLD.person_id AND {named}"
    op.execute("DROP TRIGGER events_keep")
    op.execute(f"CREATE TRIGGER events_keep BEFORE UPDATE ON events WHEN NOT ({allowed}) {_refuse('events')}")


def _no_confirmation_of_what_is_held() -> None:
    """A confirmation follows on a proposal for the same person and task that nothing has ended, and on no open hold."""
    proposed = (
        "EXISTS (SELECT 1 FROM keeping_events p WHERE p.id = NEW.about AND p.act = 'proposed' "
        "AND p.person_id = NEW.person_id AND p.covered_task_id = NEW.covered_task_id)"
    )
    held = (
        "EXISTS (SELECT 1 FROM keeping_events h WHERE h.act = 'held' AND h.person_id = NEW.person_id "
        "AND h.covered_task_id = NEW.covered_task_id "
        "AND NOT EXISTS (SELECT 1 FROM keeping_events e WHERE e.about = h.id))"
    )
    fit = f"NEW.act <> 'confirmed' OR ({proposed} AND NOT {held})"
    if op.get_bind().dialect.name == "postgresql":
        op.execute(_function("keeping_events_held", f"IF {fit} THEN RETURN NEW; END IF;", "keeping_events"))
        op.execute(
            "CREATE TRIGGER keeping_events_held BEFORE INSERT ON keeping_events FOR EACH ROW "
            "EXECUTE FUNCTION keeping_events_held()"
        )
        return
    op.execute(
        f"CREATE TRIGGER keeping_events_held BEFORE INSERT ON keeping_events WHEN NOT ({fit}) "
        f"{_refuse('keeping_events')}"
    )


def _refuse(table: str) -> str:
    return f"BEGIN SELECT RAISE(ABORT, '{table} are kept as written'); END"


def _function(name: str, unless: str, table: str) -> str:
    return (
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {unless} "
        f"RAISE EXCEPTION '{table} are kept as written' USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )


def _guard(table: str) -> None:
    _stay(table)
    _keep(table)
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} EXECUTE FUNCTION refuse_change()"
        )


def _stay(table: str) -> None:
    _refused(table, "stay", "DELETE")


def _keep(table: str) -> None:
    _refused(table, "keep", "UPDATE")


def _refused(table: str, name: str, what: str) -> None:
    begin = f"CREATE TRIGGER {table}_{name} BEFORE {what} ON {table}"
    if op.get_bind().dialect.name == "postgresql":
        op.execute(f"{begin} FOR EACH ROW EXECUTE FUNCTION refuse_change()")
    else:
        op.execute(f"{begin} {_refuse(table)}")


def _row_number() -> Any:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _keeping_events() -> None:
    name = "keeping_events"
    op.create_table(
        name,
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("act", sa.String(length=12), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("earliest", sa.Date(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("about", _row_number(), nullable=True),
        sa.Column("about_by", sa.String(length=16), nullable=True),
        sa.Column("by_id", sa.String(length=16), nullable=False),
        sa.Column("by_name", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        *_checks(),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f(f"fk_{name}_person_id")),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name=op.f(f"fk_{name}_by_id")),
        sa.ForeignKeyConstraint(
            ["covered_task_id"], ["covered_tasks.id"], name=op.f(f"fk_{name}_covered_task_id")
        ),
        sa.ForeignKeyConstraint(
            ["about", "about_by"],
            ["keeping_events.id", "keeping_events.by_id"],
            name=op.f(f"fk_{name}_about_about_by"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{name}")),
        sa.UniqueConstraint("about", name=op.f(f"uq_{name}_about")),
        sa.UniqueConstraint("id", "by_id", name=op.f(f"uq_{name}_id_by_id")),
        sa.UniqueConstraint("id", "act", name=op.f(f"uq_{name}_id_act")),
    )
    op.create_index(op.f(f"ix_{name}_person_id_covered_task_id"), name, ["person_id", "covered_task_id"])


def _checks() -> tuple[sa.CheckConstraint, ...]:
    texts = {
        "act_is_known": "act IN ('proposed', 'confirmed', 'held', 'lifted')",
        "reason_is_written": "reason <> ''",
        "not_by_oneself": "act = 'held' OR by_id <> person_id",
        "day_is_told": "(act IN ('proposed', 'confirmed')) = (earliest IS NOT NULL)",
        "day_is_reached": "earliest IS NULL OR earliest <= on_day",
        "end_names_what_it_ends": "act NOT IN ('confirmed', 'lifted') OR about IS NOT NULL",
        "proposal_stands_alone": "act <> 'proposed' OR about IS NULL",
        "end_names_whose_word": "(about IS NULL) = (about_by IS NULL)",
        "confirmed_by_another": "act <> 'confirmed' OR by_id <> about_by",
    }
    return tuple(
        sa.CheckConstraint(text, name=op.f(f"ck_keeping_events_{name}")) for name, text in texts.items()
    )


def _destroyed_entries() -> None:
    name = "destroyed_entries"
    op.create_table(
        name,
        sa.Column("number", _row_number(), nullable=False),
        sa.Column("confirmation", _row_number(), nullable=False),
        sa.Column("act", sa.String(length=12), nullable=False),
        sa.CheckConstraint("act = 'confirmed'", name=op.f(f"ck_{name}_is_confirmed")),
        sa.ForeignKeyConstraint(["number"], ["events.number"], name=op.f(f"fk_{name}_number")),
        sa.ForeignKeyConstraint(
            ["confirmation", "act"],
            ["keeping_events.id", "keeping_events.act"],
            name=op.f(f"fk_{name}_confirmation_act"),
        ),
        sa.PrimaryKeyConstraint("number", name=op.f(f"pk_{name}")),
    )
    op.create_index(op.f(f"ix_{name}_confirmation"), name, ["confirmation"])
