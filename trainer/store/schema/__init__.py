"""store/schema."""
