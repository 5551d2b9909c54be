"""Style sheets, scripts and fonts: read once, served from memory under a name that changes with their content.

One digest over all files stands in every address, so relative references between them (a font in a style
sheet, a module in a script) carry it too, and a browser may keep each file for ever.
"""

from __future__ import annotations

import gzip
import hashlib
import mimetypes
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

FOLDER = Path(__file__).resolve().parent / "static"
_TEXT = (".css", ".js", ".svg", ".txt")
# Told here because the table of the operating system differs from one machine to the next.
_MEDIA = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}


@dataclass(frozen=True)
class Asset:
    """One static file; `packed` is the same in gzip where that is smaller, else empty."""

    data: bytes
    packed: bytes
    media_type: str


@dataclass(frozen=True)
class Assets:
    """All static files by path, and the digest over all of them."""

    files: Mapping[str, Asset]
    digest: str

    def known(self, path: str) -> str:
        """Return the path of a static file.

        Raises:
            KeyError: there is no such file; a template that names one is wrong.
        """
        if path not in self.files:
            raise KeyError(f"no static file '{path}'")
        return path


def load(folder: Path = FOLDER) -> Assets:
    """Read all static files of a folder."""
    paths = sorted(path for path in folder.rglob("*") if path.is_file())
    files = {path.relative_to(folder).as_posix(): _read(path) for path in paths}
    digest = hashlib.sha256()
    for name, asset in files.items():
        digest.update(name.encode() + b"\0" + asset.data + b"\0")
    return Assets(files, digest.hexdigest()[:12])


def _read(path: Path) -> Asset:
    data = path.read_bytes()
    packed = gzip.compress(data, 9, mtime=0) if path.suffix in _TEXT else b""
    media = _MEDIA.get(path.suffix) or mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    return Asset(data, packed if len(packed) < len(data) else b"", media)
