"""A packet as one ZIP file: the same files give the same bytes, and reading one trusts nothing about it."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from trainer.records.packet import PacketUnreadable

if TYPE_CHECKING:
    from collections.abc import Mapping

# ZIP knows no moment before this one; a moment of its own would give other bytes each time.
_ALWAYS = (1980, 1, 1, 0, 0, 0)
_MOST_BYTES = 2**30


def written(files: Mapping[str, bytes]) -> bytes:
    """Return the ZIP of files by their paths."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as file:
        for path, data in sorted(files.items()):
            entry = zipfile.ZipInfo(path, _ALWAYS)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            # As on Unix, whatever machine writes it.
            entry.create_system = 3
            file.writestr(entry, data)
    return buffer.getvalue()


def read(data: bytes) -> dict[str, bytes]:
    """Return the files of a ZIP by their paths.

    Raises:
        PacketUnreadable: it is no ZIP, holds a path twice or one that leads out of it, or too much.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as file:
            entries = [entry for entry in file.infolist() if not entry.is_dir()]
            if sum(entry.file_size for entry in entries) > _MOST_BYTES:
                raise PacketUnreadable("it holds more than a gigabyte")
            if any(entry.compress_type != zipfile.ZIP_DEFLATED for entry in entries):
                raise PacketUnreadable("a file in it is packed in another way than packets are")
            names = [entry.filename for entry in entries]
            if len(set(names)) != len(names):
                raise PacketUnreadable("it holds a path twice")
            for name in names:
                if PurePosixPath(name).is_absolute() or ".." in PurePosixPath(name).parts:
                    raise PacketUnreadable(f"its path '{name}' leads out of it")
            return {entry.filename: file.read(entry) for entry in entries}
    except (
        zipfile.BadZipFile,
        zipfile.LargeZipFile,
        NotImplementedError,
        RuntimeError,
        EOFError,
        ValueError,
        struct.error,
        zlib.error,
    ) as problem:
        raise PacketUnreadable("it is no ZIP that can be read") from problem
    except OSError as problem:
        raise PacketUnreadable("it is broken") from problem
