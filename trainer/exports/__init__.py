"""exports."""
