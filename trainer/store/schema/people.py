"""People, their roles, their sessions and the failed attempts to sign in."""

from __future__ import annotations

from sqlalchemy import Boolean, CheckConstraint, Column, ForeignKey, Index, String, Table, Text, false

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

# A number is never given to somebody else, also not after its owner has left; so nobody is ever deleted.
people = Table(
    "people",
    metadata,
    Column("id", String(16), primary_key=True),
    Column("sign_in_name", String(80), nullable=False, unique=True),
    Column("display_name", String(120), nullable=False),
    Column("crew", String(80), nullable=False),
    Column("grade", String(40), nullable=False),
    Column("evaluator", Boolean, nullable=False, server_default=false()),
    Column("password_hash", String(200), nullable=False),
    # Somebody else gave the password in force: it serves for choosing another.
    Column("first_password", Boolean, nullable=False, server_default=false()),
    Column("added_at", UtcTime, nullable=False),
    Column("retired_at", UtcTime),
    CheckConstraint("sign_in_name <> ''", name="sign_in_name_not_empty"),
    CheckConstraint("display_name <> ''", name="display_name_not_empty"),
    CheckConstraint("retired_at IS NULL OR retired_at >= added_at", name="retired_after_added"),
    Index(None, "crew", "display_name"),
)

person_roles = Table(
    "person_roles",
    metadata,
    Column("person_id", ForeignKey("people.id"), primary_key=True),
    Column("role", String(20), primary_key=True),
    CheckConstraint(
        "role IN ('technician', 'mentor', 'supervisor', 'inspector', 'keeper')", name="role_is_known"
    ),
)

# Whom the keeper has linked to a name at a sign-in provider. The log keeps links that have ended.
provider_links = Table(
    "provider_links",
    metadata,
    Column("issuer", String(255), primary_key=True),
    Column("subject", String(255), primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("linked_by", ForeignKey("people.id")),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("subject <> ''", name="subject_not_empty"),
    Index(None, "person_id", "issuer", unique=True),
)

# The token itself is only in the cookie; whoever reads this table cannot sign in with what stands here.
sessions = Table(
    "sessions",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("token_hash", String(64), nullable=False, unique=True),
    Column("address", String(64), nullable=False),
    Column("created_at", UtcTime, nullable=False),
    Column("used_at", UtcTime, nullable=False),
    Column("ends_at", UtcTime, nullable=False),
    Column("ended_at", UtcTime),
    # The issuer that vouched for the person, empty when they signed in with their password.
    Column("provider", String(255)),
    CheckConstraint("ends_at > created_at", name="ends_after_created"),
    Index(None, "person_id", "address"),
)

# What somebody wants to sign and shows again at a provider who they are: for minutes, and gone once it is signed.
# `digest` is the hash of path and fields; of the ticket only the hash comes here.
signings_begun = Table(
    "signings_begun",
    metadata,
    Column("ticket_hash", String(64), primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("session_id", ForeignKey("sessions.id"), nullable=False),
    Column("path", Text, nullable=False),
    Column("fields", Text, nullable=False),
    Column("digest", String(64), nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("shown_at", UtcTime),
    Index(None, "at"),
)

# Names that nobody has are counted as well, so the name is no foreign key.
failed_sign_ins = Table(
    "failed_sign_ins",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("sign_in_name", String(80), nullable=False),
    Column("address", String(64), nullable=False),
    Column("at", UtcTime, nullable=False),
    Index(None, "sign_in_name", "at"),
    Index(None, "address", "at"),
)
