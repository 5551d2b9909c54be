"""What a picture shows is what the simulation says is in place, for every step of legal orders."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.drawing.shipped import modules, parts, root, valve
from trainer.drawing import VIEWS
from trainer.drawing.scene import scene
from trainer.drawing.standing import stage, states_after
from trainer.procedure.model import Verb
from trainer.procedure.simulate import Bench, run
from trainer.procedure.states import Aspect
from trainer.procedure.window import UnknownStep, prepare

if TYPE_CHECKING:
    from trainer.procedure.model import Module


def latest_first(module: Module) -> list[str]:
    """A legal order that always does the step that stands last in the file of those that can be done."""
    procedure = prepare(module)
    names, order = procedure.precedence.steps, procedure.order
    done: list[int] = []
    while len(done) < len(names):
        seen = sum(1 << n for n in done)
        free = [n for n in range(len(names)) if n not in done and not order.before[n] & ~seen]
        done.append(max(free))
    return [names[n] for n in done]


def in_place(module: Module, bench: Bench, *, bench_too: bool = False) -> set[str]:
    """Read from the states without the help of the room under test: what is on, and its unit in the machine."""
    units: dict[str, str] = {}
    for step in module.steps.values():
        for part in step.along:
            units[part] = step.on(Verb.REMOVE)[0] if step.on(Verb.REMOVE) else step.on(Verb.INSTALL)[0]
    on = {part for part in module.parts if bench.states[Aspect.IN_PLACE, part]}
    for fastener in module.fasteners.values():
        if bench.states[Aspect.TIGHT, fastener.id]:
            on.add(fastener.id)
    on |= {line for line in module.lines if bench.states[Aspect.JOINED, line]}

    def chain(part: str) -> list[str]:
        return [part, *chain(units[part])] if part in units else [part]

    def above(thing: str) -> list[str]:
        """The units that a thing is in, the innermost first; a screw is in that of all it clamps."""
        if thing not in module.fasteners:
            return chain(thing)[1:]
        chains = [chain(part) for part in module.fasteners[thing].clamps if part in module.parts]
        return [
            base
            for base in (chains[0] if chains else [])
            if all(base in c for c in chains) and [base] != [c[0] for c in chains]
        ]

    machine = {thing for thing in on if all(base in on for base in above(thing))}
    if machine or not bench_too:
        return machine
    # Nothing is in the machine: the unit at the bench that holds the most is drawn, its base being what lies there.
    outermost: dict[str, set[str]] = {}
    for thing in on:
        *inner, last = above(thing) or [thing]
        if all(base in on for base in inner):
            outermost.setdefault(last, {last}).add(thing)
    return max(outermost.values(), key=len, default={"body"} & module.parts.keys())


@pytest.mark.parametrize("module", modules(), ids=lambda module: module.id)
@pytest.mark.parametrize("order", ["as written", "latest first"])
def test_what_is_shown_after_each_step_is_what_is_in_place(module: Module, order: str) -> None:
    names = list(module.steps) if order == "as written" else latest_first(module)
    procedure = prepare(module)
    assert run(procedure.plan, names) is None
    bench = Bench(procedure.plan)
    drawn = set(scene(module, module.sizes[0]).pieces)
    for count, step in enumerate(names):
        bench.do(step)
        # Without a next step the machine alone is drawn, as it stands, or what is together of it at the bench.
        still = VIEWS["state"].draw(module, module.sizes[0], 170, done=names[: count + 1], step="")
        assert sorted(parts(still)) == sorted(in_place(module, bench, bench_too=True) & drawn), step


@pytest.mark.parametrize("module", modules(), ids=lambda module: module.id)
def test_what_moves_is_what_the_step_names_and_what_stands_is_the_rest(module: Module) -> None:
    names = list(module.steps)
    bench = Bench(prepare(module).plan)
    drawn = set(scene(module, module.sizes[0]).pieces)
    for count, step in enumerate(names):
        acts = module.steps[step]
        out = {*acts.on(Verb.REMOVE), *acts.on(Verb.UNDO), *acts.on(Verb.DISCONNECT)}
        into = {*acts.on(Verb.INSTALL), *acts.on(Verb.TIGHTEN), *acts.on(Verb.CONNECT)}
        svg = VIEWS["state"].draw(module, module.sizes[0], 170, done=names[:count], step=step)
        moving, shown = set(parts(svg, "next")), set(parts(svg))
        if (out or into) & drawn:
            assert (out or into) & drawn <= moving, step
            before = in_place(module, bench)
            bench.do(step)
            after = in_place(module, bench)
            if out and before - after:
                # Taken out of the machine: it goes, and everything else stays.
                assert shown == before & drawn, step
                assert shown - moving == after & drawn, step
            elif into and after - before:
                assert shown == after & drawn, step
                assert shown - moving == before & drawn, step
        else:
            bench.do(step)


def test_a_unit_at_the_bench_is_drawn_by_itself() -> None:
    module = valve()
    steps = list(module.steps)
    done = steps[: steps.index("castle_off")]
    shown = stage(module, states_after(prepare(module), done), module.steps["castle_off"])
    assert shown.base == "piston"
    assert shown.moving == ("castle_nut",)
    assert "cotter_pin" not in shown.standing
    assert {"piston", "piston_stud", "sight_rod", "soft_disc", "wear_band"} <= set(shown.standing)
    assert "body" not in shown.standing


def test_a_thumbnail_tells_nothing_of_the_order() -> None:
    module = valve()
    for step in module.steps:
        svg = VIEWS["thumbnail"].draw(module, "DN 80", 86, step=step)
        assert sorted(parts(svg)) == sorted(scene(module, "DN 80").pieces)
        title, description = root(svg)[0].text or "", root(svg)[1].text or ""
        assert "after" not in (title + description).lower()
    same = [
        VIEWS["thumbnail"].draw(module, "DN 80", 86, step=step) for step in ("castle_off", "castle_tight")
    ]
    assert same[0] == same[1]


def test_a_small_thing_is_shown_again_in_a_circle() -> None:
    module = valve()
    small = VIEWS["state"].draw(module, "DN 80", 170, after="vent_chamber")
    large = VIEWS["state"].draw(module, "DN 80", 170, after="mark", step="cover_off")
    assert "clipPath" in small
    assert "clipPath" not in large


def test_unknown_steps_are_told() -> None:
    for options in ({"after": "x"}, {"done": ["x"]}, {"step": "x"}):
        with pytest.raises(UnknownStep):
            VIEWS["state"].draw(valve(), "DN 80", 170, **options)
    with pytest.raises(UnknownStep):
        VIEWS["thumbnail"].draw(valve(), "DN 80", 86, step="x")
    with pytest.raises(UnknownStep):
        VIEWS["incident"].draw(valve(), "DN 80", 360, step="x")
