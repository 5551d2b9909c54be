"""Marking an order: credit, what is critical, what is broken, which steps to move, what would have happened."""

from __future__ import annotations

from functools import cache
from itertools import permutations
from random import Random
from typing import TYPE_CHECKING

import pytest

from tests.modules import SMALL_VALVE
from tests.procedure.written import procedure_of
from trainer.procedure import library, simulate, window
from trainer.procedure.model import Hazard
from trainer.procedure.order_mark import NotAnOrder, OrderMark, mark_order
from trainer.procedure.shared_tables import SharedTables

if TYPE_CHECKING:
    from trainer.procedure.window import Procedure, Window

THIN = "\N{NARROW NO-BREAK SPACE}"


@cache
def valve() -> Procedure:
    return window.prepare(library.read_module(SMALL_VALVE, "m.yaml", SharedTables()))


def marked(answer: str) -> OrderMark:
    """The mark of an order of these steps of the small valve."""
    steps = answer.split()
    return mark_order(window.chosen(valve(), steps), steps)


TEARDOWN = "cap cap_off spring_out studs lift gasket_off piston_out cage_out seat_out seat_gasket_off"


# --- legal or not, moves and credit ---


@pytest.mark.parametrize(
    "answer", [TEARDOWN, TEARDOWN.replace("studs ", "").replace("cap ", "studs cap ", 1)]
)
def test_any_legal_order_is_right(answer: str) -> None:
    mark = marked(answer)
    assert mark == OrderMark(True, 0, 1.0, False, (), None, (), tuple(answer.split()))


def test_one_step_out_of_place_is_one_move() -> None:
    """The teardown has 10 steps and width 2, so a legal order turned round needs 8 moves; credit 1 - 1/8."""
    mark = marked("lift " + TEARDOWN.replace("lift ", ""))
    assert (mark.legal, mark.moves, mark.credit) == (False, 1, 0.875)
    assert mark.move == ("lift",)
    assert mark.nearest == tuple(TEARDOWN.split())


def test_a_legal_order_turned_round_has_no_credit() -> None:
    mark = marked(" ".join(reversed(TEARDOWN.split())))
    assert (mark.moves, mark.credit) == (8, 0.0)


def test_credit_is_counted_in_the_window_that_was_asked() -> None:
    """Three steps of width 1 (shut, fill, hand_back): one move of at most two, credit 1/2."""
    assert marked("hand_back shut fill").credit == 0.5


def test_steps_that_nothing_orders_are_right_in_any_order() -> None:
    for answer in permutations(["vent", "relax"]):
        assert marked(" ".join(answer)).legal


def moved_right(stretch: Window, answer: tuple[str, ...], mark: OrderMark) -> bool:
    """Whether the steps to be moved, put in again at their best places, make the answer legal."""
    kept = [step for step in answer if step not in mark.move]
    there = [step for step in mark.nearest if step not in mark.move]
    legal = stretch.order.is_legal([stretch.steps.index(step) for step in mark.nearest])
    return kept == there and legal and sorted(mark.nearest) == sorted(answer)


@pytest.mark.parametrize("phase", ["make_safe", "teardown", "rebuild", "return"])
def test_moving_the_steps_named_puts_the_order_right(phase: str) -> None:
    stretch = window.phase(valve(), phase)
    random = Random(phase)  # noqa: S311 - not a secret
    for _ in range(60):
        answer = tuple(random.sample(stretch.steps, len(stretch.steps)))
        mark = mark_order(stretch, answer)
        assert len(mark.move) == mark.moves
        assert moved_right(stretch, answer, mark)
        assert 0 <= mark.credit <= 1
        assert (mark.credit == 1) is mark.legal


def test_no_smaller_set_would_do() -> None:
    """Over all orders of seven steps: taking fewer out never leaves a rest that can stay as it is."""
    steps = ["cap", "cap_off", "studs", "lift", "piston_out", "gasket_off", "cage_out"]
    stretch = window.chosen(valve(), steps)
    precedes = {
        (a, b)
        for i, a in enumerate(stretch.steps)
        for j, b in enumerate(stretch.steps)
        if stretch.order.precedes(i, j)
    }
    for answer in list(permutations(steps))[::97]:
        wrong = [(b, a) for i, a in enumerate(answer) for b in answer[i + 1 :] if (b, a) in precedes]
        smallest = min(
            bits.bit_count()
            for bits in range(1 << len(steps))
            if all(bits >> steps.index(a) & 1 or bits >> steps.index(b) & 1 for a, b in wrong)
        )
        assert mark_order(stretch, answer).moves == smallest


