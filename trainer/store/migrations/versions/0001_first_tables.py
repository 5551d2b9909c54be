"""First tables: people, modules, practice, evaluations, qualifications, the log."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# What is published, answered, evaluated or logged stays as it was written, also when a function of the
# program is wrong. An owner of the database can take the guards away; against that only the log helps.
KEPT_AS_WRITTEN = ("module_revisions", "attempts", "evaluations", "events")
# Of a qualification only its end may be added, and that once.
SIGNED = (
    "number",
    "person_id",
    "covered_task_id",
    "evaluation_id",
    "evaluated_on",
    "valid_from",
    "valid_until",
    "signed_by",
    "signer_name",
    "signed_at",
    "meaning",
    "supersedes",
    "record",
)


def upgrade() -> None:
    _people()
    _log()
    _modules()
    _attempts()
    _qualifications()
    if op.get_bind().dialect.name == "postgresql":
        _guards_of_postgresql()
    else:
        _guards_of_sqlite()


def downgrade() -> None:
    op.drop_table("qualifications")
    op.drop_table("evaluations")
    op.drop_table("skill_summaries")
    op.drop_table("attempts")
    op.drop_table("assignments")
    op.drop_table("current_revisions")
    op.drop_table("module_revisions")
    op.drop_table("covered_tasks")
    op.drop_table("events")
    op.drop_table("sequences")
    op.drop_table("failed_sign_ins")
    op.drop_table("sessions")
    op.drop_table("person_roles")
    op.drop_table("people")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION refuse_change()")


def _guards_of_sqlite() -> None:
    for table in (*KEPT_AS_WRITTEN, "qualifications"):
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} are kept as written'); END"
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} {refuse}")
        if table != "qualifications":
            op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE ON {table} {refuse}")
            continue
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE OF {', '.join(SIGNED)} ON {table} {refuse}")
        ended = "BEFORE UPDATE OF ended_on, ended_because ON qualifications WHEN OLD.ended_on IS NOT NULL"
        op.execute(f"CREATE TRIGGER {table}_end_once {ended} {refuse}")


def _guards_of_postgresql() -> None:
    op.execute(
        """
        CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            RAISE EXCEPTION '% are kept as written', TG_TABLE_NAME
                USING ERRCODE = 'integrity_constraint_violation';
        END $$
        """
    )
    for table in (*KEPT_AS_WRITTEN, "qualifications"):
        refuse = "EXECUTE FUNCTION refuse_change()"
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} FOR EACH ROW {refuse}")
        op.execute(f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} {refuse}")
        if table != "qualifications":
            op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE ON {table} FOR EACH ROW {refuse}")
            continue
        signed = f"BEFORE UPDATE OF {', '.join(SIGNED)} ON {table}"
        op.execute(f"CREATE TRIGGER {table}_keep {signed} FOR EACH ROW {refuse}")
        ended = f"BEFORE UPDATE OF ended_on, ended_because ON {table}"
        op.execute(
            f"CREATE TRIGGER {table}_end_once {ended} FOR EACH ROW WHEN (OLD.ended_on IS NOT NULL) {refuse}"
        )


def _row_number() -> Any:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _people() -> None:
    op.create_table(
        "people",
        sa.Column("id", sa.String(length=16), nullable=False),
        sa.Column("sign_in_name", sa.String(length=80), nullable=False),
        sa.Column("display_name", sa.String(length=120), nullable=False),
        sa.Column("crew", sa.String(length=80), nullable=False),
        sa.Column("grade", sa.String(length=40), nullable=False),
        sa.Column("evaluator", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("password_hash", sa.String(length=200), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("display_name <> ''", name=op.f("ck_people_display_name_not_empty")),
        sa.CheckConstraint("sign_in_name <> ''", name=op.f("ck_people_sign_in_name_not_empty")),
        sa.CheckConstraint(
            "retired_at IS NULL OR retired_at >= added_at", name=op.f("ck_people_retired_after_added")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("sign_in_name", name=op.f("uq_people_sign_in_name")),
    )
    op.create_index(op.f("ix_people_crew_display_name"), "people", ["crew", "display_name"])
    op.create_table(
        "person_roles",
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("role", sa.String(length=20), nullable=False),
        sa.CheckConstraint(
            "role IN ('technician', 'mentor', 'supervisor', 'inspector', 'keeper')",
            name=op.f("ck_person_roles_role_is_known"),
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_person_roles_person_id")),
        sa.PrimaryKeyConstraint("person_id", "role", name=op.f("pk_person_roles")),
    )
    op.create_table(
        "sessions",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("ends_at > created_at", name=op.f("ck_sessions_ends_after_created")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_sessions_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sessions")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_sessions_token_hash")),
    )
    op.create_index(op.f("ix_sessions_person_id_address"), "sessions", ["person_id", "address"])
    op.create_table(
        "failed_sign_ins",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("sign_in_name", sa.String(length=80), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_failed_sign_ins")),
    )
    op.create_index(op.f("ix_failed_sign_ins_address_at"), "failed_sign_ins", ["address", "at"])
    op.create_index(op.f("ix_failed_sign_ins_sign_in_name_at"), "failed_sign_ins", ["sign_in_name", "at"])


def _log() -> None:
    op.create_table(
        "sequences",
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.CheckConstraint("last > 0", name=op.f("ck_sequences_last_is_positive")),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_sequences")),
    )
    op.create_table(
        "events",
        sa.Column("number", _row_number(), autoincrement=False, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=True),
        sa.Column("action", sa.String(length=60), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.CheckConstraint("action <> ''", name=op.f("ck_events_action_not_empty")),
        sa.CheckConstraint("number > 0", name=op.f("ck_events_number_is_positive")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_events_person_id")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_events")),
    )
    op.create_index(op.f("ix_events_person_id_number"), "events", ["person_id", "number"])


def _modules() -> None:
    op.create_table(
        "covered_tasks",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("group_title", sa.String(length=120), nullable=False),
        sa.Column("interval_months", sa.Integer(), nullable=False),
        sa.Column("interval_because", sa.Text(), nullable=False),
        sa.Column("abnormal_conditions", sa.Text(), nullable=False),
        sa.Column("needed", sa.Integer(), nullable=False),
        sa.CheckConstraint("interval_because <> ''", name=op.f("ck_covered_tasks_interval_has_reason")),
        sa.CheckConstraint("title <> ''", name=op.f("ck_covered_tasks_title_not_empty")),
        sa.CheckConstraint(
            "interval_months BETWEEN 1 AND 120", name=op.f("ck_covered_tasks_interval_in_range")
        ),
        sa.CheckConstraint("needed >= 0", name=op.f("ck_covered_tasks_needed_not_negative")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_covered_tasks")),
    )
    op.create_table(
        "module_revisions",
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("document", sa.String(length=80), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("file", sa.String(length=400), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("canonical", sa.Text(), nullable=False),
        sa.Column("published_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("published_by", sa.String(length=16), nullable=True),
        sa.CheckConstraint("length(revision) = 64", name=op.f("ck_module_revisions_revision_is_a_hash")),
        sa.ForeignKeyConstraint(
            ["covered_task_id"], ["covered_tasks.id"], name=op.f("fk_module_revisions_covered_task_id")
        ),
        sa.ForeignKeyConstraint(
            ["published_by"], ["people.id"], name=op.f("fk_module_revisions_published_by")
        ),
        sa.PrimaryKeyConstraint("revision", name=op.f("pk_module_revisions")),
        sa.UniqueConstraint("revision", "module_id", name=op.f("uq_module_revisions_revision_module_id")),
    )
    op.create_index(op.f("ix_module_revisions_covered_task_id"), "module_revisions", ["covered_task_id"])
    op.create_index(
        op.f("ix_module_revisions_module_id_published_at"), "module_revisions", ["module_id", "published_at"]
    )
    op.create_table(
        "current_revisions",
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision", "module_id"],
            ["module_revisions.revision", "module_revisions.module_id"],
            name=op.f("fk_current_revisions_revision_module_id"),
        ),
        sa.PrimaryKeyConstraint("module_id", name=op.f("pk_current_revisions")),
        sa.UniqueConstraint("revision", name=op.f("uq_current_revisions_revision")),
    )
    op.create_table(
        "assignments",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("due", sa.Date(), nullable=True),
        sa.Column("assigned_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("assigned_by", sa.String(length=16), nullable=True),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("withdrawn_by", sa.String(length=16), nullable=True),
        sa.CheckConstraint(
            "withdrawn_at IS NULL OR withdrawn_at >= assigned_at",
            name=op.f("ck_assignments_withdrawn_after_assigned"),
        ),
        sa.ForeignKeyConstraint(["assigned_by"], ["people.id"], name=op.f("fk_assignments_assigned_by")),
        sa.ForeignKeyConstraint(
            ["module_id"], ["current_revisions.module_id"], name=op.f("fk_assignments_module_id")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_assignments_person_id")),
        sa.ForeignKeyConstraint(["withdrawn_by"], ["people.id"], name=op.f("fk_assignments_withdrawn_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_assignments")),
    )
    op.create_index(
        op.f("uq_assignments_one_open"),
        "assignments",
        ["person_id", "module_id"],
        unique=True,
        sqlite_where=sa.text("withdrawn_at IS NULL"),
        postgresql_where=sa.text("withdrawn_at IS NULL"),
    )


def _attempts() -> None:
    op.create_table(
        "attempts",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("ticket", sa.String(length=80), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("skill", sa.String(length=160), nullable=False),
        sa.Column("size", sa.String(length=40), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("mark", sa.Text(), nullable=False),
        sa.Column("is_right", sa.Boolean(), nullable=False),
        sa.Column("critical", sa.Boolean(), nullable=False),
        sa.Column("credit_thousandths", sa.Integer(), nullable=False),
        sa.Column("counts", sa.Boolean(), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("ticket <> ''", name=op.f("ck_attempts_ticket_not_empty")),
        sa.CheckConstraint("credit_thousandths BETWEEN 0 AND 1000", name=op.f("ck_attempts_credit_in_range")),
        sa.CheckConstraint("seed >= 0", name=op.f("ck_attempts_seed_not_negative")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_attempts_person_id")),
        sa.ForeignKeyConstraint(
            ["revision", "module_id"],
            ["module_revisions.revision", "module_revisions.module_id"],
            name=op.f("fk_attempts_revision_module_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempts")),
        sa.UniqueConstraint("person_id", "ticket", name=op.f("uq_attempts_person_id_ticket")),
    )
    op.create_index(op.f("ix_attempts_person_id_at"), "attempts", ["person_id", "at"])
    op.create_index(
        op.f("uq_attempts_first_answer"),
        "attempts",
        ["person_id", "revision", "kind", "size", "seed"],
        unique=True,
        sqlite_where=sa.text("counts"),
        postgresql_where=sa.text("counts"),
    )
    op.create_table(
        "skill_summaries",
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("skill", sa.String(length=160), nullable=False),
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("clean", sa.Integer(), nullable=False),
        sa.Column("in_a_row", sa.Integer(), nullable=False),
        sa.Column("last_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "0 <= in_a_row AND in_a_row <= clean AND clean <= attempts",
            name=op.f("ck_skill_summaries_counts_fit_together"),
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_skill_summaries_person_id")),
        sa.ForeignKeyConstraint(
            ["revision", "module_id"],
            ["module_revisions.revision", "module_revisions.module_id"],
            name=op.f("fk_skill_summaries_revision_module_id"),
        ),
        sa.PrimaryKeyConstraint("person_id", "revision", "skill", name=op.f("pk_skill_summaries")),
    )


def _qualifications() -> None:
    op.create_table(
        "evaluations",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("evaluated_on", sa.Date(), nullable=False),
        sa.Column("methods", sa.Text(), nullable=False),
        sa.Column("abnormal_conditions", sa.Text(), nullable=False),
        sa.Column("abnormal_passed", sa.Boolean(), nullable=False),
        sa.Column("passed", sa.Boolean(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("evaluator_id", sa.String(length=16), nullable=False),
        sa.Column("evaluator_name", sa.String(length=120), nullable=False),
        sa.Column("basis", sa.Text(), nullable=False),
        sa.Column("meaning", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("methods <> '[]'", name=op.f("ck_evaluations_method_is_named")),
        sa.CheckConstraint("note <> ''", name=op.f("ck_evaluations_result_is_written")),
        sa.CheckConstraint("evaluator_id <> person_id", name=op.f("ck_evaluations_not_by_oneself")),
        sa.ForeignKeyConstraint(
            ["covered_task_id"], ["covered_tasks.id"], name=op.f("fk_evaluations_covered_task_id")
        ),
        sa.ForeignKeyConstraint(["evaluator_id"], ["people.id"], name=op.f("fk_evaluations_evaluator_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_evaluations_person_id")),
        sa.ForeignKeyConstraint(
            ["revision", "module_id"],
            ["module_revisions.revision", "module_revisions.module_id"],
            name=op.f("fk_evaluations_revision_module_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_evaluations")),
    )
    op.create_index(
        op.f("ix_evaluations_covered_task_id_passed"), "evaluations", ["covered_task_id", "passed"]
    )
    op.create_index(op.f("ix_evaluations_person_id_at"), "evaluations", ["person_id", "at"])
    op.create_table(
        "qualifications",
        sa.Column("number", sa.String(length=24), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("evaluation_id", _row_number(), nullable=False),
        sa.Column("evaluated_on", sa.Date(), nullable=False),
        sa.Column("valid_from", sa.Date(), nullable=False),
        sa.Column("valid_until", sa.Date(), nullable=False),
        sa.Column("signed_by", sa.String(length=16), nullable=False),
        sa.Column("signer_name", sa.String(length=120), nullable=False),
        sa.Column("signed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("meaning", sa.Text(), nullable=False),
        sa.Column("supersedes", sa.String(length=24), nullable=True),
        sa.Column("record", sa.Text(), nullable=False),
        sa.Column("ended_on", sa.Date(), nullable=True),
        sa.Column("ended_because", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "(ended_on IS NULL) = (ended_because = '')", name=op.f("ck_qualifications_end_has_reason")
        ),
        sa.CheckConstraint("signed_by <> person_id", name=op.f("ck_qualifications_not_by_oneself")),
        sa.CheckConstraint("valid_until >= valid_from", name=op.f("ck_qualifications_ends_after_it_begins")),
        sa.ForeignKeyConstraint(
            ["covered_task_id"], ["covered_tasks.id"], name=op.f("fk_qualifications_covered_task_id")
        ),
        sa.ForeignKeyConstraint(
            ["evaluation_id"], ["evaluations.id"], name=op.f("fk_qualifications_evaluation_id")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_qualifications_person_id")),
        sa.ForeignKeyConstraint(["signed_by"], ["people.id"], name=op.f("fk_qualifications_signed_by")),
        sa.ForeignKeyConstraint(
            ["supersedes"], ["qualifications.number"], name=op.f("fk_qualifications_supersedes")
        ),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_qualifications")),
        sa.UniqueConstraint("evaluation_id", name=op.f("uq_qualifications_evaluation_id")),
        sa.UniqueConstraint("supersedes", name=op.f("uq_qualifications_supersedes")),
    )
    op.create_index(
        op.f("ix_qualifications_person_id_covered_task_id"),
        "qualifications",
        ["person_id", "covered_task_id"],
    )
    op.create_index(op.f("ix_qualifications_valid_until"), "qualifications", ["valid_until"])
