"""How often a password may be tried: counted in the database, so that several servers count together.

An attempt is noted as failed before its password is checked and taken back when it was right; so a burst of
attempts at once cannot get past the limit.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.store import sign_ins

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.store.session import Unit

WINDOW = timedelta(minutes=15)
PER_NAME = 5
PER_ADDRESS = 30
# An address from which a person signed in lately is counted apart, so that somebody who only knows the name
# cannot keep its owner out by failing on purpose.
KNOWN_FOR = timedelta(days=30)


class SignInTooOften(TrainerError):
    """Too many attempts failed; the next one is possible after `wait_seconds`."""

    def __init__(self, wait_seconds: int) -> None:
        self.wait_seconds = wait_seconds
        minutes = -(-wait_seconds // 60)
        span = "a minute" if minutes <= 1 else f"{minutes} minutes"
        super().__init__(f"Too many attempts to sign in failed. Try again in {span}.")


def reserve(unit: Unit, sign_in_name: str, address: str, *, person_id: str | None, now: datetime) -> int:
    """Return the number of the attempt, noted as failed until `take_back`.

    Raises:
        SignInTooOften: too many failed for this name or from this address.
    """
    since = now - WINDOW
    sign_ins.take_turns(unit, sign_in_name, address)
    sign_ins.forget_failures(unit, before=since)
    known = person_id is not None and sign_ins.has_signed_in_from(
        unit, person_id, address, since=now - KNOWN_FOR
    )
    of_name = sign_ins.failures(
        unit, since=since, sign_in_name=sign_in_name, address=address if known else None
    )
    from_address = sign_ins.failures(unit, since=since, address=address)
    for failed, most in ((of_name, PER_NAME), (from_address, PER_ADDRESS)):
        if failed.count >= most and failed.oldest is not None:
            raise SignInTooOften(max(1, int((failed.oldest + WINDOW - now).total_seconds())))
    return sign_ins.add_failure(unit, sign_in_name, address, now)


def take_back(unit: Unit, attempt: int) -> None:
    """Forget an attempt that was right."""
    sign_ins.take_back_failure(unit, attempt)
