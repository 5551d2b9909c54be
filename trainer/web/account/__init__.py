"""Signing in and out, and a person's own password."""
