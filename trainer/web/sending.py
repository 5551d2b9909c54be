"""Files, and pictures that a page fetches after itself: kept by the browser, asked for again by their tag, packed on the way.

A page is never packed, as it holds a secret beside what the reader may choose; a picture holds neither.
"""

from __future__ import annotations

import gzip
import hashlib
import json
from functools import lru_cache
from typing import TYPE_CHECKING

from flask import Response, request

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.actions.views import PrintedFile

# A browser keeps it and asks each time whether it is still the same: a new program may draw it anew.
KEPT = "private, no-cache"
SVG, JSON, HTML = "image/svg+xml; charset=utf-8", "application/json", "text/html; charset=utf-8"


def kept(text: str, media_type: str) -> Response:
    """Return an answer with its tag; only the tag when the browser has it already."""
    data, packed, tag = _prepared(text)
    small = request.accept_encodings["gzip"] > 0
    response = Response(packed if small else data, content_type=media_type)
    # Packed and unpacked are two things to a cache.
    response.set_etag(f"{tag}-z" if small else tag)
    response.headers["Cache-Control"] = KEPT
    response.headers["Vary"] = "Accept-Encoding, Cookie"
    if small:
        response.headers["Content-Encoding"] = "gzip"
    response.make_conditional(request)
    return response


def as_file(printed: PrintedFile) -> Response:
    """Return a file to be saved under its name."""
    answer = Response(printed.data, content_type=printed.media_type)
    answer.headers.set("Content-Disposition", "attachment", filename=printed.name)
    return answer


def as_json(data: Mapping[str, str]) -> Response:
    """Return texts by their names as an answer with its tag."""
    return kept(json.dumps(data, separators=(",", ":")), JSON)


@lru_cache(maxsize=128)
def _prepared(text: str) -> tuple[bytes, bytes, str]:
    data = text.encode()
    return data, gzip.compress(data, 9, mtime=0), hashlib.sha256(data).hexdigest()[:16]
