"""What each piece of pipe holds: against a second computation over all settings, and against settings told by hand.

The rules are common practice, no source; both computations follow them, each in its own way.
"""

from __future__ import annotations

import os
from itertools import product
from typing import TYPE_CHECKING

import pytest

from tests.procedure.stations import SecondOpinion, second_opinion, station
from trainer.procedure.draw import Draw
from trainer.procedure.pipe_states import LineUp

if TYPE_CHECKING:
    from collections.abc import Iterator

EVERY = bool(os.environ.get("TRAINER_TESTS_NEED_ALL"))
STATION = station()
RUN_1, RUN_2 = (
    tuple(element.id for element in STATION.of_run(run) if element.form.moves) for run in STATION.runs
)
IN_SERVICE = frozenset(("hv_101", "ss_103", "hv_106", "hv_201", "ss_203", "hv_206"))


def settings(names: tuple[str, ...]) -> Iterator[frozenset[str]]:
    for chosen in product((False, True), repeat=len(names)):
        yield frozenset(name for name, is_open in zip(names, chosen, strict=True) if is_open)


def held(standing_open: frozenset[str]) -> dict[str, str]:
    return {name: str(state) for name, state in LineUp(STATION, standing_open).holds.items()}


def test_each_run_has_nine_elements_to_move_and_they_are_all() -> None:
    assert len(RUN_1) == len(RUN_2) == 9
    assert sorted(RUN_1 + RUN_2) == sorted(STATION.moved)


@pytest.mark.parametrize("names", [RUN_1, RUN_2], ids=["run 1", "run 2"])
def test_all_settings_of_a_run_agree_with_the_second_computation(names: tuple[str, ...]) -> None:
    """2 x 512 settings, the other run standing as in service."""
    still = IN_SERVICE - set(names)
    for setting in settings(names):
        assert held(setting | still) == second_opinion(STATION, setting | still), sorted(setting)


def test_settings_of_the_whole_station_agree_with_the_second_computation() -> None:
    """A seeded sample of the 2 to the 18th; all of them below."""
    draw = Draw("settings of the station")
    for _ in range(300):
        setting = frozenset(name for name in STATION.moved if draw.below(2))
        assert held(setting) == second_opinion(STATION, setting), sorted(setting)


@pytest.mark.skipif(not EVERY, reason="262,144 settings take a minute; .ci/run asks")
def test_all_settings_of_the_whole_station() -> None:
    """All 262,144, each against the second computation."""
    opinion = SecondOpinion(STATION)
    for one in settings(RUN_1):
        for other in settings(RUN_2):
            both = one | other
            assert held(both) == opinion(both), sorted(both)


def test_in_service_the_monitor_stands_open_and_the_regulator_reduces() -> None:
    states = held(IN_SERVICE)
    assert states["filter_out_1"] == states["behind_ss_1"] == states["between_1"] == "inlet pressure"
    assert states["behind_1"] == states["outlet"] == states["loading_1"] == "outlet pressure"


def test_a_regulator_never_isolates() -> None:
    """Run 1 shut at the inlet alone: the outlet comes back through the regulator."""
    states = held(IN_SERVICE - {"hv_101"})
    assert states["between_1"] == states["filter_in_1"] == "outlet pressure"
    states = held((IN_SERVICE - {"hv_106"}) | {"vv_113"})
    assert states["behind_1"] == "blowing to air"
    assert states["outlet"] == "outlet pressure"


def test_a_vent_empties_through_the_monitor_and_not_through_the_regulator() -> None:
    """MR-104 stands open without pressure, AR-105 shuts on its spring: so says the head of the file."""
    shut = IN_SERVICE - {"hv_101", "hv_106"}
    states = held(shut | {"vv_112"})
    assert states["between_1"] == "vented to air"
    assert states["behind_1"] == "shut in, may hold pressure"
    states = held(shut | {"vv_113"})
    assert states["behind_1"] == states["loading_1"] == "vented to air"
    assert states["between_1"] == "shut in, may hold pressure"


def test_a_tripped_slam_shut_parts_the_run() -> None:
    states = held(IN_SERVICE - {"ss_103", "hv_106"})
    assert states["filter_out_1"] == "inlet pressure"
    assert states["behind_ss_1"] == "shut in, may hold pressure"


def test_a_filling_valve_goes_round_the_inlet_valve() -> None:
    shut = IN_SERVICE - {"hv_101", "hv_106"}
    assert held(shut | {"fv_107"})["filter_in_1"] == "inlet pressure"
    states = held(shut | {"fv_107", "vv_111"})
    assert states["filter_in_1"] == "blowing to air"
    assert states["inlet"] == "inlet pressure"


def test_nitrogen_shows_until_gas_comes() -> None:
    shut = IN_SERVICE - {"hv_101", "hv_106"}
    assert held(shut | {"nc_114"})["behind_1"] == "nitrogen"
    assert held(shut | {"nc_114", "vv_113"})["behind_1"] == "nitrogen"
    line_up = LineUp(STATION, shut | {"nc_114", "hv_101"})
    assert [element.tag for element in line_up.gas_at_nitrogen] == ["NC-114"]


def test_the_outlet_is_fed_by_a_run_that_stands_open_end_to_end() -> None:
    def fed(standing_open: frozenset[str]) -> bool:
        return LineUp(STATION, standing_open).fed

    assert fed(IN_SERVICE)
    assert fed(IN_SERVICE - {"hv_106"})
    assert not fed(IN_SERVICE - {"hv_106", "ss_203"})
    assert not fed(frozenset(("fv_107", "ss_103", "hv_106")))
