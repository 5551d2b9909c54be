"""Photographs as they are sent: chosen beside a step of the form, or kept by a device until it had a connection."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from trainer.actions.photographs import MOST_BYTES, MOST_PER_STEP
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from werkzeug.datastructures import FileStorage, MultiDict

# One form may bring as many as a step takes; the rest is room for the notes.
MOST_SENT = MOST_PER_STEP * MOST_BYTES + 1024 * 1024
_FIELD = "photograph."


class PhotographUnreadable(TrainerError):
    """What the device sent is not a photograph with its step."""

    def __init__(self) -> None:
        super().__init__("The photograph cannot be read; open the sheet again. It stays on this device.")


@dataclass(frozen=True)
class SentPhotograph:
    """A file that came in for a step; one byte more than is taken shows that there were more."""

    step: str
    ticket: str
    data: bytes
    at: datetime


def photographs_from(
    sent: MultiDict[str, str], chosen: MultiDict[str, FileStorage], now: datetime
) -> Iterator[SentPhotograph]:
    """Yield what was chosen on the form, `photograph.<step>`; the ticket of the form makes sending twice harmless."""
    ticket = sent.get("ticket", "")[:30]
    for name, file in chosen.items(multi=True):
        if name.startswith(_FIELD) and file.filename:
            step = name.removeprefix(_FIELD)
            yield SentPhotograph(step, f"{ticket} photograph {step}"[:80], _read(file), now)


def photograph_of_device(sent: MultiDict[str, str], files: MultiDict[str, FileStorage]) -> SentPhotograph:
    """Return the one photograph that a device sends: `step`, `ticket`, `at` and the file `photograph`.

    Raises:
        PhotographUnreadable: it is something else.
    """
    try:
        at = datetime.fromisoformat(sent["at"])
        if at.tzinfo is None:
            raise ValueError("a time without a zone")
        return SentPhotograph(sent["step"], sent["ticket"], _read(files["photograph"]), at)
    except (KeyError, ValueError) as problem:
        raise PhotographUnreadable from problem


def _read(file: FileStorage) -> bytes:
    return file.stream.read(MOST_BYTES + 1)
