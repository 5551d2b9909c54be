"""checker."""
