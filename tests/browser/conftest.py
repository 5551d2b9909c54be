"""A real server on a loopback port, a real Chromium, and ears for everything the browser complains about."""

from __future__ import annotations

import os
import shutil
import threading
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import sync_playwright
from waitress.server import create_server

from tests import databases
from tests.web import scene
from trainer.settings import Settings
from trainer.web import create_app

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from flask import Flask
    from playwright.sync_api import Browser, Page

    from tests.people import Someone
    from trainer.actions.opening import Database

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# The browser tells a broken policy as an event of the page; it is kept where the test can read it.
LISTEN = """
window.brokenPolicies = [];
document.addEventListener('securitypolicyviolation', (event) =>
  window.brokenPolicies.push(event.violatedDirective + ' ' + event.blockedURI));
"""


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    """A working week, to be copied."""
    with databases.prepared_sqlite(tmp_path_factory.mktemp("week"), scene.full) as memory:
        yield memory


@pytest.fixture
def db(prepared: sqlite3.Connection, tmp_path: Path) -> Iterator[Database]:
    """This test's own copy."""
    with databases.copy_of(prepared, tmp_path / "trainer.sqlite3") as copied:
        yield copied


class Line:
    """The way to a server on a loopback port, which can be cut and joined again."""

    def __init__(self, app: Flask) -> None:
        self.app = app
        self.port = 0

    def join(self) -> None:
        """Let the server listen; again at the same port after a cut."""
        self.sockets: dict[int, Any] = {}
        self.server = create_server(self.app, map=self.sockets, host="127.0.0.1", port=self.port, threads=4)
        self.port = self.server.effective_port
        self.thread = threading.Thread(target=self.server.run)
        self.thread.start()

    def cut(self) -> None:
        """Close the server and all that is connected with it."""

        def close_all() -> None:
            for socket in list(self.sockets.values()):
                socket.close()

        # Closed from its own thread, between two rounds of its loop, which ends when nothing is left open.
        self.server.trigger.pull_trigger(close_all)
        self.thread.join(timeout=20)
        self.server.task_dispatcher.shutdown(cancel_pending=True, timeout=5)
        assert not self.thread.is_alive()


@pytest.fixture
def line(db: Database, tmp_path: Path) -> Iterator[Line]:
    """The way to this test's server."""
    settings = Settings(instance=tmp_path, company=databases.COMPANY)
    joined = Line(create_app(settings, db=db, clock=lambda: scene.NOW))
    joined.join()
    yield joined
    if joined.thread.is_alive():
        joined.cut()


@pytest.fixture
def address(line: Line) -> str:
    """Where the server of this test listens."""
    return f"http://127.0.0.1:{line.port}"


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The browser, started once."""
    path = shutil.which("chromium") or CHROMIUM
    if not os.access(path, os.X_OK):
        databases.missing("Chromium is not installed here")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()


@dataclass
class Window:
    """A person at a browser window; `complaints` is what the browser said that it should not have."""

    page: Page
    line: Line
    complaints: list[str] = field(default_factory=list)

    @property
    def address(self) -> str:
        """Where the server listens."""
        return f"http://127.0.0.1:{self.line.port}"

    def lose_connection(self) -> None:
        """Cut the line, and let the browser know: what it is told alone does not bind a worker that starts anew."""
        self.line.cut()
        self.page.context.set_offline(True)

    def find_connection(self) -> None:
        """Join the line again, and let the browser know."""
        self.line.join()
        self.page.context.set_offline(False)

    def go(self, path: str) -> None:
        """Open a sheet."""
        self.page.goto(self.address + path)

    def sign_in(self, who: Someone) -> None:
        """Sign in by the form."""
        self.go("/sign-in")
        self.page.get_by_label("Sign-in name").fill(who.sign_in_name)
        self.page.get_by_label("Password").fill(who.password)
        self.page.get_by_role("button", name="Sign in").click()
        self.page.wait_for_url(lambda url: "/sign-in" not in url)

    def must_be_quiet(self) -> None:
        """No script failed, nothing was blocked, nothing was missing."""
        broken = self.page.evaluate("window.brokenPolicies")
        assert (self.complaints, broken) == ([], [])


@pytest.fixture
def open_window(chromium: Browser, line: Line) -> Iterator[Callable[..., Window]]:
    """Return a function that opens a window of some width, with script or without."""
    contexts = []

    def opened(width: int = 390, *, script: bool = True) -> Window:
        context = chromium.new_context(
            viewport={"width": width, "height": 844},
            java_script_enabled=script,
            has_touch=width < 500,
            reduced_motion="reduce",
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(30_000)
        window = Window(page, line)
        if script:
            page.add_init_script(LISTEN)
        page.on("pageerror", lambda error: window.complaints.append(str(error)))
        page.on(
            "console",
            lambda message: window.complaints.append(message.text) if message.type == "error" else None,
        )
        return window

    yield opened
    for context in contexts:
        context.close()
