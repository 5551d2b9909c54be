"""A system on this machine that takes activity statements, and can fail in all the ways that one on the net can."""

from __future__ import annotations

import json
import threading
import time
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

TAKE, DROP, SILENT = "take", "drop", "silent"


@dataclass
class Heard:
    """A request as it came: its path, its headers, and the statements."""

    path: str
    headers: dict[str, str]
    statements: list[dict[str, Any]]


@dataclass
class System:
    """What it does with the next requests (a code, or one of the words above), and what it has heard.

    `bad` are ids that it answers with a code of their own, alone or in a batch. Statements that it takes are in `kept`.
    A silence lasts until the system is closed, so that no slow machine can outwait it.
    """

    address: str = ""
    next: list[int | str] = field(default_factory=list)
    bad: dict[str, int] = field(default_factory=dict)
    heard: list[Heard] = field(default_factory=list)
    kept: dict[str, dict[str, Any]] = field(default_factory=dict)
    drops_after_taking: bool = False
    over: threading.Event = field(default_factory=threading.Event)

    def await_requests(self, count: int) -> None:
        """Return once so many requests were heard: who gives up early is gone before a busy machine reads theirs."""
        deadline = time.monotonic() + 60
        while len(self.heard) < count:
            assert time.monotonic() < deadline, f"heard {len(self.heard)} of {count} requests in a minute"
            time.sleep(0.01)

    def answer(self, statements: list[dict[str, Any]]) -> int | str:
        """Return what is done with a batch."""
        told = self.next.pop(0) if self.next else TAKE
        codes = [self.bad[one["id"]] for one in statements if one["id"] in self.bad]
        if told == TAKE and codes:
            return codes[0]
        if told == TAKE or (told == DROP and self.drops_after_taking):
            for one in statements:
                # Part Two, 2.1: the same id with other content is a conflict; the same content does no harm.
                if self.kept.setdefault(one["id"], one) != one:
                    return 409
        return told


@contextmanager
def running() -> Iterator[System]:
    """Yield a system that listens while the block runs."""
    system = System()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            statements = json.loads(body)
            system.heard.append(Heard(self.path, dict(self.headers), statements))
            told = system.answer(statements)
            if told == DROP:
                self.close_connection = True
                return
            if told == SILENT:
                system.over.wait()
                self.close_connection = True
                return
            code = 200 if told == TAKE else int(told)
            self.send_response(code)
            if 300 <= code < 400:
                self.send_header("Location", f"{system.address}/elsewhere")
            self.send_header("Content-Length", "2")
            self.end_headers()
            self.wfile.write(b"[]")

        def do_GET(self) -> None:
            system.heard.append(Heard(self.path, dict(self.headers), []))
            self.send_response(200)
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    system.address = f"http://127.0.0.1:{server.server_port}/xapi"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield system
    finally:
        system.over.set()
        server.shutdown()
        server.server_close()
        thread.join()
