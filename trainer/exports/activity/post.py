"""Handing statements to another system over HTTPS, and what its answer means for them.

Source: ADL, Experience API 1.0.3, Part Three, 2.1.2 (POST Statements), 3.2 (codes of errors) and 3.3 (versioning).
"""

from __future__ import annotations

import ssl
from dataclasses import dataclass
from enum import Enum
from http.client import HTTPException
from typing import TYPE_CHECKING, Any
from urllib.error import HTTPError, URLError
from urllib.request import HTTPRedirectHandler, HTTPSHandler, OpenerDirector, Request, build_opener

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Sequence

VERSION = "1.0.3"
_RESOURCE = "/statements"
# What is wrong with the statements themselves: the same ones will never be taken.
_ABOUT_THE_STATEMENTS = frozenset({400, 409, 413, 422})
_CONFLICT = 409


class KeyUnusable(TrainerError):
    """What is to be sent as Authorization cannot stand in a header."""

    def __init__(self) -> None:
        super().__init__(
            "The key of the receiver (TRAINER_STATEMENTS_KEY) holds signs that no header may hold."
        )


@dataclass(frozen=True)
class Receiver:
    """Where statements go: the address, what is sent as Authorization ("" for nothing), seconds to wait for an answer.

    Raises:
        KeyUnusable: the key cannot stand in a header.
    """

    address: str
    key: str = ""
    timeout: float = 20

    def __post_init__(self) -> None:
        """Refuse a key that could end its header and begin another."""
        if not self.key.isascii() or not self.key.isprintable():
            raise KeyUnusable

    @property
    def resource(self) -> str:
        """The address that statements are posted to."""
        plain = self.address.rstrip("/")
        return plain if plain.endswith(_RESOURCE) else f"{plain}{_RESOURCE}"


class Fate(Enum):
    """What became of statements that were handed over."""

    TAKEN = "taken"
    REFUSED = "refused"
    LATER = "later"


@dataclass(frozen=True)
class Reply:
    """What became of them, and a sentence why when they were not taken."""

    fate: Fate
    why: str = ""


class _NoRedirect(HTTPRedirectHandler):
    """A redirect would carry the key and people's answers to somebody else."""

    def redirect_request(self, *_: Any) -> None:
        """Follow none; the answer then counts as an error."""


def post(receiver: Receiver, statements: Sequence[str]) -> Reply:
    """Hand statements over and return what became of them; certificates are verified.

    Args:
        receiver: where they go.
        statements: each as JSON.
    """
    headers = {"Content-Type": "application/json", "X-Experience-API-Version": VERSION}
    if receiver.key:
        headers["Authorization"] = receiver.key
    body = f"[{','.join(statements)}]".encode()
    # The settings let nothing but HTTPS pass, and HTTP to the same machine.
    request = Request(receiver.resource, data=body, headers=headers, method="POST")  # noqa: S310
    try:
        with _opener().open(request, timeout=receiver.timeout) as answer:
            answer.read()
    except HTTPError as refused:
        with refused:
            return _answered(refused.code)
    except URLError as problem:
        return Reply(Fate.LATER, f"The receiver cannot be reached: {_first_line(problem.reason)}.")
    except TimeoutError:
        return Reply(Fate.LATER, f"The receiver did not answer within {receiver.timeout:g} seconds.")
    except (OSError, HTTPException) as problem:
        return Reply(Fate.LATER, f"The connection broke before there was an answer: {_first_line(problem)}.")
    return Reply(Fate.TAKEN)


def _answered(code: int) -> Reply:
    if code == _CONFLICT:
        return Reply(Fate.REFUSED, "The receiver has other content under this id already (409).")
    if code in _ABOUT_THE_STATEMENTS:
        return Reply(Fate.REFUSED, f"The receiver does not take it as it is ({code}).")
    if code in (401, 403):
        return Reply(
            Fate.LATER, f"The receiver does not let us in ({code}); check the key TRAINER_STATEMENTS_KEY."
        )
    if 300 <= code < 400:
        return Reply(
            Fate.LATER,
            f"The receiver points to another address ({code}), which is not followed; check `statements_to`.",
        )
    if code == 404:
        return Reply(Fate.LATER, "There is no receiver at this address (404); check `statements_to`.")
    return Reply(Fate.LATER, f"The receiver cannot take anything just now ({code}).")


def _opener() -> OpenerDirector:
    return build_opener(HTTPSHandler(context=ssl.create_default_context()), _NoRedirect())


def _first_line(problem: object) -> str:
    lines = str(problem).strip().splitlines()
    return lines[0].rstrip(".") if lines else type(problem).__name__
