"""An order runs clean in the simulation ⇔ it respects the derived relations ⇔ a second reading finds nothing wrong.

The three are held against one another on the small valve, on every shipped procedure and on invented machines; on
the smaller ones over everything that can be done in any order at all.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise, permutations
from random import Random
from typing import TYPE_CHECKING

import networkx as nx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.modules import SMALL_VALVE
from tests.procedure.interpreter import Drawing, Machine, first_wrong
from tests.procedure.invented import invented_module
from trainer.procedure import library, simulate, window
from trainer.procedure.order_mark import mark_order
from trainer.procedure.precedence import Fault
from trainer.procedure.shared_tables import SharedTables
from trainer.procedure.window import NoOrder, Procedure, prepare

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from trainer.procedure.orders import PartialOrder

BIG = {"small valve": SMALL_VALVE} | {
    name: path.read_text(encoding="utf-8") for name, path in library.shipped_procedures().items()
}
# Modules over which everything is tried are small; the others are what comes out of the same drawer.
SMALL, MIDDLING = 2, 6
bounded = settings(
    deadline=None,
    derandomize=True,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@dataclass(frozen=True)
class Case:
    """One procedure before its three judges."""

    text: str
    procedure: Procedure
    drawing: Drawing

    @property
    def order(self) -> PartialOrder:
        return self.procedure.order

    @property
    def steps(self) -> tuple[str, ...]:
        return self.procedure.precedence.steps

    @property
    def usable(self) -> bool:
        return self.procedure.precedence.order is not None and not self.procedure.precedence.troubles


@cache
def case(text: str) -> Case:
    module = library.read_module(text, "m.yaml", SharedTables())
    assert module.problems == ()
    return Case(text, prepare(module), Drawing(text))


@cache
def invented(seed: int, most_parts: int) -> Case:
    return case(invented_module(Random(seed), most_parts))  # noqa: S311 - not a secret


def usable(seeds: int, most_parts: int) -> list[Case]:
    cases = (invented(seed, most_parts) for seed in range(seeds))
    return [one for one in cases if one.usable]


def judge(one: Case, arrangement: Sequence[str]) -> bool:
    """Whether an order is right; all three must say the same, and name the same step."""
    legal = one.order.is_legal([one.steps.index(step) for step in arrangement])
    failure = simulate.run(one.procedure.plan, arrangement)
    wrong = first_wrong(one.drawing, arrangement)
    assert (failure is None) is legal, (one.text, arrangement, failure)
    assert (wrong is None) is legal, (one.text, arrangement, wrong)
    if failure is not None and wrong is not None:
        assert failure.step == wrong[0] == arrangement[failure.position - 1], (one.text, failure, wrong)
    return legal


def any_legal_order(order: PartialOrder, random: Random) -> list[int]:
    """Draw one by always taking any step that can come now."""
    drawn: list[int] = []
    done = 0
    while len(drawn) < order.size:
        ready = [n for n in range(order.size) if not done >> n & 1 and not order.before[n] & ~done]
        drawn.append(random.choice(ready))
        done |= 1 << drawn[-1]
    return drawn


def variations(one: Case, random: Random, rounds: int) -> Iterator[list[str]]:
    """Legal orders, and legal orders in which one step or two have changed place, or all of them."""
    for _ in range(rounds):
        legal = [one.steps[number] for number in any_legal_order(one.order, random)]
        yield list(legal)
        for near in (True, False):
            swapped = list(legal)
            i = random.randrange(len(legal))
            j = min(i + 1, len(legal) - 1) if near else random.randrange(len(legal))
            swapped[i], swapped[j] = swapped[j], swapped[i]
            yield swapped
        moved = list(legal)
        moved.insert(random.randrange(len(legal)), moved.pop(random.randrange(len(legal))))
        yield moved
        yield random.sample(legal, len(legal))


# --- the drawer of inventions ---


def test_most_invented_modules_have_no_fault() -> None:
    """Or the tests below would prove little: of 200 modules more than nine in ten are usable."""
    cases = [invented(seed, MIDDLING) for seed in range(200)]
    assert sum(one.usable for one in cases) >= 0.9 * len(cases)


def test_invented_modules_hold_everything_that_the_language_has() -> None:
    texts = "\n".join(one.text for one in usable(200, MIDDLING))
    keys = [
        "rests_on", "encloses", "contains", "locks", "renew", "locking", "with", "unlock", "disconnect", "undo",
        "remove", "clean", "inspect", "measure", "renew", "lubricate", "install", "connect", "tighten", "lock",
        "needs", "makes", "prove", "ends", "after", "before", "at_start", "safe_when", "joins",
    ]  # fmt: skip
    assert [key for key in keys if texts.count(f"{key}: ") < 5] == []
    in_units = [one for one in usable(200, MIDDLING) if one.drawing.carrier]
    assert len(in_units) > 30
    assert any(base in one.drawing.carrier for one in in_units for base in one.drawing.carrier.values())
    assert len([one for one in usable(200, MIDDLING) if len(one.steps) > 12]) > 60


def test_modules_with_faults_have_no_order() -> None:
    faulty = [one for seed in range(200) if not (one := invented(seed, MIDDLING)).usable]
    assert faulty
    for one in faulty:
        with pytest.raises(NoOrder):
            _ = one.order
        with pytest.raises(NoOrder):
            window.whole(one.procedure)


# --- everything that can be done ---


def walk(one: Case, most: int) -> int:
    """Do everything that can be done next, again and again, and ask both judges about each step at each stand.

    What has been done decides the stand, in whichever order it was done. An order runs clean when it is a way from
    nothing done to all done; so the ways must be the walks through the sets that the relations allow, and no others.
    Returns the number of stands on such ways; 0 when there are more stands than wanted, and nothing was proved.
    """
    stands = {0: (simulate.Bench(one.procedure.plan), Machine.standing(one.drawing))}
    leads_to: dict[int, list[int]] = {}
    for done in (queue := [0]):
        if len(queue) > most:
            return 0
        for stand, after in next_stands(one, done, *stands[done]):
            if stand not in stands:
                queue.append(stand)
            assert stands.setdefault(stand, after)[1] == after[1]
            assert stands[stand][0].states == after[0].states
            leads_to.setdefault(done, []).append(stand)
    finishes = {(1 << len(one.steps)) - 1}
    for done in sorted(leads_to, key=int.bit_count, reverse=True):
        if finishes & set(leads_to[done]):
            finishes.add(done)
    before = one.order.before
    for done in finishes:
        ways = {stand for stand in leads_to.get(done, ()) if stand in finishes}
        free = (n for n in range(len(one.steps)) if not done >> n & 1 and not before[n] & ~done)
        assert ways == {done | 1 << number for number in free}, (one.text, stands[done][1])
    return len(finishes)


def next_stands(
    one: Case, done: int, bench: simulate.Bench, machine: Machine
) -> Iterator[tuple[int, tuple[simulate.Bench, Machine]]]:
    for number, step in enumerate(one.steps):
        if done >> number & 1:
            continue
        after = machine.copy()
        wrong = after.do(step)
        unmet = bench.unmet(step)
        assert (unmet is None) is (not wrong), (one.text, step, unmet, wrong, machine)
        if unmet is None:
            moved = simulate.Bench(bench.plan, bench.states)
            moved.do(step)
            yield done | 1 << number, (moved, after)


def test_every_stand_of_the_small_valve_is_judged_alike() -> None:
    one = case(SMALL_VALVE)
    graph = nx.DiGraph(one.procedure.precedence.relations.keys())
    # What can have been done is fixed by its last steps, which are an antichain.
    assert walk(one, 20_000) == sum(1 for _ in nx.antichains(graph))


def test_every_stand_of_small_invented_modules_is_judged_alike() -> None:
    stands = [walk(one, 250) for one in usable(120, 3)]
    assert sum(1 for found in stands if found) > 40
    assert sum(stands) > 1_500


@bounded
@given(st.randoms(use_true_random=False))
def test_every_stand_of_any_small_module_is_judged_alike(random: Random) -> None:
    one = case(invented_module(random, SMALL))
    if one.usable:
        walk(one, 200)


def test_every_order_of_the_smallest_modules_is_judged_alike() -> None:
    cases = [one for one in usable(200, SMALL) if 3 <= len(one.steps) <= 6]
    assert len(cases) > 20
    legal = total = 0
    for one in cases:
        for arrangement in permutations(one.steps):
            legal += judge(one, arrangement)
            total += 1
    assert 0 < legal < total


def can_be_finished(drawing: Drawing, most: int) -> bool | None:
    """Whether any order at all runs clean for the second reading; None when that takes too long to find out."""
    seen = {frozenset[str]()}
    queue = [Machine.standing(drawing)]
    for machine in queue:
        for step in drawing.steps.keys() - machine.done:
            after = machine.copy()
            if after.do(step):
                continue
            if len(after.done) == len(drawing.steps):
                return True
            if frozenset(after.done) not in seen:
                seen.add(frozenset(after.done))
                queue.append(after)
        if len(queue) > most:
            return None
    return False


def test_a_circle_or_a_need_that_nobody_meets_leaves_no_order_that_works() -> None:
    dead = {Fault.CYCLE, Fault.NOBODY_MAKES}
    cases = [one for seed in range(300) if not (one := invented(seed, 3)).usable]
    stuck = [one for one in cases if {t.fault for t in one.procedure.precedence.troubles} & dead]
    verdicts = [can_be_finished(one.drawing, 150) for one in stuck]
    assert True not in verdicts
    assert verdicts.count(False) > 5


# --- larger ones, by drawing ---


@pytest.mark.parametrize("name", BIG)
def test_drawn_orders_of_the_large_are_judged_alike(name: str) -> None:
    one = case(BIG[name])
    found = [judge(one, order) for order in variations(one, Random(name), 60)]  # noqa: S311 - not a secret
    assert 60 <= sum(found) < len(found)


def test_drawn_orders_of_invented_modules_are_judged_alike() -> None:
    for one in usable(120, MIDDLING):
        found = [judge(one, order) for order in variations(one, Random(one.text), 5)]  # noqa: S311
        assert sum(found) >= 5


@bounded
@given(st.integers(0, 2**32), st.randoms(use_true_random=False))
def test_drawn_orders_of_any_module_are_judged_alike(seed: int, random: Random) -> None:
    one = case(invented_module(Random(seed), MIDDLING))  # noqa: S311
    if one.usable:
        for order in variations(one, random, 2):
            judge(one, order)


# --- windows ---


def completed(one: Case, answer: Sequence[str]) -> list[str] | None:
    """A whole order that has the steps of the answer in the answer's order; None when there is none."""
    sorter: TopologicalSorter[str] = TopologicalSorter(dict.fromkeys(one.steps, ()))
    for before, after in one.procedure.precedence.relations:
        sorter.add(after, before)
    for earlier, later in pairwise(answer):
        sorter.add(later, earlier)
    try:
        return list(sorter.static_order())
    except CycleError:
        return None


