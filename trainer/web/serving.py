"""Serving the application from this machine."""

from __future__ import annotations

import gc
from typing import TYPE_CHECKING

from trainer.web.application import create_app

if TYPE_CHECKING:
    from trainer.settings import Settings

THREADS = 4
# With the default of one byte, short writes make the answers of a busy server pile up; see the bench.
SEND_BYTES = 1 << 20


def serve(settings: Settings, host: str, port: int) -> None:
    """Serve until interrupted.

    Args:
        settings: of this installation.
        host: address to listen on.
        port: port to listen on.
    """
    import waitress

    app = create_app(settings)
    # What is built once is never garbage: without this each full collection walks all of it, and a page waits.
    gc.collect()
    gc.freeze()
    waitress.serve(app, host=host, port=port, threads=THREADS, send_bytes=SEND_BYTES, ident=None)
