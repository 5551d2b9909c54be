"""A small mail server in a thread: takes messages, or refuses and breaks off as it is told."""

from __future__ import annotations

import socketserver
import threading
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes
from email.policy import default
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from email.message import EmailMessage


@dataclass
class MailServer:
    """What the server does and has seen: `answers` by command, `breaks` where it hangs up, each used once in turn.

    `after` breaks when the whole message has come and before it is acknowledged.
    """

    port: int = 0
    answers: dict[str, list[str]] = field(default_factory=dict)
    breaks: list[str] = field(default_factory=list)
    taken: list[bytes] = field(default_factory=list)
    seen: list[str] = field(default_factory=list)
    connections: int = 0

    @property
    def messages(self) -> list[EmailMessage]:
        """What it took, read."""
        return [message_from_bytes(text, policy=default) for text in self.taken]

    def answer(self, command: str, good: str) -> str:
        """Return the next answer to a command that it was told to give, or the good one."""
        told = self.answers.get(command, [])
        return told.pop(0) if told else good

    def hangs_up(self, place: str) -> bool:
        """Whether the connection breaks off here now."""
        if self.breaks and self.breaks[0] == place:
            self.breaks.pop(0)
            return True
        return False


class _Server(socketserver.ThreadingTCPServer):
    state: MailServer


class _Handler(socketserver.StreamRequestHandler):
    server: _Server

    def handle(self) -> None:
        """Answer one connection."""
        state = self.server.state
        state.connections += 1
        if state.hangs_up("connect"):
            return
        self._say("220 invented.example")
        while line := self.rfile.readline().decode().strip():
            command = line.split(" ")[0].split(":")[0].upper()
            state.seen.append(line)
            if state.hangs_up(command) or not self._answered(command):
                return

    def _answered(self, command: str) -> bool:
        """Answer a command; return whether the connection goes on."""
        good = {"DATA": "354 go on", "QUIT": "221 bye"}.get(command, "250 ok")
        said = self.server.state.answer(command, good)
        self._say(said)
        if said.startswith("354"):
            return self._message()
        return command != "QUIT"

    def _message(self) -> bool:
        state = self.server.state
        lines = []
        while (line := self.rfile.readline()) != b".\r\n":
            if not line:
                return False
            lines.append(line[1:] if line.startswith(b".") else line)
        if state.hangs_up("after"):
            return False
        said = state.answer("message", "250 taken")
        if said.startswith("250"):
            state.taken.append(b"".join(lines))
        self._say(said)
        return True

    def _say(self, line: str) -> None:
        self.wfile.write(line.encode() + b"\r\n")


@contextmanager
def mail_server() -> Iterator[MailServer]:
    """Yield a server that listens on this host."""
    with _Server(("127.0.0.1", 0), _Handler) as server:
        server.state = MailServer(port=server.server_address[1])
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True)
        thread.start()
        try:
            yield server.state
        finally:
            server.shutdown()
            thread.join()
