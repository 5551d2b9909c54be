"""Run by Alembic; `upgrade.py` hands it the open connection, so that there is no alembic.ini."""

from __future__ import annotations

from alembic import context

from trainer.store.schema import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    # SQLite can roll back its DDL with the settings of `session.py`: a migration happens whole or not at all.
    transactional_ddl=True,
    # SQLite alters a table by copying it; later migrations may rely on that.
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
