"""The drawing of a station: tags that can be read, pipes and valves as simulated, words that tell what is drawn."""

from __future__ import annotations

import re
from contextlib import suppress
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

import pytest

from tests.drawing.shipped import Key, draw, numbers, of_station, root, stations
from tests.procedure.stations import second_opinion
from trainer.checker.check import check_module
from trainer.drawing import VIEWS
from trainer.drawing.scene import NoSuchSize
from trainer.drawing.views.station import NoStation, NoSuchElement
from trainer.procedure import library
from trainer.procedure.draw import Draw
from trainer.procedure.line_ups import line_up_after
from trainer.procedure.window import UnknownStep, prepare

if TYPE_CHECKING:
    from collections.abc import Iterator
    from xml.etree.ElementTree import Element

MODULE = next(module for module in stations() if module.id == "station-run-service")
KEYS = [key for module in stations() for key in of_station(module)]
SVG = "{http://www.w3.org/2000/svg}"
WORDS = {
    "inlet": "inlet pressure",
    "outlet": "outlet pressure",
    "vented": "vented to air",
    "shut-in": "shut in, may hold pressure",
    "nitrogen": "nitrogen",
    "blowing": "blowing to air",
}
Box = tuple[float, float, float, float]


def name(key: Key) -> str:
    return "-".join(str(part) for part in key[3:])


def boxes_of_tags(svg: str) -> dict[str, Box]:
    """About where each tag stands: its letters are 0.5 of the type wide on the average, 0.7 high."""
    size = 11.0 if 'class="drawing phone"' in svg else 13.0
    found = {}
    for item in root(svg).iter(f"{SVG}text"):
        if item.get("class") == "tag":
            x, y = float(item.get("x", "")), float(item.get("y", ""))
            text = "".join(item.itertext())
            half = 0.25 * size * len(text)
            found[text] = (x - half, y - 0.7 * size, x + half, y)
    return found


def pipes(svg: str) -> Iterator[tuple[str, Box]]:
    """The straight pieces of all pipes and tubes outside the key, with half their thickness round them."""
    phone = 'class="drawing phone"' in svg
    for group in root(svg).iter(f"{SVG}g"):
        kind = (group.get("class") or "").split()[0]
        if kind not in ("pipe", "tube") or not group.get("data-part"):
            continue
        half = {"pipe": 3.7 if phone else 4.5, "tube": 2.1 if phone else 2.5}[kind]
        casing = next(item for item in group if item.get("class") == "casing")
        for line in (casing.get("d") or "").split("M")[1:]:
            flat = numbers(line)
            spots = list(zip(flat[::2], flat[1::2], strict=True))
            for (ax, ay), (bx, by) in pairwise(spots):
                across, down = (0.0, half) if abs(ay - by) < 0.2 else (half, 0.0)
                low = (min(ax, bx) - across, min(ay, by) - down)
                yield str(group.get("data-part")), (*low, max(ax, bx) + across, max(ay, by) + down)


def overlap(one: Box, other: Box) -> float:
    width = min(one[2], other[2]) - max(one[0], other[0])
    height = min(one[3], other[3]) - max(one[1], other[1])
    return min(width, height)


@pytest.mark.parametrize("key", KEYS, ids=name)
def test_no_tag_lies_on_another_on_a_pipe_or_outside(key: Key) -> None:
    svg = draw(*key)
    tags = boxes_of_tags(svg)
    module = next(module for module in stations() if module.id == key[0])
    assert module.station is not None
    assert {element.tag for element in module.station.elements.values()} <= set(tags)
    for (one, box), (other, there) in combinations(tags.items(), 2):
        assert overlap(box, there) <= 0, (one, other)
    for text, box in tags.items():
        assert box[0] >= 0, text
        assert box[2] <= key[3], text
        for piece, pipe in pipes(svg):
            assert overlap(box, pipe) <= 0.6, (text, piece)


@pytest.mark.parametrize("key", KEYS, ids=name)
def test_no_pipe_crosses_one_that_is_not_its_own(key: Key) -> None:
    """Pieces meet at elements alone, and there their ends stop at the symbol."""
    for (one, box), (other, there) in combinations(pipes(draw(*key)), 2):
        assert one == other or overlap(box, there) <= 0.6, (one, other)


def drawn_as(svg: str, kind: str) -> dict[str, str]:
    """What is drawn, by its name: of pipes the state, of elements their classes."""
    return {
        str(item.get("data-part")): " ".join((item.get("class") or "").split()[1:])
        for item in root(svg).iter(f"{SVG}g")
        if item.get("data-part") and (item.get("class") or "").split()[0] == kind
    }


