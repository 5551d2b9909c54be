"""One function for each thing a person does: permission, load, decide, write, log line, one transaction.

Web, command line, demo and tests call these same functions. Each takes the database and the actor first and the
time as `now` (UTC, aware); each gives back a frozen value of `views.py` or of the core.
"""
