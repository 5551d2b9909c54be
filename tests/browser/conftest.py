"""A real server on a loopback port, a real Chromium, and ears for everything the browser complains about."""

from __future__ import annotations

import os
import shutil
import threading
from contextlib import contextmanager
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


@pytest.fixture
def address(db: Database, tmp_path: Path) -> Iterator[str]:
    """Where the server of this test listens."""
    settings = Settings(instance=tmp_path, company=databases.COMPANY)
    app = create_app(settings, db=db, clock=lambda: scene.NOW)
    with serving(app) as port:
        yield f"http://127.0.0.1:{port}"


@contextmanager
def serving(app: Flask) -> Iterator[int]:
    """Yield the port on which the server answers while the block runs."""
    sockets: dict[int, Any] = {}
    server = create_server(app, map=sockets, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=server.run)
    thread.start()

    def close_all() -> None:
        for socket in list(sockets.values()):
            socket.close()

    try:
        yield server.effective_port
    finally:
        # Closed from its own thread, between two rounds of its loop, which ends when nothing is left open.
        server.trigger.pull_trigger(close_all)
        thread.join(timeout=20)
        server.task_dispatcher.shutdown(cancel_pending=True, timeout=5)
        assert not thread.is_alive()


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
    address: str
    complaints: list[str] = field(default_factory=list)

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
def open_window(chromium: Browser, address: str) -> Iterator[Callable[..., Window]]:
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
        page.set_default_timeout(10_000)
        window = Window(page, address)
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
