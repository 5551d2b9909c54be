"""Keeps what people do: tables, transactions and typed functions between rows and frozen values.

Each function takes the open unit of work first (`Database.writing()` or `.reading()`); none begins or ends
one.
"""
