"""How one schema becomes the next: an Alembic environment inside the package, a file a change."""
