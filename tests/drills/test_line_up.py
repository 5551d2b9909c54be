"""Line-up drill: its ways checked against a second computation of the states and against the procedure itself."""

from __future__ import annotations

import json
import re

import pytest

from tests.modules import SMALL_VALVE
from tests.procedure.stations import module, second_opinion, station
from trainer import drills
from trainer.drills.kinds import line_up
from trainer.drills.line_up_goals import LONGEST, SHORTEST, tasks
from trainer.procedure import library
from trainer.procedure.line_up_dangers import Kind, consequences, troubles
from trainer.procedure.line_ups import line_up_after
from trainer.procedure.pipe_states import LineUp
from trainer.procedure.window import prepare

MODULE, STATION = module(), station()
SERVICE = frozenset(("hv_101", "ss_103", "hv_106", "hv_201", "ss_203", "hv_206"))
SEEDS = range(24)


def said(standing_open: set[str] | frozenset[str], move: str) -> list[tuple[str, str, str]]:
    return [
        (str(t.kind), str(t.signal), t.what)
        for t in consequences(LineUp(STATION, frozenset(standing_open)), move)
    ]


def test_there_are_four_goals_each_for_both_runs() -> None:
    found = tasks(MODULE)
    assert [task.goal.id for task in found] == [
        goal for goal in ("take-off", "open-filter", "fill", "return") for _ in range(2)
    ]
    assert {task.run.name for task in found} == {"the run of ST-102", "the run of ST-202"}
    assert [skill.id for skill in line_up.skills(prepare(MODULE))] == [
        "line-up:take-off",
        "line-up:open-filter",
        "line-up:fill",
        "line-up:return",
    ]
    assert all(skill.critical for skill in line_up.skills(prepare(MODULE)))


def test_a_procedure_without_a_station_is_told_what_to_add() -> None:
    small = prepare(library.read_module(SMALL_VALVE, "small.yaml"))
    assert line_up.skills(small) == ()
    assert "two runs" in line_up.missing(small)


# --- what a wrong move does ---


def test_shutting_the_only_run_starves_the_outlet() -> None:
    ((kind, signal, what),) = said(SERVICE - {"hv_206"}, "hv_106")
    assert (kind, signal) == ("starved", "warning")
    assert "the gas comes back to open burners" in what
    assert said(SERVICE, "hv_106") == []


@pytest.mark.parametrize(
    ("standing_open", "move", "blows"),
    [
        (SERVICE, "vv_111", "the inlet header blows to the air at VV-111, with nothing shut between them"),
        (SERVICE, "vv_113", "the outlet header blows to the air at VV-113, with nothing shut between them"),
        (
            (SERVICE - {"hv_101", "hv_106"}) | {"vv_111"},
            "fv_107",
            "gas keeps coming and blows to the air at VV-111: FV-107 goes round the valve that is shut",
        ),
        (
            SERVICE - {"hv_106"},
            "vv_113",
            "gas keeps coming and blows to the air at VV-113: AR-105 does not isolate",
        ),
    ],
)
def test_a_vent_blows_with_what_feeds_it_named(standing_open: set[str], move: str, blows: str) -> None:
    assert ("blowing", "danger", blows) in said(standing_open, move)


def test_a_cover_is_opened_on_gas_and_on_gas_that_is_shut_in() -> None:
    shut = SERVICE - {"hv_101", "hv_106"}
    ((kind, signal, what),) = said(shut | {"vv_113"}, "st_102")
    assert (kind, signal) == ("not empty", "danger")
    assert "in the pipe from HV-101 to the filter gas is shut in" in what
    assert said(shut | {"vv_111", "vv_113"}, "st_102") == []
    # With the slam-shut tripped VV-111 leaves the pipe behind it full.
    assert "from SS-103 to MR-104" in said((shut - {"ss_103"}) | {"vv_111", "vv_113"}, "st_102")[0][2]


def test_gas_goes_backwards_into_the_nitrogen() -> None:
    assert [kind for kind, *_ in said(SERVICE, "nc_114")] == ["gas at the nitrogen"]
    shut = SERVICE - {"hv_101", "hv_106"}
    assert said(shut, "nc_114") == []
    assert "gas at the nitrogen" in [kind for kind, *_ in said(shut | {"nc_114"}, "fv_107")]


def test_a_valve_opened_against_an_unfilled_run_lets_the_gas_rush() -> None:
    shut = SERVICE - {"hv_101", "hv_106"}
    assert [(kind, signal) for kind, signal, _ in said(shut, "hv_101")] == [("rush", "warning")]
    assert said(shut | {"fv_107"}, "hv_101") == []
    assert [kind for kind, *_ in said(shut, "hv_106")] == ["rush"]


def test_the_outlet_must_not_hang_on_a_filling_valve() -> None:
    """As the fact `inlet_open` of the procedure says."""
    shut = (SERVICE - {"hv_101", "hv_106"}) | {"fv_107"}
    assert [kind for kind, *_ in said(shut, "hv_106")] == ["fades"]
    assert said(shut | {"hv_101"}, "hv_106") == []


def test_inlet_and_outlet_without_a_regulator_between_them() -> None:
    text = """
module: m
sizes: [S]
parts: {p: {}}
station:
  pieces:
    a: {source: inlet, pipe: [[0, 0], [2, 0]]}
    b: {source: outlet, pipe: [[2, 0], [4, 0]]}
  elements:
    pr: {name: regulator, form: regulator, when_dead: open, joins: [a, b], at: [2, 0]}
    by: {name: bypass, form: valve, joins: [a, b], at: [2, 2], stands: closed}
"""
    plain = library.read_module(text, "m.yaml").station
    assert plain is not None
    found = consequences(LineUp(plain, frozenset()), "by")
    assert (found[0].kind, str(found[0].signal)) == (Kind.OVER_PRESSURED, "danger")


