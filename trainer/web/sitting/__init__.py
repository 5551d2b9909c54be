"""Assessment sittings: released, taken, read."""
