"""A text with signatures below it, and the checkpoint of a log as such a text.

The text ends with a newline; an empty line parts it from the signatures, one a line: an em dash, a space, the name of the
key, a space, base64 of the key's number (4 bytes) and the signature. The number is the beginning of SHA-256(name +
newline + 0x01 + public key). A checkpoint's text is three lines: the name of the log, how many entries it has, base64 of
the root.

Source: C2SP, signed-note.md and tlog-checkpoint.md.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
from dataclasses import dataclass

from trainer.errors import TrainerError
from trainer.records.merkle import HASH_BYTES
from trainer.records.signing_key import KEY_BYTES, KeyUnusable, PublicKey, SigningKey

_ED25519 = b"\x01"
_DASH = "\N{EM DASH} "
_NUMBER_BYTES = 4


class NoteUnreadable(TrainerError):
    """A text is no signed note, or no checkpoint."""

    def __init__(self, why: str) -> None:
        super().__init__(f"This is no signed checkpoint: {why}.")


@dataclass(frozen=True)
class Verifier:
    """Whose signature is looked for: the name of the key and its public half."""

    name: str
    key: PublicKey

    def __post_init__(self) -> None:
        """Refuse a name that would not come back from a note."""
        if not self.name or "+" in self.name or any(c.isspace() for c in self.name):
            raise KeyUnusable("the name of a key is not empty and has no space and no plus sign")

    @property
    def number(self) -> bytes:
        """The first four bytes of the hash over name and key."""
        whole = self.name.encode() + b"\n" + _ED25519 + self.key.raw
        return hashlib.sha256(whole).digest()[:_NUMBER_BYTES]

    def __str__(self) -> str:
        """Return the one line that is handed to whoever checks."""
        return f"{self.name}+{self.number.hex()}+{_base64(_ED25519 + self.key.raw)}"

    @staticmethod
    def read(text: str) -> Verifier:
        """Return the verifier that such a line names.

        Raises:
            KeyUnusable: it is none, or its number does not fit the key.
        """
        name, _, rest = text.strip().partition("+")
        number, _, coded = rest.partition("+")
        try:
            key = base64.b64decode(coded, validate=True)
        except binascii.Error as problem:
            raise KeyUnusable("its last part is no base64") from problem
        if key[:1] != _ED25519 or len(key) != KEY_BYTES + 1:
            raise KeyUnusable("it is no Ed25519 key")
        found = Verifier(name, PublicKey(key[1:]))
        if found.number.hex() != number:
            raise KeyUnusable("its number does not belong to name and key")
        return found


@dataclass(frozen=True)
class Checkpoint:
    """How many entries a log has, and the root over them."""

    log: str
    size: int
    root: bytes

    @property
    def text(self) -> str:
        """The three lines that are signed."""
        return f"{self.log}\n{self.size}\n{_base64(self.root)}\n"


def signed(text: str, name: str, key: SigningKey) -> str:
    """Return a text with one signature below it.

    Raises:
        NoteUnreadable: the text does not end with a newline.
    """
    if not text.endswith("\n"):
        raise NoteUnreadable("the text to be signed must end with a newline")
    number = Verifier(name, key.public).number
    return f"{text}\n{_DASH}{name} {_base64(number + key.sign(text.encode()))}\n"


def text_of(note: str) -> str:
    """Return the text of a note without looking at who signed it: for a note that was signed here."""
    return note.rpartition("\n\n")[0] + "\n"


def checked(note: str, verifier: Verifier) -> str | None:
    """Return the text of a note that this verifier's key signed, None when it did not.

    Raises:
        NoteUnreadable: it has no signatures where they belong, or one of them is broken.
    """
    text, parting, below = note.rpartition("\n\n")
    if not parting or not below.endswith("\n"):
        raise NoteUnreadable("no signature stands below the text")
    text += "\n"
    found = None
    for line in below.removesuffix("\n").split("\n"):
        name, number, signature = _signature(line)
        if (name, number) != (verifier.name, verifier.number):
            continue
        if not verifier.key.signed(text.encode(), signature):
            return None
        found = text
    return found


def checkpoint_in(text: str) -> Checkpoint:
    """Return the checkpoint in the text of a note; further lines are left to whoever wrote them.

    Raises:
        NoteUnreadable: it is none.
    """
    lines = text.split("\n")
    if len(lines) < 4 or lines[-1] or "" in lines[:-1]:
        raise NoteUnreadable("its text has not the three lines of a checkpoint")
    log, size, coded = lines[:3]
    if not size.isascii() or not size.isdigit() or str(int(size)) != size:
        raise NoteUnreadable("its second line is no number of entries")
    try:
        root = base64.b64decode(coded, validate=True)
    except (binascii.Error, ValueError) as problem:
        raise NoteUnreadable("its third line is no base64") from problem
    if len(root) != HASH_BYTES or _base64(root) != coded:
        raise NoteUnreadable("its third line is no hash")
    return Checkpoint(log, int(size), root)


def _signature(line: str) -> tuple[str, bytes, bytes]:
    name, gap, coded = line.removeprefix(_DASH).rpartition(" ")
    if not line.startswith(_DASH) or not gap or not name:
        raise NoteUnreadable("a line below the text is no signature")
    try:
        data = base64.b64decode(coded, validate=True)
    except (binascii.Error, ValueError) as problem:
        raise NoteUnreadable(f"the signature of {name} is no base64") from problem
    # Other ways to write the same bytes would let a note be changed and still check.
    if _base64(data) != coded:
        raise NoteUnreadable(f"the signature of {name} is written in another way than it should be")
    return name, data[:_NUMBER_BYTES], data[_NUMBER_BYTES:]


def _base64(data: bytes) -> str:
    return base64.b64encode(data).decode()
