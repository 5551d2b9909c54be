"""checker/rules."""
