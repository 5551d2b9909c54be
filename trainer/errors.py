"""The base of everything that can go wrong and be told to a person in one sentence."""

from __future__ import annotations


class TrainerError(Exception):
    """Something a person can act on; its text is one sentence fit to show to them.

    Each situation has a class of its own, near where it arises, whose constructor builds the sentence.
    """
