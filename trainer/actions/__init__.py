"""actions."""
