"""What somebody had filled in when their session was over: carried over the sign-in, never sent by itself."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from werkzeug.datastructures import MultiDict

# Passwords and tickets are not carried: they sign, so they are given where they sign.
_NEVER = frozenset({"csrf_token", "password", "old", "new", "again"})


@dataclass(frozen=True)
class Carried:
    """The fields of a form and where it was going."""

    path: str = ""
    fields: tuple[tuple[str, str], ...] = ()

    @property
    def as_text(self) -> str:
        """The fields as one text for a hidden field."""
        return json.dumps(self.fields) if self.fields else ""


def from_form(path: str, sent: MultiDict[str, str]) -> Carried:
    """Return what a form held, passwords left out."""
    return Carried(path, tuple((n, v) for n, v in sent.items(multi=True) if n not in _NEVER))


def from_text(path: str, text: str) -> Carried:
    """Return what a hidden field of ours held; nothing when it is not ours."""
    try:
        pairs = json.loads(text) if text else []
        fields = tuple((str(name), str(value)) for name, value in pairs if name not in _NEVER)
    except (ValueError, TypeError):
        return Carried()
    return Carried(path, fields) if fields else Carried()
