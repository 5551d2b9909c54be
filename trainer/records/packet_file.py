"""A packet as one ZIP file: the same files give the same bytes, and only those bytes are read back.

The files are stored as they are, not compressed: a compressed stream has spare bits, and ways to say the same in other
bytes, and then not every bit could be held to something. What is read is written again and held against what was read,
so that a bit that no file shows (a moment, an attribute, a name that stands twice) cannot be changed unseen either.
"""

from __future__ import annotations

import io
import struct
import zipfile
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from trainer.records.packet import PacketUnreadable

if TYPE_CHECKING:
    from collections.abc import Mapping

# ZIP knows no moment before this one; a moment of its own would give other bytes each time.
_ALWAYS = (1980, 1, 1, 0, 0, 0)
_MOST_BYTES = 2**30
DIRECTORY = "the directory of the ZIP"
# All that `zipfile` raises on a file that is none, or broken.
BROKEN = (
    zipfile.BadZipFile,
    zipfile.LargeZipFile,
    NotImplementedError,
    RuntimeError,
    EOFError,
    ValueError,
    struct.error,
    OSError,
)


class PacketChanged(PacketUnreadable):
    """The ZIP is not as it was written; no file is taken from it."""

    def __init__(self, where: str) -> None:
        super().__init__(f"{where} was changed after the packet was made")
        self.where = where


def written(files: Mapping[str, bytes]) -> bytes:
    """Return the ZIP of files by their paths."""
    return _laid(files)[0]


def read(data: bytes) -> dict[str, bytes]:
    """Return the files of a ZIP by their paths.

    Raises:
        PacketChanged: a bit of it is not as `written` writes it; says at which file, or that it is the directory.
        PacketUnreadable: it is no ZIP, holds a path twice or one that leads out of it, or too much.
    """
    files = _files(data)
    again, starts = _laid(files)
    if again != data:
        raise PacketChanged(_place(_first_difference(data, again), starts))
    return files


def _files(data: bytes) -> dict[str, bytes]:
    # A bit alone does not spoil both its beginning and its end.
    if not data.startswith(b"PK") and not zipfile.is_zipfile(io.BytesIO(data)):
        raise PacketUnreadable("it is no ZIP that can be read")
    if len(data) > _MOST_BYTES:
        raise PacketUnreadable("it holds more than a gigabyte")
    where = DIRECTORY
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as file:
            entries = file.infolist()
            _must_be_sound(entries, len(data))
            found = {}
            for entry in entries:
                where = _told_of(entry, data)
                found[entry.filename] = file.read(entry)
            return found
    except BROKEN as problem:
        raise PacketChanged(where) from problem


def _must_be_sound(entries: list[zipfile.ZipInfo], size: int) -> None:
    if sum(entry.file_size for entry in entries) > size:
        raise PacketChanged(DIRECTORY)
    seen = set()
    for entry in entries:
        path = entry.filename
        if path in seen:
            raise PacketUnreadable(f"it holds the path '{path}' twice")
        seen.add(path)
        if PurePosixPath(path).is_absolute() or ".." in PurePosixPath(path).parts:
            raise PacketUnreadable(f"its path '{path}' leads out of it")
        if entry.compress_type != zipfile.ZIP_STORED:
            raise PacketUnreadable(f"'{path}' in it is compressed; packets hold their files as they are")


def _told_of(entry: zipfile.ZipInfo, data: bytes) -> str:
    """Return what was changed if an entry cannot be read: the file, or also the directory when the two do not agree."""
    name = entry.filename.encode()
    agreed = struct.pack("<III", entry.CRC, entry.compress_size, entry.file_size)
    agreed += struct.pack("<HH", len(name), 0) + name
    # APPNOTE.TXT 6.3.10, 4.3.7: from the 14th byte of a local header on stand checksum, sizes and name.
    start = entry.header_offset + 14
    same = data[start : start + len(agreed)] == agreed
    return entry.filename if same else f"{entry.filename} or {DIRECTORY}"


def _laid(files: Mapping[str, bytes]) -> tuple[bytes, dict[int, str]]:
    """Return the ZIP, and where in it each file begins; its directory is the last of these."""
    buffer, starts = io.BytesIO(), {}
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as file:
        for path, data in sorted(files.items()):
            entry = zipfile.ZipInfo(path, _ALWAYS)
            entry.external_attr = 0o644 << 16
            # As on Unix, whatever machine writes it.
            entry.create_system = 3
            starts[buffer.tell()] = path
            file.writestr(entry, data)
        starts[buffer.tell()] = DIRECTORY
    return buffer.getvalue(), starts


def _first_difference(one: bytes, other: bytes) -> int:
    both = min(len(one), len(other))
    # Halved until it is found: the longest common beginning.
    low, high = 0, both
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _place(position: int, starts: Mapping[int, str]) -> str:
    return starts[max(start for start in starts if start <= position)]
