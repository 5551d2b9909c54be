"""Passwords: what is accepted as one, and its argon2id hash.

A check costs about 16 ms and 19 MiB on purpose, so no more of them run at once than there are cores.
Source: OWASP Password Storage Cheat Sheet (argon2id with m = 19456 KiB, t = 2, p = 1).

`common_passwords.txt` holds the passwords that many use and that are long enough to be taken here: of each the first 16
figures of its SHA-256, because the words themselves need not stand anywhere. Source: the 30,000 commonest of the list that
zxcvbn 4.5.0 ships (MIT), those of at least 12 characters.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import threading
from functools import cache
from pathlib import Path

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from trainer.errors import TrainerError

SHORTEST = 12
LONGEST = 1000

_HASHER = PasswordHasher(time_cost=2, memory_cost=19_456, parallelism=1)
_AT_ONCE = threading.BoundedSemaphore(os.cpu_count() or 1)


class PasswordUnfit(TrainerError):
    """The password cannot be used as one."""

    def __init__(self, why: str) -> None:
        super().__init__(f"This password cannot be used: {why}.")


def must_be_fit(password: str, sign_in_name: str) -> None:
    """Let pass what can be a password; any characters are welcome, none are demanded.

    Raises:
        PasswordUnfit: it is too short, too long, one that many use, or the sign-in name.
    """
    if len(password) < SHORTEST:
        raise PasswordUnfit(f"it needs at least {SHORTEST} characters")
    if len(password) > LONGEST:
        raise PasswordUnfit(f"it may have at most {LONGEST} characters")
    if password.casefold() == sign_in_name.casefold():
        raise PasswordUnfit("it is the sign-in name")
    if _fingerprint(password) in _common():
        raise PasswordUnfit("many people use it; take a sentence of your own")


def fresh() -> str:
    """Return a first password that nobody has thought of: 64 bits in four groups that can be read out aloud."""
    return "-".join(secrets.token_hex(2) for _ in range(4))


def hashed(password: str) -> str:
    """Return the hash that is stored; never the same twice."""
    with _AT_ONCE:
        return _HASHER.hash(password)


def matches(stored: str | None, password: str) -> bool:
    """Return whether a password belongs to a stored hash.

    Without a hash, because nobody has that name, the work is done all the same, so that the time
    taken does not tell which names exist.
    """
    with _AT_ONCE:
        try:
            given = password[: LONGEST + 1].encode("utf-8", "surrogatepass")
            return _HASHER.verify(stored or _nobodys(), given) and stored is not None
        except (VerificationError, InvalidHashError):
            return False


@cache
def _common() -> frozenset[str]:
    return frozenset(Path(__file__).with_name("common_passwords.txt").read_text(encoding="utf-8").split())


def _fingerprint(password: str) -> str:
    return hashlib.sha256(password.casefold().encode("utf-8", "surrogatepass")).hexdigest()[:16]


@cache
def _nobodys() -> str:
    return _HASHER.hash("a password that nobody has")
