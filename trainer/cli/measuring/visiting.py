"""Asking an application for pages in this process, as a server would, with nothing in between that takes time."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from io import BytesIO
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote, urlencode
from wsgiref.util import setup_testing_defaults

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    Application = Callable[[dict[str, Any], Callable[..., Any]], Any]

_TOKEN = re.compile(r'name="csrf_token" value="([^"]+)"')
_LINK = re.compile(r'<a [^>]*?href="(/[^"#]*)')


class PageRefused(TrainerError):
    """An application answered otherwise than with the page asked for."""

    def __init__(self, path: str, status: str) -> None:
        super().__init__(f"The page {path} answered {status}; there is nothing to measure.")


@dataclass
class Visit:
    """Somebody at an application: the cookies they were given go along with each request."""

    application: Application
    cookies: dict[str, str] = field(default_factory=dict)
    status: str = ""

    def get(self, path: str) -> bytes:
        """Return the bytes of a page.

        Raises:
            PageRefused: the answer is no page.
        """
        body = self._ask("GET", path, b"")
        if not self.status.startswith("200"):
            raise PageRefused(path, self.status)
        return body

    def post(self, path: str, form: Sequence[tuple[str, str]]) -> bytes:
        """Send a form and return what came back, whatever it is; `status` says what."""
        return self._ask("POST", path, urlencode(form).encode())

    def sign_in(self, name: str, password: str) -> None:
        """Sign in.

        Raises:
            PageRefused: name or password is not right.
        """
        token = token_in(self.get("/sign-in"))
        form = [("name", name), ("password", password), ("csrf_token", token)]
        self.post("/sign-in", form)
        if not self.status.startswith("303"):
            raise PageRefused("/sign-in", self.status)

    def _ask(self, method: str, path: str, sent: bytes) -> bytes:
        path_info, _, query = path.partition("?")
        environ: dict[str, Any] = {
            "REQUEST_METHOD": method,
            "PATH_INFO": unquote(path_info).encode().decode("latin-1"),
            "QUERY_STRING": query,
            "CONTENT_LENGTH": str(len(sent)),
            "CONTENT_TYPE": "application/x-www-form-urlencoded" if sent else "",
            "REMOTE_ADDR": "127.0.0.1",
            "HTTP_COOKIE": "; ".join(f"{name}={value}" for name, value in self.cookies.items()),
            "wsgi.input": BytesIO(sent),
        }
        setup_testing_defaults(environ)
        answer = self.application(environ, self._begin)
        try:
            return b"".join(answer)
        finally:
            if hasattr(answer, "close"):
                answer.close()

    def _begin(self, status: str, headers: list[tuple[str, str]], _: object = None) -> None:
        self.status = status
        for name, value in headers:
            if name.lower() == "set-cookie":
                key, _, rest = value.partition("=")
                self.cookies[key] = rest.partition(";")[0]


def token_in(page: bytes) -> str:
    """Return the value that the form of a page is sent back with, "" when the page has no form."""
    found = _TOKEN.search(page.decode())
    return found[1] if found else ""


def links_in(page: bytes) -> list[str]:
    """Return where the links of a page lead on the same server, in their order."""
    return [link.replace("&amp;", "&") for link in _LINK.findall(page.decode())]
