"""A server in a process of its own, and clients that keep it busy: each asks again as soon as it is answered."""

from __future__ import annotations

import os
import re
import selectors
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from dataclasses import dataclass, field
from statistics import median
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from trainer.cli.measuring.visiting import token_in
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from pathlib import Path
    from typing import Self

_PATIENCE = 60
_LENGTH = re.compile(rb"\r\nContent-Length: (\d+)", re.IGNORECASE)
_COOKIE = re.compile(rb"\r\nSet-Cookie: ([^;\r]+)", re.IGNORECASE)


class NotServed(TrainerError):
    """A server did not start, or broke off."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The server that was to be measured does not answer: {why}.")


@contextmanager
def trainer_at(instance: Path, preload: str = "") -> Iterator[int]:
    """Yield the port at which an instance is served as it always is.

    Args:
        instance: its folder.
        preload: a shared library that the server is started with, "" for none.
    """
    environ = {**os.environ, "TRAINER_INSTANCE": str(instance)}
    if preload:
        environ["LD_PRELOAD"] = preload
    with _running(["-c", "from trainer.cli import main; main()", "serve", "--port"], environ) as port:
        yield port


@contextmanager
def bare_site_at(database: Path) -> Iterator[int]:
    """Yield the port at which the bare site is served, with the same server and settings."""
    with _running(["-m", "trainer.cli.measuring.bare_site", str(database)], dict(os.environ)) as port:
        yield port


@contextmanager
def _running(arguments: list[str], environ: dict[str, str]) -> Iterator[int]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    command = [sys.executable, *arguments, str(port)]
    silent = subprocess.DEVNULL
    with subprocess.Popen(command, env=environ, stdout=silent, stderr=silent) as server:  # noqa: S603  # our own
        try:
            _wait_for(port, server)
            yield port
        finally:
            server.terminate()


def _wait_for(port: int, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + _PATIENCE
    while time.monotonic() < until and server.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise NotServed(f"nothing listened at port {port}")


def request(
    path: str, cookie: str = "", form: Sequence[tuple[str, str]] | None = None, *, packed: bool = False
) -> bytes:
    """Return the bytes of a request: of a page, or of a form that is sent; `packed` lets the answer come in gzip."""
    body = b"" if form is None else urlencode(form).encode()
    head = f"{'GET' if form is None else 'POST'} {path} HTTP/1.1\r\nHost: 127.0.0.1\r\n"
    if cookie:
        head += f"Cookie: {cookie}\r\n"
    if packed:
        head += "Accept-Encoding: gzip\r\n"
    if form is not None:
        head += f"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {len(body)}\r\n"
    return head.encode() + b"\r\n" + body


@dataclass
class Client:
    """One connection that stays open."""

    port: int
    connection: socket.socket = field(init=False)
    answer: bytes = b""

    def __post_init__(self) -> None:
        """Connect."""
        self.connection = socket.create_connection(("127.0.0.1", self.port), timeout=_PATIENCE)
        self.connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the connection."""
        self.connection.close()

    def ask(self, sent: bytes) -> bytes:
        """Send a request and return the whole answer."""
        self.send(sent)
        while not self.read():
            pass
        return self.answer

    def send(self, sent: bytes) -> None:
        """Send a request."""
        self.answer = b""
        self.connection.sendall(sent)

    def read(self) -> bool:
        """Take what has come in; return whether the answer is whole."""
        came = self.connection.recv(1 << 18)
        if not came:
            raise NotServed("it closed a connection")
        self.answer += came
        head, found, body = self.answer.partition(b"\r\n\r\n")
        if not found:
            return False
        length = _LENGTH.search(head)
        return len(body) >= (int(length[1]) if length else 0)

    @property
    def status(self) -> int:
        """The status of the last answer."""
        return int(self.answer.split(b" ", 2)[1])

    def cookie(self, before: str) -> str:
        """Return the cookie that the last answer set, or the one before."""
        found = _COOKIE.search(self.answer)
        return found[1].decode() if found else before


def signed_in(port: int, name: str, password: str) -> str:
    """Return the cookie of a session.

    Raises:
        NotServed: name or password is not right.
    """
    with Client(port) as client:
        page = client.ask(request("/sign-in"))
        cookie = client.cookie("")
        form = [("name", name), ("password", password), ("csrf_token", token_in(page))]
        client.ask(request("/sign-in", cookie, form))
        if client.status != 303:
            raise NotServed(f"signing in answered {client.status}")
        return client.cookie(cookie)


@dataclass(frozen=True)
class Load:
    """What a busy while came to: seconds of each answer, of all clients together and by client."""

    seconds: float
    waits: tuple[tuple[float, ...], ...]
    refused: int

    @property
    def rate(self) -> float:
        """Answers a second."""
        return sum(len(of_client) for of_client in self.waits) / self.seconds

    def part(self, share: float) -> float:
        """Return the wait that a share of all answers did not exceed."""
        ordered = sorted(wait for of_client in self.waits for wait in of_client)
        return ordered[min(len(ordered) - 1, int(len(ordered) * share))]

    @property
    def middle(self) -> float:
        """The median wait."""
        return median(wait for of_client in self.waits for wait in of_client)


def busy(
    port: int,
    clients: int,
    seconds: float,
    next_request: Callable[[int], bytes],
    good: Sequence[int] = (200, 303),
) -> Load:
    """Let clients ask for a while, each as soon as it is answered.

    Args:
        port: where.
        clients: how many at once.
        seconds: how long new requests are sent; the answers to the last ones are waited for.
        next_request: gives what a client, counted from 0, sends next.
        good: statuses of answers that are none of a refusal.
    """
    everyone = [Client(port) for _ in range(clients)]
    waits: list[list[float]] = [[] for _ in everyone]
    sent_at = [0.0] * clients
    refused = 0
    with selectors.DefaultSelector() as ready:
        begin = time.perf_counter()
        for i, client in enumerate(everyone):
            ready.register(client.connection, selectors.EVENT_READ, i)
            sent_at[i] = time.perf_counter()
            client.send(next_request(i))
        while ready.get_map():
            for key, _ in ready.select(_PATIENCE):
                i = key.data
                if not everyone[i].read():
                    continue
                now = time.perf_counter()
                waits[i].append(now - sent_at[i])
                refused += everyone[i].status not in good
                if now - begin < seconds:
                    everyone[i].send(next_request(i))
                    sent_at[i] = now
                else:
                    ready.unregister(key.fileobj)
                    everyone[i].connection.close()
    return Load(time.perf_counter() - begin, tuple(tuple(one) for one in waits), refused)
