"""drills."""
