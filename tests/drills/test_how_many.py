"""How many different questions the shipped main module gives: at least a million, counted from below.

Counted are problems, not ways of showing them: the order of options, the order in which lines are shuffled, wrong
options beside a right one, and equal problems at another size count for nothing. What is counted can all be drawn:
each draw has every one of its outcomes with a probability above zero, and there are 2**53 seeds.
"""

from __future__ import annotations

import json
from itertools import combinations
from math import comb, prod
from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.drills.carried_out import entries
from trainer.drills.kinds import find_the_slip, keep_or_renew, stop_or_go_on
from trainer.procedure import library
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.orders import PartialOrder

VALVE = library.load("piston-valve-overhaul")
SIZE = "DN 80"


def _possible(order: PartialOrder, done: int) -> list[int]:
    return [n for n, before in enumerate(order.before) if not done >> n & 1 and not before & ~done]


def _next_steps(order: PartialOrder, done: int, length: int) -> Iterator[tuple[int, ...]]:
    """Yield every run of so many steps that can follow."""
    if not length:
        yield ()
        return
    for step in _possible(order, done):
        for rest in _next_steps(order, done | 1 << step, length - 1):
            yield (step, *rest)


def job_cards() -> int:
    """Return the cards of find-the-slip that begin along one legal order and hold up to three wrong entries.

    A card is its six lines in their order with what is wrong beside them. Cards that begin at any other moment of the
    work, steps out of order and steps left out come on top and are not counted.
    """
    procedure = prepare(VALVE, SIZE)
    order, names = procedure.order, procedure.precedence.steps
    wrong = [len(entries(procedure, VALVE.steps[name], SIZE)) for name in names]
    stretches: set[tuple[int, ...]] = set()
    done = 0
    for _ in range(len(names) - find_the_slip.LINES):
        stretches.update(_next_steps(order, done, find_the_slip.LINES))
        done |= 1 << _possible(order, done)[0]
    return sum(_ways_to_go_wrong([wrong[step] for step in stretch if wrong[step]]) for stretch in stretches)


def _ways_to_go_wrong(entries_of_line: list[int]) -> int:
    most = find_the_slip.MOST_SLIPS
    return sum(prod(lines) for slips in range(most + 1) for lines in combinations(entries_of_line, slips))


def sights() -> int:
    """Return the sheets of stop-or-go-on: one or two sights of four that are as they should be."""
    normal, abnormal = (len(group) for group in stop_or_go_on._sights(VALVE))
    return sum(comb(normal, calm) * comb(abnormal, stop_or_go_on.ROWS - calm) for calm in (1, 2))


def findings() -> int:
    """Return the sheets of keep-or-renew by parts and findings, what an unjudged part looks like not counted.

    Each has one part that is always renewed, one that is kept, a judged one with a finding, and another judged one.
    """
    always, judged, kept = keep_or_renew._by_renewal(VALVE)
    told = [len(t.judged.sound) + len(t.judged.unsound) for t in judged if t.judged is not None]
    return len(always) * len(kept) * sum(prod(pair) for pair in combinations(told, 2))


def test_the_main_module_gives_a_million_different_questions() -> None:
    counted = {"find-the-slip": job_cards(), "stop-or-go-on": sights(), "keep-or-renew": findings()}
    assert sum(counted.values()) >= 10**6, counted


def _problem(kind: str, seed: int) -> str:
    """Return what a question is about: without ids, order of lines and options."""
    return json.dumps(_bare(drills.ask(VALVE, kind, SIZE, seed).as_data()), sort_keys=True)


def _bare(data: Any) -> Any:
    if isinstance(data, dict):
        return {name: _bare(v) for name, v in data.items() if name not in ("id", "seed", "preset")}
    if isinstance(data, list):
        return sorted((_bare(item) for item in data), key=lambda item: json.dumps(item, sort_keys=True))
    return data


def test_what_is_drawn_repeats_itself_as_little_as_the_count_says() -> None:
    """With N equally likely questions 300 draws repeat 300²/2N times; below a tenth of what is counted it would show."""
    for kind in ("find-the-slip", "keep-or-renew", "stop-or-go-on"):
        drawn = [_problem(kind, seed) for seed in range(300)]
        assert len(set(drawn)) >= 295, kind
