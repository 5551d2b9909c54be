"""competency."""
