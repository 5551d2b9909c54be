"""Handing one message to a mail server, and telling apart: sent, surely not sent, and not known.

Not known is what is left when the connection breaks after the whole message went out and before the server answered.
Source: RFC 5321 section 4.2.5 (who is responsible for a message after the final dot) and 4.5.2 (a leading dot is doubled).
"""

from __future__ import annotations

import re
import smtplib
import ssl
from contextlib import suppress
from dataclasses import dataclass, field
from email.policy import SMTP
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from email.message import EmailMessage

_SECONDS = 20.0
_TAKEN, _GO_ON = 250, 354
# A recipient may be taken with one of these.
_RECIPIENT_TAKEN = (250, 251)


class NotSent(TrainerError):
    """A message was surely not sent; it can be tried again."""

    def __init__(self, why: str) -> None:
        super().__init__(f"Not sent: {' '.join(why.split()).rstrip('.')}.")


class PerhapsSent(TrainerError):
    """The server has all of the message but never said that it took it; it is not sent again."""

    def __init__(self) -> None:
        super().__init__(
            "Perhaps sent: the connection broke before the server answered; it is not sent again."
        )


@dataclass(frozen=True)
class Post:
    """A mail server: `security` is starttls, tls or none; without a user nobody signs in."""

    server: str
    port: int
    security: str
    sender: str
    user: str = ""
    password: str = field(default="", repr=False)


def send(post: Post, message: EmailMessage, to: str) -> None:
    """Send one message to one address.

    Raises:
        NotSent: the server is not there, refuses, or the connection broke before the message was whole.
        PerhapsSent: the connection broke after it.
    """
    try:
        server = _connected(post)
    except (OSError, smtplib.SMTPException) as problem:
        raise NotSent(_words(problem)) from problem
    try:
        _handed_over(server, post, message, to)
    finally:
        with suppress(OSError, smtplib.SMTPException):
            server.quit()
        server.close()


def _connected(post: Post) -> smtplib.SMTP:
    context = ssl.create_default_context()
    server: smtplib.SMTP
    if post.security == "tls":
        server = smtplib.SMTP_SSL(post.server, post.port, timeout=_SECONDS, context=context)
    else:
        server = smtplib.SMTP(post.server, post.port, timeout=_SECONDS)
    try:
        if post.security == "starttls":
            server.starttls(context=context)
        server.ehlo_or_helo_if_needed()
        if post.user:
            server.login(post.user, post.password)
    except (OSError, smtplib.SMTPException):
        server.close()
        raise
    return server


def _handed_over(server: smtplib.SMTP, post: Post, message: EmailMessage, to: str) -> None:
    try:
        _must(server.mail(post.sender), (_TAKEN,))
        _must(server.rcpt(to), _RECIPIENT_TAKEN)
        _must(server.docmd("DATA"), (_GO_ON,))
    except (OSError, smtplib.SMTPException) as problem:
        raise NotSent(_words(problem)) from problem
    text = re.sub(rb"(?m)^\.", b"..", message.as_bytes(policy=SMTP))
    try:
        server.send(text + (b"" if text.endswith(b"\r\n") else b"\r\n") + b".\r\n")
        answer = server.getreply()
    except (OSError, smtplib.SMTPException) as problem:
        raise PerhapsSent from problem
    _must(answer, (_TAKEN,))


def _must(answer: tuple[int, bytes], good: tuple[int, ...]) -> None:
    code, said = answer
    if code not in good:
        raise NotSent(f"the server answered {code} {said.decode('utf-8', 'replace')}")


def _words(problem: Exception) -> str:
    if isinstance(problem, smtplib.SMTPResponseException):
        said = problem.smtp_error
        return f"the server answered {problem.smtp_code} {said.decode('utf-8', 'replace') if isinstance(said, bytes) else said}"
    return str(problem) or type(problem).__name__