# --- the drill ---


def along(seed: int) -> list[tuple[frozenset[str], str]]:
    """The moves of the key of a question: what stands open before each, and what is moved."""
    tag_of = {element.tag: name for name, element in STATION.elements.items()}
    question = drills.ask(MODULE, "line-up", None, seed)
    key = drills.key(MODULE, "line-up", None, seed)
    moves = []
    for number, letter in enumerate(key):
        assert question is not None
        assert question.picture is not None
        text = next(option.text for option in question.form.options if option.id == letter)  # type: ignore[union-attr]
        tag = next(tag for tag in tag_of if tag in text)
        moves.append((frozenset(question.picture.keywords["standing_open"]), tag_of[tag]))
        question = drills.go_on(MODULE, "line-up", None, seed, list(key)[: number + 1])  # type: ignore[assignment]
    return moves


@pytest.mark.parametrize("seed", SEEDS)
def test_along_the_key_nothing_goes_wrong_by_a_second_computation(seed: int) -> None:
    moves = along(seed)
    assert SHORTEST <= len(moves) <= LONGEST
    for number, (standing, move) in enumerate(moves):
        after = standing ^ {move}
        if number + 1 < len(moves):
            assert moves[number + 1][0] == after
        states = second_opinion(STATION, after)
        assert "blowing to air" not in states.values()
        if "st_102" in after:
            assert {state for name, state in states.items() if name.endswith("_1")} == {"vented to air"}


@pytest.mark.parametrize("seed", SEEDS)
def test_every_moment_offers_harm_of_several_kinds_and_no_harmless_move_as_wrong(seed: int) -> None:
    key = list(drills.key(MODULE, "line-up", None, seed))
    question = drills.ask(MODULE, "line-up", None, seed)
    for number in range(len(key)):
        reasons = []
        for option in question.form.options:  # type: ignore[union-attr]
            picks = [*key[:number], option.id]
            wrong = drills.go_on(MODULE, "line-up", None, seed, picks) is None
            mark = drills.mark(MODULE, "line-up", None, seed, picks) if wrong else None
            if mark is not None and not mark.right:
                assert mark.incident is not None
                assert mark.critical is mark.incident.signal.is_critical
                reasons.append(mark.incident.text)
        assert len(reasons) == len(set(reasons)) == 3
        following = drills.go_on(MODULE, "line-up", None, seed, key[: number + 1])
        question = following if following is not None else question


@pytest.mark.parametrize("seed", SEEDS)
def test_the_words_say_all_that_the_picture_shows(seed: int) -> None:
    question = drills.ask(MODULE, "line-up", None, seed)
    assert question.picture is not None
    standing = frozenset(question.picture.keywords["standing_open"])
    stand = re.search(r"Open: ([^.]*)\. Closed: ([^.]*)\.", question.given)
    assert stand is not None
    is_open, closed = ({*part.split(", ")} for part in stand.groups())
    for name, state in second_opinion(STATION, standing).items():
        said_so = re.search(rf"(?i){state}: ([^.]*)\.", question.given)
        assert said_so is not None
        assert STATION.pieces[name].name in said_so[1]
    for name in STATION.moved:
        element = STATION.elements[name]
        if element.form != "filter":
            assert element.tag in (is_open if name in standing else closed)
            assert element.tag not in (closed if name in standing else is_open)


def test_beside_a_marked_answer_stands_the_station_as_the_last_move_left_it() -> None:
    for seed in SEEDS:
        moves = along(seed)
        (after,) = drills.shown(MODULE, "line-up", None, seed, drills.key(MODULE, "line-up", None, seed))
        standing, move = moves[-1]
        assert frozenset(after.picture.keywords["standing_open"]) == standing ^ {move}
        assert STATION.elements[move].tag in after.words
        letters = [option.id for option in drills.ask(MODULE, "line-up", None, seed).form.options]  # type: ignore[union-attr]
        wrong = next(x for x in letters if drills.go_on(MODULE, "line-up", None, seed, [x]) is None)
        (after,) = drills.shown(MODULE, "line-up", None, seed, [wrong])
        left = frozenset(after.picture.keywords["standing_open"])
        assert len(left ^ moves[0][0]) == 1
        states = set(second_opinion(STATION, left).values())
        told = drills.mark(MODULE, "line-up", None, seed, [wrong]).incident
        assert told is not None
        assert ("blows to the air" in told.text) <= ("blowing to air" in states)


def test_the_question_as_sent_holds_no_picture_and_no_number_of_moves_left() -> None:
    for seed in SEEDS:
        sent = json.dumps(drills.ask(MODULE, "line-up", None, seed).as_data())
        assert "standing_open" not in sent
        assert "picture" not in sent


def test_the_start_and_the_run_change_with_the_seed() -> None:
    seen = {(drills.ask(MODULE, "line-up", None, seed).ask, along(seed)[0][0]) for seed in range(60)}
    assert len(seen) > 25


def test_what_the_procedure_does_is_never_marked_wrong() -> None:
    """No step of the file, taken as moves one by one in some order, harms anybody by these rules."""
    procedure = prepare(MODULE)
    done: list[str] = []
    for step in MODULE.steps:
        before = line_up_after(procedure, done)
        done.append(step)
        moved = before.open ^ line_up_after(procedure, done).open
        line_up = before
        for name in sorted(moved, key=lambda name: name in line_up.open):
            assert consequences(line_up, name) == (), (step, name)
            line_up = line_up.moved(name)
        assert troubles(line_up) == ()
