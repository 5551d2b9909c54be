"""An order drill on a telephone far from the mast: how much is sent, and how soon a line can be moved."""

from __future__ import annotations

import gzip
import re
import shutil
from importlib import import_module
from itertools import islice
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from trainer.actions import accounts
from trainer.actions.opening import open_database
from trainer.cli.figures.answering_served import path_of
from trainer.cli.measuring import large_company, served
from trainer.cli.measuring.invented_answers import given
from trainer.cli.measuring.large_company import NOW, PASSWORD
from trainer.cli.measuring.timing import Goal, Reading

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort
    from trainer.settings import Settings

TITLE = "Open an order drill over slow 4G"

FIRST_FLIGHT, SCRIPT, TIMES = 14_600, 6_000, 1.2
"""Bytes that a server sends before it first waits (RFC 6928), bytes of script, and round trips until it can be used."""
ROUND_TRIP, BITS, SLOWER = 0.562, 1_600_000, 4
"""Slow 4G as browsers emulate it: seconds, bits a second; and how many times slower the processor is."""
_ARGUMENTS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-sync",
)
_SCRIPT = re.compile(rb'<script[^>]* src="([^"]+)"')
_IMPORT = re.compile(rb'from "(\\./[^"]+)"')


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield the bytes of the first answer and of all script, and the time until a line can be moved in round trips."""
    with TemporaryDirectory() as folder:
        settings = large_company.make(Path(folder), large_company.Company(0))
        path = _question(settings)
        with served.trainer_at(settings.instance) as port:
            cookie = served.signed_in(port, "technician", PASSWORD)
            with served.Client(port) as client:
                yield from _bytes(client, path, cookie)
            yield from _in_a_browser(f"http://127.0.0.1:{port}", path, cookie, effort.rounds)


def _question(settings: Settings) -> str:
    with open_database(settings) as db:
        actor = accounts.sign_in(db, "technician", PASSWORD, address="192.0.2.1", now=NOW).actor
        (first,) = islice(given(db, actor), 1)
    return path_of(first)


def _bytes(client: served.Client, path: str, cookie: str) -> Iterator[Reading]:
    packed = client.ask(served.request(path, cookie, packed=True))
    share = len(packed) / FIRST_FLIGHT
    note = f"{len(packed):,} bytes with head, packed as a browser asks for it."
    yield Reading(
        f"{TITLE}: first answer by what is sent at once", ratio=share, goal=Goal("at most", 1), note=note
    )
    page = client.ask(served.request(path, cookie)).partition(b"\r\n\r\n")[2]
    ahead, scripts = [link.decode() for link in _SCRIPT.findall(page)], dict[str, bytes]()
    while ahead:
        link = ahead.pop()
        if link not in scripts:
            scripts[link] = client.ask(served.request(link, cookie)).partition(b"\r\n\r\n")[2]
            ahead += [
                f"{link.rpartition('/')[0]}/{other.decode()[2:]}" for other in _IMPORT.findall(scripts[link])
            ]
    size = sum(len(gzip.compress(script, 9)) for script in scripts.values())
    note = f"{len(scripts)} files, {size:,} bytes by gzip, which packs less than what the figure is promised for (brotli)."
    yield Reading(
        f"{TITLE}: all script by {SCRIPT:,} bytes", ratio=size / SCRIPT, goal=Goal("at most", 1), note=note
    )


def _in_a_browser(site: str, path: str, cookie: str, rounds: int) -> Iterator[Reading]:
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    try:
        playwright = import_module("playwright.sync_api")
    except ImportError:
        playwright = None
    if playwright is None or program is None:
        yield Reading(
            f"{TITLE}: until a line can be moved", note="Chromium with playwright is not installed."
        )
        return
    name, _, value = cookie.partition("=")
    first: list[float] = []
    again: list[float] = []
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=list(_ARGUMENTS))
        for _ in range(rounds):
            context = browser.new_context()
            context.add_cookies([{"name": name, "value": value, "url": site}])
            page = context.new_page()
            slow_down(context.new_cdp_session(page))
            first.append(until_usable(page, site + path))
            again.append(until_usable(page, site + path))
            context.close()
        browser.close()
    for what, seconds in (
        ("at the first visit", median(first)),
        ("with style and script kept from before", median(again)),
    ):
        yield Reading(
            f"{TITLE}: until a line can be moved, {what}, times the round trip",
            ROUND_TRIP,
            seconds,
            seconds / ROUND_TRIP,
            Goal("at most", TIMES),
        )


def slow_down(session: Any) -> None:
    """Let a page of a browser have a slow connection and a slow processor."""
    session.send("Network.enable")
    session.send(
        "Network.emulateNetworkConditions",
        {
            "offline": False,
            "latency": ROUND_TRIP * 1000,
            "downloadThroughput": BITS / 8,
            "uploadThroughput": BITS / 8,
        },
    )
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})


def until_usable(page: Any, address: str) -> float:
    """Return the seconds from asking for a page until its script has run and lines can be dragged."""
    page.goto(address)
    page.wait_for_selector("#keys:not([hidden])", state="attached")
    # Scripts that are modules have run when the document tells that it is loaded.
    milliseconds: float = page.evaluate(
        "performance.getEntriesByType('navigation')[0].domContentLoadedEventStart"
    )
    return milliseconds / 1000
