"""The one file of a backup: a line that says what it is, then a ZIP with a manifest.

The line holds how long the whole is and the SHA-256 of all that follows it, so that a file cut short and a single changed
bit are told apart from a file of another kind before anything of it is believed. The manifest names every file with its
length and hash. Both find accidents; against somebody who writes a new file on purpose stands the log alone, whose
checkpoints only its key can sign.
"""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.records import canonical
from trainer.records.packet_file import BROKEN

if TYPE_CHECKING:
    from collections.abc import Mapping

DATABASE = "trainer.sqlite3"
PUBLIC_KEYS = "public-keys.txt"
SETTINGS = "settings.toml"
SIGNING_KEY = "log-key.toml"
_ALWAYS = frozenset({DATABASE, PUBLIC_KEYS})
_MAY_BE = frozenset({SETTINGS, SIGNING_KEY})
_MANIFEST = "manifest.json"
_MOST_MANIFEST = 100_000

_FORM = 1
_LINE = re.compile(rb"regulator-trainer backup (\d{1,6}) (\d{20}) ([0-9a-f]{64})\n")
_LINE_BYTES = len(f"regulator-trainer backup {_FORM} {0:020} {'0' * 64}\n")
_BEGINNING = b"regulator-trainer backup "
_CHUNK = 2**20


class BackupUnreadable(TrainerError):
    """A file is no backup, or not whole."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(f"{path} cannot be restored: {why}.")


class BackupNotWritten(TrainerError):
    """A backup cannot be written to where it should go."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(f"No backup was written to {path}: {why}.")


@dataclass(frozen=True)
class LogThen:
    """Where the log stood: how many entries, the root over them in hexadecimal, the signed checkpoint ("" without a key)."""

    entries: int
    root: str
    checkpoint: str


@dataclass(frozen=True)
class Manifest:
    """What a backup says of itself.

    `log` is missing where the schema was an older one than the program's. `files` has (bytes, SHA-256) of each by its name.
    """

    made_at: str
    company: str
    database: str
    schema: str
    log: LogThen | None
    files: Mapping[str, tuple[int, str]]

    def as_data(self) -> dict[str, Any]:
        """Return it as plain values."""
        log = self.log
        return {
            "made_at": self.made_at,
            "company": self.company,
            "database": self.database,
            "schema": self.schema,
            "log": log and {"entries": log.entries, "root": log.root, "checkpoint": log.checkpoint},
            "files": {name: {"bytes": size, "sha256": sha256} for name, (size, sha256) in self.files.items()},
        }


def facts_of(files: Mapping[str, Path]) -> dict[str, tuple[int, str]]:
    """Return (bytes, SHA-256) of each file by its name."""
    return {name: (path.stat().st_size, _hash_of(path)) for name, path in files.items()}


def write(target: Path, manifest: Manifest, files: Mapping[str, Path]) -> str:
    """Write a backup, readable for its owner alone; under its name it is whole or not there.

    Args:
        target: where nothing is yet.
        manifest: made with `facts_of` the same files.
        files: by their names in the backup.

    Returns:
        The SHA-256 that stands in its first line.

    Raises:
        BackupNotWritten: there is a file already, or it cannot be written.
    """
    if target.exists():
        raise BackupNotWritten(target, "there is a file already; name another")
    try:
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    except OSError as problem:
        raise BackupNotWritten(target, _why(problem)) from problem
    part = Path(name)
    try:
        with os.fdopen(handle, "w+b") as file:
            file.write(b"\0" * _LINE_BYTES)
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
                archive.writestr(_MANIFEST, canonical.written(manifest.as_data()))
                for member, path in files.items():
                    archive.write(path, member)
            size = file.seek(0, os.SEEK_END)
            file.seek(_LINE_BYTES)
            sha256 = _hashed(file)
            file.seek(0)
            file.write(f"regulator-trainer backup {_FORM} {size:020} {sha256}\n".encode())
            file.flush()
            os.fsync(file.fileno())
        part.replace(target)
    except OSError as problem:
        raise BackupNotWritten(target, _why(problem)) from problem
    finally:
        part.unlink(missing_ok=True)
    return sha256