def judge_window(one: Case, stretch: window.Window, answer: Sequence[str]) -> bool:
    """Whether an answer is right: by the restricted order, by running it, and by completing it."""
    legal = stretch.order.is_legal([stretch.steps.index(step) for step in answer])
    failure = window.first_failure(stretch, answer)
    assert (failure is None) is legal, (one.text, answer, failure)
    whole = completed(one, answer)
    assert (whole is not None) is legal, (one.text, answer)
    if whole is not None:
        assert first_wrong(one.drawing, whole) is None
    mark = mark_order(stretch, answer)
    assert mark.legal is legal
    assert (mark.incident is None) is legal
    if mark.incident is not None:
        place = mark.incident.position - 1
        assert answer[place] == mark.incident.step, (one.text, answer, mark)
        assert stands_wrong(stretch, answer, place), (one.text, answer, mark)
    return legal


def stands_wrong(stretch: window.Window, answer: Sequence[str], place: int) -> bool:
    """Whether the step at a place comes before one that it must wait for, or after one that must wait for it."""
    number = stretch.steps.index(answer[place])
    numbers = [stretch.steps.index(step) for step in answer]
    early = any(stretch.order.precedes(other, number) for other in numbers[place + 1 :])
    late = any(stretch.order.precedes(number, other) for other in numbers[:place])
    return early or late


