"""Names as they are kept: composed Unicode (NFC), no stray spaces; equal names are equal letters."""

from __future__ import annotations

import unicodedata

from trainer.errors import TrainerError

LONGEST = 80


class NameUnfit(TrainerError):
    """A name is empty, too long, or holds characters that do not print."""

    def __init__(self, what: str, why: str) -> None:
        super().__init__(f"The {what} cannot be used: {why}.")


def tidy(name: str) -> str:
    """Return a name in composed form with single spaces."""
    return " ".join(unicodedata.normalize("NFC", name).split())


def tidy_sign_in_name(name: str) -> str:
    """Return a sign-in name as it is kept: tidy, and the same for capital and small letters."""
    return unicodedata.normalize("NFC", tidy(name).casefold())


def must_be_fit(name: str, what: str, *, may_be_empty: bool = False) -> str:
    """Return a tidy name.

    Raises:
        NameUnfit: it is empty, too long, or holds characters that do not print.
    """
    kept = tidy(name)
    if not kept and not may_be_empty:
        raise NameUnfit(what, "it is empty")
    if len(kept) > LONGEST:
        raise NameUnfit(what, f"it may have at most {LONGEST} characters")
    if not kept.isprintable():
        raise NameUnfit(what, "it holds characters that do not print")
    return kept
