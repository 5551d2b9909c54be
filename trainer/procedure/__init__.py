"""procedure."""