def convex(one: Case, random: Random) -> list[str]:
    """A stretch out of a legal order: nothing that lies between two of its steps is left out."""
    legal = any_legal_order(one.order, random)
    start = random.randrange(len(legal))
    return [one.steps[number] for number in legal[start : start + random.randint(2, 9)]]


def scattered(one: Case, random: Random) -> list[str]:
    """Any steps: much lies between them."""
    return random.sample(one.steps, min(len(one.steps), random.randint(2, 9)))


def answers(stretch: window.Window, random: Random) -> Iterator[list[str]]:
    legal = [stretch.steps[number] for number in any_legal_order(stretch.order, random)]
    yield legal
    if len(legal) < 5:
        yield from map(list, permutations(legal))
        return
    for _ in range(4):
        yield random.sample(legal, len(legal))
    for place in range(len(legal) - 1):
        yield [*legal[:place], legal[place + 1], legal[place], *legal[place + 2 :]]


def judge_windows(one: Case, random: Random, rounds: int) -> list[bool]:
    found = []
    for _ in range(rounds):
        for choose in (convex, scattered):
            stretch = window.chosen(one.procedure, choose(one, random))
            found += [judge_window(one, stretch, answer) for answer in answers(stretch, random)]
    return found


@pytest.mark.parametrize("name", BIG)
def test_windows_of_the_large_are_judged_alike(name: str) -> None:
    found = judge_windows(case(BIG[name]), Random(name), 25)  # noqa: S311
    assert 0 < sum(found) < len(found)


@pytest.mark.parametrize("name", BIG)
def test_phases_of_the_large_are_judged_alike(name: str) -> None:
    one = case(BIG[name])
    random = Random(name)  # noqa: S311
    for phase in {step.phase for step in one.procedure.module.steps.values()}:
        stretch = window.phase(one.procedure, phase)
        for answer in answers(stretch, random):
            judge_window(one, stretch, answer)


def test_windows_of_invented_modules_are_judged_alike() -> None:
    for one in usable(100, MIDDLING):
        if len(one.steps) > 2:
            assert any(judge_windows(one, Random(one.text), 2))  # noqa: S311


@bounded
@given(st.integers(0, 2**32), st.randoms(use_true_random=False))
def test_windows_of_any_module_are_judged_alike(seed: int, random: Random) -> None:
    one = case(invented_module(Random(seed), MIDDLING))  # noqa: S311
    if one.usable and len(one.steps) > 1:
        judge_windows(one, random, 1)
