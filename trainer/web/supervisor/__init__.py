"""The crew and its tasks, sign-off, and what is printed."""
