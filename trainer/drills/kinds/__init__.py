"""drills/kinds."""