def test_after_each_step_pipes_are_drawn_as_a_second_computation_says() -> None:
    assert MODULE.station is not None
    procedure = prepare(MODULE)
    done: list[str] = []
    for step in MODULE.steps:
        done.append(step)
        svg = draw(MODULE.id, "station", "DN 100", 900, (("after", step),))
        expected = second_opinion(MODULE.station, line_up_after(procedure, done).open)
        shown = drawn_as(svg, "tube") | drawn_as(svg, "pipe")
        assert {piece: WORDS[kind] for piece, kind in shown.items()} == expected, step


def is_filled(svg: str, element: str) -> bool:
    group: Element = next(i for i in root(svg).iter(f"{SVG}g") if i.get("data-part") == element)
    return all("shut" in (item.get("class") or "") for item in group if "valve" in (item.get("class") or ""))


def test_what_stands_closed_is_filled_and_regulating_is_neither() -> None:
    before, after = (
        draw(MODULE.id, "station", "DN 100", 900, chosen) for chosen in ((), (("after", "shut_in"),))
    )
    assert [is_filled(before, n) for n in ("hv_101", "hv_106", "vv_112", "fv_107")] == [
        False,
        False,
        True,
        True,
    ]
    assert [is_filled(after, n) for n in ("hv_101", "hv_106", "vv_112", "fv_107")] == [
        True,
        True,
        False,
        True,
    ]
    for svg, shut in ((before, 1), (after, 0)):
        group = next(i for i in root(svg).iter(f"{SVG}g") if i.get("data-part") == "ar_105")
        halves = [item.get("class") for item in group if item.get("class") in ("valve", "valve shut")]
        assert halves.count("valve shut") == 1
        assert ("valve" in halves[1:]) is bool(shut), "regulating shows one half hollow, dead none"


def test_what_the_last_step_moved_is_marked() -> None:
    svg = draw(MODULE.id, "station", "DN 100", 360, (("after", "leak_low"),))
    moved = [n for n, kind in drawn_as(svg, "element").items() if kind == "moved"]
    assert sorted(moved) == ["vv_112", "vv_113"]


def test_the_words_tell_every_valve_and_every_pipe() -> None:
    assert MODULE.station is not None
    for key in KEYS:
        told = next(root(draw(*key)).iter(f"{SVG}desc")).text or ""
        for piece in MODULE.station.pieces.values():
            assert piece.name in told
        for element in MODULE.station.elements.values():
            assert element.form in ("gauge", "restrictor") or element.tag in told


def test_the_words_of_a_step() -> None:
    told = (
        next(root(draw(MODULE.id, "station", "DN 100", 900, (("after", "vent_in"),))).iter(f"{SVG}desc")).text
        or ""
    )
    assert re.search(r"Closed: HV-101, FV-107, [^.]*HV-106", told)
    assert re.search(r"Open: VV-111, VV-112, MR-104, VV-113", told)
    assert "Locked: HV-101, FV-107, HV-106." in told
    assert re.search(r"Vented to air: pipe from HV-101 to the filter, [^.]*loading line of AR-105", told)


def test_for_a_question_the_words_tell_nothing() -> None:
    svg = VIEWS["station"].draw(MODULE, None, 360, standing_open=("hv_101",), told=False)
    said = [next(root(svg).iter(f"{SVG}{part}")).text or "" for part in ("title", "desc")]
    assert not re.search(r"[A-Z]{2}-\d|open|shut|closed|pressure|vent", " ".join(said), re.IGNORECASE)


def test_what_cannot_be_drawn_is_told_in_one_sentence() -> None:
    station = VIEWS["station"]
    with pytest.raises(NoSuchSize, match="DN 7"):
        station.draw(MODULE, "DN 7", 900)
    with pytest.raises(UnknownStep, match="dance"):
        station.draw(MODULE, None, 900, after="dance")
    with pytest.raises(NoSuchElement, match="nothing to move named 'pg_121'"):
        station.draw(MODULE, None, 900, standing_open=("pg_121",))
    plain = library.read_module("module: m\nparts: {p: {}}\nsizes: [S]\n", "m.yaml")
    with pytest.raises(NoStation, match="add `station`"):
        station.draw(plain, None, 900)


@pytest.mark.parametrize("number", range(40))
def test_a_station_half_written_is_drawn_or_told(number: int) -> None:
    """Lines of the block are left out by seed: whatever is left is drawn, or refused in a sentence; never a traceback."""
    lines = library.find(MODULE.id).read_text(encoding="utf-8").splitlines()
    start = lines.index("station:")
    end = next(place for place, line in enumerate(lines) if place > start and line and line[0] not in " #")
    cut = Draw(f"station half written, {number}")
    kept = [line for line in lines[start + 1 : end] if cut.below(8)]
    module = library.read_module("\n".join([*lines[: start + 1], *kept, *lines[end:]]), "half.yaml")
    check_module(module)
    for width in (360, 900):
        with suppress(NoStation):
            svg = VIEWS["station"].draw(module, None, width, after="vent_in")
            assert root(svg).tag.endswith("svg")
