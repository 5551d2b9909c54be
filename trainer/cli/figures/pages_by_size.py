"""Every page of every role in a small and in a large company: what a page costs must not grow with the company."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.actions.permissions import Role
from trainer.cli.measuring import large_company
from trainer.cli.measuring.large_company import NOW, PASSWORD, Company
from trainer.cli.measuring.timing import QUICK, Goal, Reading, in_turn
from trainer.cli.measuring.visiting import PageRefused, Visit, links_in
from trainer.web import create_app

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort
    from trainer.settings import Settings

TITLE = "Pages of a large company"

TIMES = 1.3
FEW, MANY, MANY_QUICK, EACH = 200, 20_000, 1_000, 20
_START = "/account"


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield for each role the page that a larger company makes longest, times the same page of a small one."""
    people = MANY_QUICK if effort.rounds <= QUICK.rounds else MANY
    with TemporaryDirectory() as few, TemporaryDirectory() as many:
        small = large_company.make(Path(few), Company(FEW, EACH))
        large = large_company.make(Path(many), Company(people, EACH))
        for role in Role:
            yield slowest(role, small, large, f"{people:,} people, times {FEW}", effort)


def slowest(role: Role, small: Settings, large: Settings, sizes: str, effort: Effort) -> Reading:
    """Return the reading of the page that grows most; its note says how many pages grow too much."""
    one, other = (visit_as(role, settings) for settings in (small, large))
    grown: list[tuple[float, str, float, float]] = []
    for path in pages_of(one):
        a, b = in_turn(partial(one.get, path), partial(other.get, path), effort)
        if b / a > TIMES:
            # Among so many pages some meet a slow moment: what grows does so a second time.
            a, b = min((a, b), in_turn(partial(one.get, path), partial(other.get, path), effort), key=_ratio)
        grown.append((b / a, path, a, b))
    ratio, path, a, b = max(grown)
    beyond = [one_path for one_ratio, one_path, *_ in sorted(grown, reverse=True) if one_ratio > TIMES]
    note = f"{path}, of {len(grown)} pages; too much: {', '.join(beyond) or 'none'}."
    return Reading(f"{TITLE}: {role.words}, {sizes}", a, b, ratio, Goal("at most", TIMES), note)


def _ratio(times: tuple[float, float]) -> float:
    return times[1] / times[0]


def visit_as(role: Role, settings: Settings) -> Visit:
    """Return a visit of the person of a role, signed in."""
    visit = Visit(create_app(settings, clock=lambda: NOW).wsgi_app)
    visit.sign_in(role.value, PASSWORD)
    return visit


def pages_of(visit: Visit) -> list[str]:
    """Return one path of each kind of page that links lead to; paths are of one kind when they differ in names alone."""
    found: dict[str, str] = {}
    ahead = [_START]
    while ahead:
        path = ahead.pop(0)
        kind = _kind(path)
        if kind in found or path.startswith(("/static/", "/print/")):
            continue
        try:
            page = visit.get(path)
        except PageRefused:
            continue
        found[kind] = path
        ahead += links_in(page)
    return list(found.values())


def _kind(path: str) -> str:
    """Return a path with all but its first part and its words of small letters left out."""
    first, *others = path.partition("?")[0].strip("/").split("/")
    return "/".join([first, *(part if part.isalpha() and part.islower() else "*" for part in others)])
