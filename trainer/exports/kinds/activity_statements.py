"""What one person did, as activity statements (Experience API 1.0.3): a list in JSON, oldest first."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from trainer.exports.activity.sound import sound_statement

if TYPE_CHECKING:
    from trainer.exports.packets import ActivityPacket

NAME = "activity_statements"
TITLE = "Activity statements"
MEDIA_TYPE = "application/json"
ENDING = "json"
PERMISSION = "attempt:read"
SUBJECT = "the number of the person"


def write(packet: ActivityPacket, *, paper: str) -> bytes:  # noqa: ARG001  # data has no paper
    """Return the statements as a list in JSON.

    Raises:
        StatementUnsound: one of them breaks a rule of the standard.
    """
    listed = [sound_statement(done) for done in packet.done]
    return json.dumps(listed, ensure_ascii=False, sort_keys=True, indent=1).encode() + b"\n"
