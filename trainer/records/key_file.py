"""The key that signs the log, in a folder that only the owner of the server reads.

One file holds the key in use; the public halves of earlier ones stay beside it, because what they signed has to be
checked for as long as it is kept.
"""

from __future__ import annotations

import os
import secrets
import tomllib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.records.signed_note import Verifier
from trainer.records.signing_key import KEY_BYTES, KeyUnusable, SigningKey

if TYPE_CHECKING:
    from pathlib import Path

_IN_USE = "log-key.toml"
_FORMER = "former-keys.txt"


class KeyFileUnusable(TrainerError):
    """The file of the key is missing, there already, or not what it should be."""


@dataclass(frozen=True)
class LogKey:
    """The key that signs and the name it signs under, which is the name of the log as well."""

    name: str
    key: SigningKey

    @property
    def verifier(self) -> Verifier:
        """What others check with."""
        return Verifier(self.name, self.key.public)


def exists(folder: Path) -> bool:
    """Tell whether there is a key in use."""
    return (folder / _IN_USE).exists()


def read(folder: Path) -> LogKey:
    """Return the key in use.

    Raises:
        KeyFileUnusable: there is none, or it cannot be read.
    """
    path = folder / _IN_USE
    try:
        values = tomllib.loads(path.read_text(encoding="utf-8"))
        return LogKey(str(values["name"]), SigningKey(bytes.fromhex(str(values["secret"]))))
    except FileNotFoundError as problem:
        raise KeyFileUnusable(
            f"There is no signing key in {folder}; `trainer key make` makes one."
        ) from problem
    except (OSError, ValueError, KeyError, KeyUnusable) as problem:
        raise KeyFileUnusable(f"The signing key in {path} cannot be read.") from problem


def make(folder: Path, name: str, *, replace: bool = False) -> LogKey:
    """Make a key of chance and keep it, readable for its owner alone.

    Args:
        folder: made when it is missing.
        name: without spaces and plus signs.
        replace: take the place of a key that is there; its public half is kept.

    Raises:
        KeyFileUnusable: there is one already, or the folder cannot be written.
        KeyUnusable: the name cannot be one.
    """
    secret = secrets.token_bytes(KEY_BYTES)
    made = LogKey(name, SigningKey(secret))
    # The name is looked at before anything is written.
    line = str(made.verifier)
    path = folder / _IN_USE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if exists(folder):
            if not replace:
                raise KeyFileUnusable(
                    f"There is a signing key in {path} already; `--replace` makes a new one."
                )
            _keep_former(folder, read(folder).verifier)
            path.unlink()
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL
        with os.fdopen(os.open(path, flags, 0o600), "w", encoding="utf-8") as file:
            file.write(
                "# Whoever has this file can sign in the name of the log. Keep a copy under lock and key.\n"
                f'name = "{name}"\nsecret = "{secret.hex()}"\n# Others check with: {line}\n'
            )
    except OSError as problem:
        raise KeyFileUnusable(f"The signing key cannot be kept in {path}: {problem.strerror}.") from problem
    return made


def text_in_use(folder: Path) -> bytes:
    """Return the file of the key in use as it is: whoever has it can sign in the name of the log.

    Raises:
        KeyFileUnusable: there is none, or it cannot be read.
    """
    read(folder)
    return (folder / _IN_USE).read_bytes()


def take_over(folder: Path, public: tuple[Verifier, ...], text: bytes, *, aside: str) -> None:
    """Keep the keys that came along with a log: what they signed has to be checked here from now on.

    Args:
        folder: made when it is missing.
        public: of all keys that ever signed that log, the newest first.
        text: the file of its key in use, as `text_in_use` gives it; empty when it did not come along.
        aside: ending of the name under which a key in use here stays, when another takes its place.

    Raises:
        KeyFileUnusable: the folder cannot be written, or a key here cannot be read.
    """
    path = folder / _IN_USE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if text and exists(folder) and path.read_bytes() != text:
            _keep_former(folder, read(folder).verifier)
            path.rename(folder / f"log-key-{aside}.toml")
        if text and not exists(folder):
            with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
                file.write(text)
        former = folder / _FORMER
        known = former.read_text(encoding="utf-8").split() if former.is_file() else []
        if exists(folder):
            known.append(str(read(folder).verifier))
        for verifier in reversed(public):
            if str(verifier) not in known:
                _keep_former(folder, verifier)
    except OSError as problem:
        raise KeyFileUnusable(
            f"The keys of the log cannot be kept in {folder}: {problem.strerror}."
        ) from problem


def verifiers(folder: Path) -> tuple[Verifier, ...]:
    """Return the verifiers of all keys that ever signed here, the one in use first.

    Raises:
        KeyFileUnusable: there is none in use, or a former one cannot be read.
    """
    former = folder / _FORMER
    try:
        lines = former.read_text(encoding="utf-8").split() if former.is_file() else []
        return read(folder).verifier, *(Verifier.read(line) for line in reversed(lines))
    except (OSError, KeyUnusable) as problem:
        raise KeyFileUnusable(f"The former keys in {former} cannot be read.") from problem


def _keep_former(folder: Path, verifier: Verifier) -> None:
    with (folder / _FORMER).open("a", encoding="utf-8") as file:
        file.write(f"{verifier}\n")
