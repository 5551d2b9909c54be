"""Observations at the bench: begin, mark on a tablet with or without a connection, sign, read."""
