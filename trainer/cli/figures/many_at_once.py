"""Many clients at once at the embedded server: its rate with sixty-four must hold up against its rate with one."""

from __future__ import annotations

from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.cli.figures.answering_served import handing_in
from trainer.cli.measuring import large_company, served
from trainer.cli.measuring.large_company import PASSWORD, Company
from trainer.cli.measuring.timing import QUICK, Goal, Reading

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from trainer.cli.measuring.timing import Effort

TITLE = "Serve many at once"

SHARE = 0.7
CLIENTS = 64
PAGES = ("/sign-in", "/account", "/crew/Crew%20001", "/modules", "/people/P-10000")


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield for each route the rate with many clients as a share of that with one; floor and ours are times an answer."""
    seconds = 0.3 if effort.rounds <= QUICK.rounds else 1.0
    with TemporaryDirectory() as folder:
        settings = large_company.make(Path(folder), Company(120, 20))
        with served.trainer_at(settings.instance) as port:
            cookie = served.signed_in(port, "supervisor", PASSWORD)
            routes: dict[str, Callable[[int], bytes]] = {
                path: lambda _, path=path: served.request(path, "" if path == "/sign-in" else cookie)  # type: ignore[misc]
                for path in (PAGES[:2] if seconds < 1 else PAGES)
            }
            routes["handing in an answer"] = handing_in(settings, port)
            for name, next_request in routes.items():
                one, many = [], []
                for _ in range(effort.rounds):
                    one.append(_rate(port, 1, seconds, next_request))
                    many.append(_rate(port, CLIENTS, seconds, next_request))
                a, b = median(one), median(many)
                what = f"{TITLE}: {name}, {CLIENTS} clients, share of the rate with one"
                yield Reading(what, 1 / a, 1 / b, b / a, Goal("at least", SHARE))


def _rate(port: int, clients: int, seconds: float, next_request: Callable[[int], bytes]) -> float:
    load = served.busy(port, clients, seconds, next_request)
    if load.refused:
        raise AssertionError(f"{load.refused} requests were refused")
    return load.rate
