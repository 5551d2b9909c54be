"""An answer handed in over HTTP with session and anti-forgery token, beside a bare site that keeps one row."""

from __future__ import annotations

from itertools import count
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.actions import accounts
from trainer.actions.opening import open_database
from trainer.cli.measuring import large_company, served
from trainer.cli.measuring.invented_answers import given
from trainer.cli.measuring.large_company import NOW, PASSWORD
from trainer.cli.measuring.timing import QUICK, Goal, Reading
from trainer.cli.measuring.visiting import token_in

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from trainer.cli.measuring.invented_answers import Given
    from trainer.cli.measuring.timing import Effort
    from trainer.settings import Settings

TITLE = "Hand in an answer over HTTP"

TIMES, SHARE = 3.0, 1 / 3
CLIENTS = 64


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield the time of an answer with one client, and the rate of answers with many, beside those of the bare site."""
    seconds = 0.3 if effort.rounds <= QUICK.rounds else 1.0
    with TemporaryDirectory() as folder:
        settings = large_company.make(Path(folder) / "ours", large_company.Company(0))
        with (
            served.trainer_at(settings.instance) as ours,
            served.bare_site_at(Path(folder) / "bare.sqlite3") as bare,
        ):
            hand_in = handing_in(settings, ours)
            keep = served.request("/answer", form=[("text", "a row")])
            one = _in_turn(
                effort,
                lambda: served.busy(bare, 1, seconds, lambda _: keep),
                lambda: served.busy(ours, 1, seconds, hand_in),
            )
            floor, mine = (median(load.middle for load in loads) for loads in one)
            yield Reading(f"{TITLE}, times the bare site", floor, mine, mine / floor, Goal("at most", TIMES))
            many = _in_turn(
                effort,
                lambda: served.busy(bare, CLIENTS, seconds, lambda _: keep),
                lambda: served.busy(ours, CLIENTS, seconds, hand_in),
            )
            floor, mine = (1 / median(load.rate for load in loads) for loads in many)
            name = f"{TITLE}: {CLIENTS} clients, as a share of the rate of the bare site"
            yield Reading(name, floor, mine, floor / mine, Goal("at least", round(SHARE, 2)))


def _in_turn(
    effort: Effort, floor: Callable[[], served.Load], ours: Callable[[], served.Load]
) -> tuple[list[served.Load], list[served.Load]]:
    loads: tuple[list[served.Load], list[served.Load]] = ([], [])
    for _ in range(effort.rounds):
        for work, kept in zip((floor, ours), loads, strict=True):
            load = work()
            if load.refused:
                raise AssertionError(f"{load.refused} requests were refused")
            kept.append(load)
    return loads


def handing_in(settings: Settings, port: int) -> Callable[[int], bytes]:
    """Return what gives the next answer to send; each is another question, by one person."""
    cookie = served.signed_in(port, "technician", PASSWORD)
    numbers = count()
    with open_database(settings) as db:
        actor = accounts.sign_in(db, "technician", PASSWORD, address="192.0.2.1", now=NOW).actor
        answers = given(db, actor)
        first = next(answers)
        thought_of = [next(answers) for _ in range(400)]
    with served.Client(port) as client:
        token = token_in(client.ask(served.request(path_of(first), cookie)))
        # The session holds the other half of the token from here on.
        cookie = client.cookie(cookie)

    def next_request(_: int) -> bytes:
        number = next(numbers)
        answer = thought_of[number % len(thought_of)]
        form = [("csrf_token", token), ("ticket", f"invented {number}"), ("started", ""), ("mark", "yes")]
        return served.request(path_of(answer), cookie, [*form, *(("line", line) for line in answer.answer)])

    return next_request


def path_of(answer: Given) -> str:
    """Return the path of a question."""
    at = answer.address
    return f"/practise/{at.module_id}/{at.revision}/{at.kind}/{at.size.replace(' ', '%20')}/{at.seed}"
