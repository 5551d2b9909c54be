"""What of an event is hashed: its canonical JSON, the same bytes for whoever looks at it at whatever time."""

from __future__ import annotations

from datetime import UTC
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.records import canonical

if TYPE_CHECKING:
    from datetime import datetime


def moment(at: datetime) -> str:
    """Return a time as it stands in the log: UTC, to the microsecond."""
    return at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def entry(*, number: int, at: str, person_id: str, action: str, payload: str) -> bytes:
    """Return the bytes of an entry.

    Args:
        number: place in the log, from 1.
        at: when, as `moment` writes it.
        person_id: who; "" for the command line on the host.
        action: what, as `resource:verb`.
        payload: canonical JSON, taken as it is: what was kept is hashed, not what a later program makes of it.
    """
    # Members in the order of RFC 8785, by the code units of their names.
    text = (
        f'{{"action":{_text(action)},"at":{_text(at)},"number":{number},'
        f'"payload":{payload},"person":{_text(person_id)}}}'
    )
    return text.encode()


def left_of(*, number: int, at: str, person_id: str, action: str) -> bytes:
    """Return what stays of an entry whose payload was destroyed; values as for `entry`."""
    return canonical.written({"action": action, "at": at, "number": number, "person": person_id}).encode()


@lru_cache(maxsize=4096)
def _text(value: str) -> str:
    # The same few actions and people come again and again.
    return canonical.written(value)
