"""trade."""