# --- what is broken, what is critical ---


def test_a_broken_relation_is_told_with_its_reason() -> None:
    (broken,) = marked("lift gasket_off studs").broken
    assert (broken.before, broken.after) == ("studs", "lift")
    assert broken.text == "The bonnet studs hold the bonnet: undone first."
    assert broken.signal is Hazard.NOTICE


def test_of_several_reasons_the_worst_is_told() -> None:
    procedure = procedure_of("""
facts: {vented: {text: It is vented}}
energies: {gas: {signal: danger, safe_when: vented, otherwise: It blows}}
parts: {body: {fixed: true}, cover: {rests_on: body, contains: gas}}
steps:
  - {id: vent, do: Vent it, makes: vented}
  - {id: off, do: Lift it, remove: cover, needs: vented, after: vent, because: It is the rule}
""")
    mark = mark_order(window.whole(procedure), ["off", "vent"])
    assert [(item.signal, mark.critical) for item in mark.broken] == [(Hazard.DANGER, True)]


def test_broken_relations_stand_in_the_order_of_the_answer() -> None:
    mark = marked(" ".join(reversed(TEARDOWN.split())))
    places = [
        (TEARDOWN.split()[::-1].index(b.after), TEARDOWN.split()[::-1].index(b.before)) for b in mark.broken
    ]
    assert places == sorted(places)
    assert len(mark.broken) == len({(b.before, b.after) for b in mark.broken}) == 11


@pytest.mark.parametrize(("answer", "critical"), [
    ("studs vent", True),  # danger: gas under the bonnet
    ("cap relax", True),  # warning: the spring under the cap
    ("vent shut", False),  # caution
    ("lift studs", False),  # notice
    ("look clean", False),  # notice
    ("hand_back fill", False),  # notice, an order in words
    ("cap_off cap", False),  # cannot be done: nothing happens
])  # fmt: skip
def test_danger_and_warning_are_critical(answer: str, critical: bool) -> None:
    mark = marked(answer)
    assert not mark.legal
    assert mark.critical is critical


def test_what_others_could_not_do_in_time_is_critical_too() -> None:
    """Somebody else vents, but not before the run is shut: undoing the studs first meets the gas."""
    mark = marked("studs shut")
    assert mark.critical
    (broken,) = mark.broken
    assert (broken.before, broken.after, broken.signal) == ("shut", "studs", Hazard.DANGER)
    assert mark.incident is not None
    assert mark.incident.signal is Hazard.DANGER


def test_a_critical_relation_behind_a_harmless_one_is_told() -> None:
    """Taking the cap off comes after its screws anyhow; it is the spring, loaded until the run is shut, that flies."""
    mark = marked("cap_off cap shut")
    assert mark.critical
    assert ("shut", "cap_off", Hazard.WARNING) in {(b.before, b.after, b.signal) for b in mark.broken}
    assert ("cap", "cap_off", Hazard.NOTICE) in {(b.before, b.after, b.signal) for b in mark.broken}


def worst_on_the_way(stretch: Window, answer: list[str]) -> bool:
    """Whether anything of danger or warning happens when the whole answer is carried out regardless.

    A state that a step sets out of its turn, such as screws tightened before they are undone, says nothing from then on.
    """
    procedure = stretch.procedure
    order, index, names = procedure.order, procedure.precedence.index, procedure.precedence.steps
    bench = simulate.Bench(procedure.plan)
    inside, done = {index[step] for step in answer}, 0
    needed = [n for n in range(order.size) if n not in inside and any(order.precedes(n, i) for i in inside)]
    muddled: set[tuple[str, str]] = set()
    critical = False

    def do(step: str) -> None:
        nonlocal done
        changes = procedure.plan.operations[step].changes
        muddled.update(variable for variable, value in changes.items() if bench.states[variable] is value)
        bench.do(step)
        done |= 1 << index[step]

    for step in ["", *answer]:
        if step:
            for need in procedure.plan.operations[step].needs:
                unmet = bench.states[need.variable] is not need.value and need.variable not in muddled
                critical |= unmet and need.signal is not None and need.signal.is_critical
            do(step)
        for number in sorted(needed, key=lambda n: order.before[n].bit_count()):
            if not done >> number & 1 and not order.before[number] & ~done:
                do(names[number])
    return critical


