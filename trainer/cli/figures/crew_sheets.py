"""The sheet of a crew of sixty by forty tasks in a large company: the whole page, beside a plain page of 30 kB."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.cli.measuring import large_company
from trainer.cli.measuring.bare_site import site
from trainer.cli.measuring.large_company import CREW_SIZE, NOW, PASSWORD, Company
from trainer.cli.measuring.timing import QUICK, slower
from trainer.cli.measuring.visiting import Visit
from trainer.web import create_app

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort, Reading
    from trainer.settings import Settings

TITLE = "Show the sheet of a crew"

TIMES, GROWTH = 2.0, 1.1
PEOPLE, FEW, MANY = 20_000, 5, 50
FEW_PEOPLE = 600
"""Ten million attempts take this machine's disk half an hour: a tenth of that, and a hundredth, show the same growth."""


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield the page beside a plain one, and beside the same page with a tenth of the attempts."""
    people = FEW_PEOPLE if effort.rounds <= QUICK.rounds else PEOPLE
    with TemporaryDirectory() as few, TemporaryDirectory() as many:
        small = sheet_of(large_company.make(Path(few), Company(people, FEW)))
        large = sheet_of(large_company.make(Path(many), Company(people, MANY)))
        plain = partial(Visit(site().wsgi_app).get, "/page")
        name = f"{TITLE}: {people:,} people, {people * MANY:,} attempts"
        yield slower(f"{name}, times a plain page of 30 kB", plain, large, effort, TIMES)
        yield slower(f"{name}, times the same with {people * FEW:,}", small, large, effort, GROWTH)


def sheet_of(settings: Settings) -> partial[bytes]:
    """Return what asks for the sheet of one crew, as its supervisor."""
    visit = Visit(create_app(settings, clock=lambda: NOW).wsgi_app)
    visit.sign_in("supervisor", PASSWORD)
    ask = partial(visit.get, f"/crew/{large_company.crew_name(1)}".replace(" ", "%20"))
    if ask().count(b"/people/P-") < CREW_SIZE:
        raise AssertionError("the sheet must show the whole crew")
    return ask
