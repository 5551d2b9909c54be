"""Passwords: what is accepted as one, and its argon2id hash.

A check costs about 16 ms and 19 MiB on purpose, so no more of them run at once than there are cores.
Source: OWASP Password Storage Cheat Sheet (argon2id with m = 19456 KiB, t = 2, p = 1).

Whether a password is one that many use, or one made of such, is reckoned by zxcvbn (D. L. Wheeler, USENIX Security 2016): a list
alone has few that are long enough to be taken here. It is loaded when a password is set, never at the start.
"""

from __future__ import annotations

import os
import secrets
import threading
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from trainer.errors import TrainerError

SHORTEST = 12
LONGEST = 1000
# Guesses that it must take. The bound below which zxcvbn calls a password "somewhat guessable" (its README, score 2).
_FEWEST_GUESSES = 10**8
# The beginning that is looked at: enough for what many use, and with a whole row of signs the work stays near a second. A choice.
_LOOKED_AT = 24

HASHER = PasswordHasher(time_cost=2, memory_cost=19_456, parallelism=1)
_AT_ONCE = threading.BoundedSemaphore(os.cpu_count() or 1)


class PasswordUnfit(TrainerError):
    """The password cannot be used as one."""

    def __init__(self, why: str) -> None:
        super().__init__(f"This password cannot be used: {why}.")


def must_be_fit(password: str, sign_in_name: str) -> None:
    """Let pass what can be a password; any characters are welcome, none are demanded.

    Raises:
        PasswordUnfit: it is too short, too long, soon guessed, or the sign-in name.
    """
    if len(password) < SHORTEST:
        raise PasswordUnfit(f"it needs at least {SHORTEST} characters")
    if len(password) > LONGEST:
        raise PasswordUnfit(f"it may have at most {LONGEST} characters")
    if password.casefold() == sign_in_name.casefold():
        raise PasswordUnfit("it is the sign-in name")
    if _guesses(password, sign_in_name) < _FEWEST_GUESSES:
        raise PasswordUnfit("many people use it or one like it; take a sentence of your own")


def fresh() -> str:
    """Return a first password that nobody has thought of: 64 bits in four groups that can be read out aloud."""
    return "-".join(secrets.token_hex(2) for _ in range(4))


def hashed(password: str) -> str:
    """Return the hash that is stored; never the same twice."""
    with _AT_ONCE:
        return HASHER.hash(password)


def matches(stored: str | None, password: str) -> bool:
    """Return whether a password belongs to a stored hash.

    Without a hash, because nobody has that name, the work is done all the same, so that the time
    taken does not tell which names exist.
    """
    with _AT_ONCE:
        try:
            given = password[: LONGEST + 1].encode("utf-8", "surrogatepass")
            return HASHER.verify(stored or _nobodys(), given) and stored is not None
        except (VerificationError, InvalidHashError):
            return False


def _guesses(password: str, sign_in_name: str) -> int:
    from zxcvbn import zxcvbn

    with _AT_ONCE:
        return int(zxcvbn(password[:_LOOKED_AT], user_inputs=[sign_in_name])["guesses"])


@cache
def _nobodys() -> str:
    return HASHER.hash("a password that nobody has")