def test_whatever_danger_is_met_on_the_way_makes_the_mark_critical() -> None:
    random = Random(20)  # noqa: S311 - not a secret
    met = 0
    for _ in range(300):
        steps = random.sample(valve().precedence.steps, random.randint(2, 7))
        if worst_on_the_way(window.chosen(valve(), steps), steps):
            met += 1
            assert marked(" ".join(steps)).critical, steps
    assert met > 50


# --- what would have happened ---

INCIDENTS = [
    # 0.8 N/mm² × π/4 × (80 mm)² = 4,021 N; × (140 mm)² = 12,315 N
    ("studs vent", "studs", 1, Hazard.DANGER,
     "The bonnet is thrown by trapped pressure. At 8 bar the gas pushes with about 4 kN at DN 50 and 12 kN at DN 100."),
    ("shut cap relax", "cap", 2, Hazard.WARNING, "The cap flies when the last screw lets go."),
    ("cap cap_off lift studs", "lift", 3, Hazard.NOTICE,
     "The bonnet studs still hold the bonnet: pulling bends or breaks something."),
    ("lift piston_out spring_out", "piston_out", 2, Hazard.NOTICE,
     "The piston cannot come out: the return spring still sits on it."),
    ("bonnet_on piston_in", "bonnet_on", 1, Hazard.NOTICE,
     "The bonnet is closed over a gap: the piston is still on the bench. All of it comes off again."),
    ("fill hand_back studs_tight", "fill", 1, Hazard.DANGER,
     "The bonnet is thrown by trapped pressure. At 8 bar the gas pushes with about 4 kN at DN 50 and 12 kN at DN 100."),
    ("hand_back fill", "hand_back", 1, Hazard.NOTICE, "The run is opened only on a body that has held its pressure."),
]  # fmt: skip


@pytest.mark.parametrize(("answer", "step", "position", "signal", "text"), INCIDENTS)
def test_the_first_incident_is_told(answer: str, step: str, position: int, signal: Hazard, text: str) -> None:
    incident = marked(answer).incident
    assert incident is not None
    assert (incident.step, incident.position, incident.signal) == (step, position, signal)
    assert incident.text.replace(THIN, " ") == text


def test_what_keeps_others_from_their_work_is_laid_on_the_step_that_came_too_early() -> None:
    """The piston is cleaned only after the bonnet is on: somebody else can no longer put it in before."""
    mark = marked("lift bonnet_on clean")
    assert mark.incident is not None
    assert (mark.incident.step, mark.incident.position) == ("bonnet_on", 2)


def test_a_step_that_waits_outside_is_blamed_on_the_first_early_one() -> None:
    procedure = procedure_of("""
facts: {made: It is made, lit: There is light}
parts: {body: {fixed: true}}
steps:
  - {id: light, do: Light it, makes: lit}
  - {id: make, do: Make it, makes: made}
  - {id: between, do: Work by the light, needs: [lit, made]}
  - {id: dark, do: Put the light out, ends: lit}
""")
    mark = mark_order(window.chosen(procedure, ["light", "make", "dark"]), ["light", "dark", "make"])
    assert [(b.before, b.after) for b in mark.broken] == [("make", "dark")]
    assert mark.incident is not None
    assert (mark.incident.step, mark.incident.position) == ("dark", 2)
    assert mark.incident.text == "Not so yet: there is light."


# --- answers that are none ---


@pytest.mark.parametrize(("answer", "sentence"), [
    (["shut", "vent"], "The answer leaves out: relax."),
    ([], "The answer leaves out: shut, vent, relax."),
    (["shut", "vent", "vent"], "The answer has the step 'vent' twice."),
    (["shut", "vent", "relax", "shut"], "The answer has the step 'shut' twice."),
    (["shut", "vent", "studs"], "The answer names 'studs', which is not one of the steps asked for."),
    (["shut", "vent", "relax", ""], "The answer names '', which is not one of the steps asked for."),
])  # fmt: skip
def test_what_is_no_order_of_the_steps_is_refused(answer: list[str], sentence: str) -> None:
    with pytest.raises(NotAnOrder) as refused:
        mark_order(window.phase(valve(), "make_safe"), answer)
    assert str(refused.value) == sentence
