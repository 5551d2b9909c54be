"""What is missing: every place that works is right, the simulation agrees, and what comes later stays out."""

from __future__ import annotations

from trainer import drills
from trainer.drills.answer_forms import Choose
from trainer.drills.kind import Setting
from trainer.drills.kinds import what_is_missing
from trainer.procedure import library
from trainer.procedure.simulate import run
from trainer.procedure.window import prepare

KIND = "what-is-missing"
VALVE = library.load("piston-valve-overhaul")
SIZE = "DN 80"
STEP_OF = {step.do: step.id for step in VALVE.steps.values()}
SEEDS = range(40)


def _asked(seed: int) -> tuple[Choose, dict[str, str], what_is_missing._Gap]:
    form, key = drills.ask(VALVE, KIND, SIZE, seed).form, drills.key(VALVE, KIND, SIZE, seed)
    assert isinstance(form, Choose)
    assert isinstance(key, dict)
    skill = what_is_missing.skills(prepare(VALVE))[0]
    gap = what_is_missing._gap(Setting(prepare(VALVE, SIZE), skill, SIZE, seed))
    return form, {row: str(option) for row, option in key.items()}, gap


def test_an_answer_is_right_exactly_when_the_whole_stretch_is_there_and_runs_clean() -> None:
    """All answers that differ from the key in one gap, or move one step to another gap."""
    plan = prepare(VALVE, SIZE).plan
    outcomes = set()
    for seed in SEEDS:
        form, key, gap = _asked(seed)
        text_of = {option.id: option.text for option in form.rows[0].options}
        moves = []
        for row in form.rows:
            moves += [{**key, row.id: option.id} for option in row.options]
            if key[row.id] != "a":
                moves += [
                    {**key, row.id: "a", other.id: key[row.id]} for other in form.rows if key[other.id] == "a"
                ]
        for answer in moves:
            order = list(gap.before)
            for line, option in zip(gap.lines, answer.values(), strict=True):
                order += [line, *([STEP_OF[text_of[option]]] if option != "a" else [])]
            whole = sorted(order) == sorted((*gap.before, *gap.lines, *gap.place_of))
            clean = whole and run(plan, order) is None
            mark = drills.mark(VALVE, KIND, SIZE, seed, answer)
            assert mark.right is (clean and _keeps_the_order(order)), (seed, answer)
            outcomes.add(mark.right)
    assert outcomes == {True, False}


def _keeps_the_order(order: list[str]) -> bool:
    """What spoils a later step runs clean so far; the order of the whole tells it."""
    procedure = prepare(VALVE)
    index = procedure.precedence.index
    done = 0
    for step in order:
        if procedure.order.before[index[step]] & ~done:
            return False
        done |= 1 << index[step]
    return True


def test_nothing_put_back_earns_nothing_and_tells_what_is_missing() -> None:
    for seed in SEEDS:
        form, _, gap = _asked(seed)
        mark = drills.mark(VALVE, KIND, SIZE, seed, {row.id: "a" for row in form.rows})
        assert (mark.right, mark.credit) == (False, 0)
        told = [remark.text for remark in mark.remarks if not remark.right]
        assert len(told) == len(gap.place_of)
        assert all("is missing. " in text for text in told)


def test_a_step_that_comes_later_costs_half() -> None:
    seed = next(seed for seed in SEEDS if len(_asked(seed)[2].place_of) == 1)
    form, key, gap = _asked(seed)
    decoy = next(o.id for o in form.rows[0].options[1:] if STEP_OF[o.text] not in gap.place_of)
    empty = next(row for row in key if key[row] == "a")
    mark = drills.mark(VALVE, KIND, SIZE, seed, {**key, empty: decoy})
    assert (mark.right, mark.credit) == (False, 0.5)
    told = next(remark.text for remark in mark.remarks if remark.about == empty)
    assert "cannot be done here yet." in told