def taken_out(source: Path, folder: Path) -> tuple[Manifest, dict[str, Path], str]:
    """Look through a backup and write its files to a folder.

    Args:
        source: the backup.
        folder: an empty one.

    Returns:
        The manifest, where each file is now by its name, and the SHA-256 that stands in the first line.

    Raises:
        BackupUnreadable: it is no backup, not whole, changed, or made by a newer program.
    """
    try:
        with source.open("rb") as file:
            sha256 = _looked_through(source, file)
            with zipfile.ZipFile(file) as archive:
                manifest = _manifest(source, archive)
                found = {name for name in archive.namelist() if name != _MANIFEST}
                if found != set(manifest.files) or not _ALWAYS <= found <= _ALWAYS | _MAY_BE:
                    raise BackupUnreadable(source, "the files in it are not those of a backup")
                return (
                    manifest,
                    {name: _taken(source, archive, name, manifest, folder) for name in found},
                    sha256,
                )
    except OSError as problem:
        raise BackupUnreadable(source, _why(problem)) from problem
    except (*BROKEN, zlib.error) as problem:
        raise BackupUnreadable(source, "it is broken inside") from problem


def _looked_through(source: Path, file: IO[bytes]) -> str:
    """Return the SHA-256 of the first line once all that follows is what it says."""
    line = file.read(_LINE_BYTES)
    size = file.seek(0, os.SEEK_END)
    if size < _LINE_BYTES and line.startswith(_BEGINNING[:size]):
        raise BackupUnreadable(source, "it is cut short after its first bytes" if line else "it is empty")
    told = _LINE.match(line)
    if told is None:
        raise BackupUnreadable(
            source, "it is not a file that `trainer backup` made, or its first line was changed"
        )
    form, whole, sha256 = int(told[1]), int(told[2]), told[3].decode()
    if form != _FORM:
        raise BackupUnreadable(
            source, f"it has form {form}, which this program does not know; use a newer one"
        )
    if size != whole:
        what = "cut short" if size < whole else "longer than it was"
        raise BackupUnreadable(source, f"it is {what}: {size} bytes of {whole}")
    file.seek(_LINE_BYTES)
    if _hashed(file) != sha256:
        raise BackupUnreadable(source, "it is not what was written: its SHA-256 is another")
    return sha256


def _manifest(source: Path, archive: zipfile.ZipFile) -> Manifest:
    try:
        with archive.open(_MANIFEST) as member:
            data = canonical.read(member.read(_MOST_MANIFEST).decode())
        log = data["log"]
        return Manifest(
            made_at=str(data["made_at"]),
            company=str(data["company"]),
            database=str(data["database"]),
            schema=str(data["schema"]),
            log=log and LogThen(int(log["entries"]), str(log["root"]), str(log["checkpoint"])),
            files={name: (int(of["bytes"]), str(of["sha256"])) for name, of in data["files"].items()},
        )
    except (KeyError, TypeError, AttributeError, ValueError, TrainerError) as problem:
        raise BackupUnreadable(source, "its manifest cannot be read") from problem


def _taken(source: Path, archive: zipfile.ZipFile, name: str, manifest: Manifest, folder: Path) -> Path:
    size, sha256 = manifest.files[name]
    target = folder / name
    left, digest = size, hashlib.sha256()
    with archive.open(name) as member, target.open("xb") as file:
        while left >= 0 and (chunk := member.read(min(_CHUNK, left + 1))):
            left -= len(chunk)
            digest.update(chunk)
            file.write(chunk)
    if left or digest.hexdigest() != sha256:
        raise BackupUnreadable(source, f"{name} in it is not the one of the manifest")
    return target


def _hash_of(path: Path) -> str:
    with path.open("rb") as file:
        return _hashed(file)


def _hashed(file: IO[bytes]) -> str:
    digest = hashlib.sha256()
    while chunk := file.read(_CHUNK):
        digest.update(chunk)
    return digest.hexdigest()


def _why(problem: OSError) -> str:
    return (problem.strerror or "it is not a file").lower()
