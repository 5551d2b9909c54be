"""The station of the shipped procedure moves as its steps say, in whatever order they may be done."""

from __future__ import annotations

import pytest

from tests.procedure.stations import module, second_opinion, station
from trainer.drills import walk
from trainer.procedure.draw import Draw
from trainer.procedure.line_up_dangers import troubles
from trainer.procedure.line_ups import line_up_after, locked_in, states_after
from trainer.procedure.window import prepare

# Read off the sentences of the steps by hand: what each of them opens (+) and shuts (-) for longer than itself.
MOVES = {
    "shut_out": "-HV-106",
    "trip_ss": "-SS-103",
    "vent_mid": "+VV-112",
    "vent_out": "+VV-113",
    "shut_in": "-HV-101",
    "vent_in": "+VV-111",
    "nuts_off": "+ST-102",
    "nuts_tight": "-ST-102",
    "latch": "+SS-103",
    "shut_vent_in": "-VV-111",
    "hose_on": "+NC-114",
    "leak_low": "-VV-112 -VV-113",
    "hose_off": "-NC-114",
    "slow_fill": "+FV-107",
    "open_in": "-FV-107 +HV-101",
    "open_out": "+HV-106",
}
LOCKED = {"shut_out": "HV-106", "lock_fill": "FV-107", "shut_in": "HV-101"}
UNLOCKED = {"slow_fill": "FV-107", "open_in": "HV-101", "open_out": "HV-106"}
MODULE, STATION = module(), station()
PROCEDURE = prepare(MODULE)


def test_each_step_moves_what_its_sentence_says() -> None:
    done: list[str] = []
    for step in MODULE.steps:
        before = line_up_after(PROCEDURE, done).open
        done.append(step)
        after = line_up_after(PROCEDURE, done).open
        moved = [f"+{STATION.elements[n].tag}" for n in after - before]
        moved += [f"-{STATION.elements[n].tag}" for n in before - after]
        assert " ".join(sorted(moved)) == " ".join(sorted(MOVES.get(step, "").split())), step


def test_the_locks_hang_where_the_steps_hang_them() -> None:
    done: list[str] = []
    hanging: set[str] = set()
    for step in MODULE.steps:
        done.append(step)
        hanging |= {LOCKED[step]} if step in LOCKED else set()
        hanging -= {UNLOCKED[step]} if step in UNLOCKED else set()
        locked = locked_in(MODULE, states_after(PROCEDURE, done))
        assert {STATION.elements[name].tag for name in locked} == hanging, step


@pytest.mark.parametrize("number", range(12))
def test_in_no_legal_order_is_anything_wrong_with_the_line_up(number: int) -> None:
    """Nothing blows, the outlet is fed, the filter is opened on an empty run; the second computation agrees."""
    done = walk.walked(PROCEDURE, Draw(f"an order of the station, {number}"), len(MODULE.steps))
    assert len(done) == len(MODULE.steps)
    for end in range(len(done) + 1):
        line_up = line_up_after(PROCEDURE, done[:end])
        assert troubles(line_up) == (), done[:end]
        assert {n: str(held) for n, held in line_up.holds.items()} == second_opinion(STATION, line_up.open)
    assert line_up.open == line_up_after(PROCEDURE, ()).open
