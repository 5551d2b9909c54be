"""One client asking for pages of the embedded server: the slowest in a hundred beside the one in the middle."""

from __future__ import annotations

from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.cli.figures.many_at_once import PAGES
from trainer.cli.measuring import large_company, served
from trainer.cli.measuring.large_company import PASSWORD, Company
from trainer.cli.measuring.timing import QUICK, Goal, Reading

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort

TITLE = "Wait alone for a page"

TIMES = 1.5


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield for each page the wait that one in a hundred exceeds, times the median wait; the floor is that median."""
    seconds = 1.0 if effort.rounds <= QUICK.rounds else 3.0
    with TemporaryDirectory() as folder:
        settings = large_company.make(Path(folder), Company(120, 20))
        with served.trainer_at(settings.instance) as port:
            cookie = served.signed_in(port, "supervisor", PASSWORD)
            for path in PAGES:
                ask = served.request(path, "" if path == "/sign-in" else cookie)
                loads = [served.busy(port, 1, seconds, lambda _, ask=ask: ask) for _ in range(effort.rounds)]  # type: ignore[misc]
                ratio = median(load.part(0.99) / load.middle for load in loads)
                a, b = (median(load.part(share) for load in loads) for share in (0.5, 0.99))
                yield Reading(
                    f"{TITLE}: {path}, one in a hundred times the median", a, b, ratio, Goal("at most", TIMES)
                )
