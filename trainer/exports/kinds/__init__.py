"""exports/kinds."""
