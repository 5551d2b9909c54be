"""Assessment sittings: the release, what was asked, what was answered, and how each ended; nothing of it ever changes."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    String,
    Table,
    Text,
)

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

# `drawn_with` is chance, taken at the release: without it nobody who knows the program can work out the questions.
# `classes` are the ids of the element classes that it is about, as canonical JSON; none named means all of them.
# `shown` of `skills` were shown in practice on the day of the release; the mentor decides and says why.
sittings = Table(
    "sittings",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("module_id", String(80), nullable=False),
    Column("revision", String(64), nullable=False),
    Column("policy", String(64), nullable=False),
    Column("drawn_with", String(64), nullable=False),
    Column("classes", Text, nullable=False, server_default="[]"),
    Column("shown", Integer, nullable=False),
    Column("skills", Integer, nullable=False),
    Column("because", Text, nullable=False),
    Column("released_by", ForeignKey("people.id"), nullable=False),
    Column("released_at", UtcTime, nullable=False),
    ForeignKeyConstraint(
        ["revision", "module_id"], ["module_revisions.revision", "module_revisions.module_id"]
    ),
    CheckConstraint("released_by <> person_id", name="not_by_oneself"),
    CheckConstraint("length(policy) = 64", name="policy_is_a_hash"),
    CheckConstraint("drawn_with <> ''", name="chance_is_taken"),
    CheckConstraint("because <> ''", name="reason_is_written"),
    CheckConstraint("0 <= shown AND shown <= skills", name="shown_of_skills"),
    Index(None, "person_id", "module_id"),
)

# `series` counts how often the element class has been begun anew for this person; `likeness` is the same for questions
# that ask the same, whatever the order of their lines, so that none is put to too many people.
sitting_questions = Table(
    "sitting_questions",
    metadata,
    Column("sitting_id", ForeignKey("sittings.id"), primary_key=True),
    Column("position", Integer, primary_key=True, autoincrement=False),
    Column("element_class", String(160), nullable=False),
    Column("series", Integer, nullable=False),
    Column("skill", String(160), nullable=False),
    Column("kind", String(40), nullable=False),
    Column("size", String(40), nullable=False),
    Column("seed", BigInteger, nullable=False),
    Column("likeness", String(64), nullable=False),
    Column("asked_at", UtcTime, nullable=False),
    CheckConstraint("position > 0", name="position_from_one"),
    CheckConstraint("series > 0", name="series_from_one"),
    CheckConstraint("seed >= 0", name="seed_not_negative"),
    Index(None, "likeness"),
)

# One answer to each question, for ever: the key is the question's own.
sitting_answers = Table(
    "sitting_answers",
    metadata,
    Column("sitting_id", RowNumber, primary_key=True, autoincrement=False),
    Column("position", Integer, primary_key=True, autoincrement=False),
    Column("ticket", String(80), nullable=False),
    Column("answer", Text, nullable=False),
    Column("mark", Text, nullable=False),
    Column("is_right", Boolean, nullable=False),
    Column("critical", Boolean, nullable=False),
    Column("credit_thousandths", Integer, nullable=False),
    Column("at", UtcTime, nullable=False),
    ForeignKeyConstraint(
        ["sitting_id", "position"], ["sitting_questions.sitting_id", "sitting_questions.position"]
    ),
    CheckConstraint("credit_thousandths BETWEEN 0 AND 1000", name="credit_in_range"),
    CheckConstraint("ticket <> ''", name="ticket_not_empty"),
)

# `results` is what each element class had come to, in canonical JSON. `ended_by` is empty where the sitting ended by
# itself: everything decided, the sitting full, or the time up.
sitting_ends = Table(
    "sitting_ends",
    metadata,
    Column("sitting_id", ForeignKey("sittings.id"), primary_key=True),
    Column("how", String(20), nullable=False),
    Column("results", Text, nullable=False),
    Column("because", Text, nullable=False),
    Column("ended_by", ForeignKey("people.id")),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("how IN ('decided', 'full', 'time_up', 'broken_off')", name="end_is_known"),
    CheckConstraint("(how = 'broken_off') = (because <> '')", name="break_has_reason"),
    CheckConstraint("(how = 'broken_off') = (ended_by IS NOT NULL)", name="break_has_somebody"),
)
