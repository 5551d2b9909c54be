"""The figures: each file is listed, floor and ours agree on the answer, and a missing library is told."""

from __future__ import annotations

import gzip
import pkgutil
from itertools import islice
from typing import TYPE_CHECKING

import networkx as nx
import pytest

from tests.modules import SMALL_VALVE
from trainer.cli import figures
from trainer.cli.figures import (
    counting_orders,
    counting_shipped,
    drawing_views,
    item_fit,
    marking_growth,
    marking_orders,
    printing_records,
    reading_procedures,
    signing_in,
    starting,
)
from trainer.cli.measuring.invented_orders import nearly_right, shuffled, woven
from trainer.cli.measuring.timing import Effort, Goal
from trainer.drawing import VIEWS
from trainer.procedure import library
from trainer.procedure.counting import LegalOrders
from trainer.procedure.library import read_module

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.cli.measuring.timing import Reading
    from trainer.procedure.orders import PartialOrder

ONCE = Effort(rounds=1, sample=0)


def test_every_file_of_the_folder_is_a_figure_on_the_list() -> None:
    files = {f"{figures.__name__}.{found.name}" for found in pkgutil.iter_modules(figures.__path__)}
    assert files == {figure.__name__ for figure in figures.FIGURES}
    assert len({figure.TITLE for figure in figures.FIGURES}) == len(figures.FIGURES)


def cases(size: int) -> list[tuple[PartialOrder, Sequence[int]]]:
    return [
        (woven(size, 4, str(n)), answers(size, str(n)))
        for n in range(3)
        for answers in (shuffled, nearly_right)
    ]


def test_invented_orders_are_the_same_in_every_run_and_differ_by_seed() -> None:
    assert woven(20, 4, "a") == woven(20, 4, "a") != woven(20, 4, "b")
    assert shuffled(20, "a") == shuffled(20, "a") != shuffled(20, "b")
    assert nearly_right(20, "a") == nearly_right(20, "a") != nearly_right(20, "b")
    assert sorted(nearly_right(20)) == sorted(shuffled(20)) == list(range(20))
    assert woven(20, 4).is_legal(range(20))


@pytest.mark.parametrize("size", [12, 20, 40])
def test_the_floors_of_marking_give_the_same_marks(size: int) -> None:
    for order, answer in cases(size):
        graph = marking_orders.closure(nx, order)
        expected = marking_orders.mark(order, answer)
        assert marking_orders.mark_with_graphs(nx, graph, answer) == expected
        assert marking_orders.count_with_graphs(nx, graph, answer) == expected


@pytest.mark.parametrize(("size", "runs"), [(8, 2), (12, 3), (20, 4)])
def test_the_floor_of_counting_gives_the_same_count(size: int, runs: int) -> None:
    order = woven(size, runs)
    assert (
        counting_orders.count_plainly(order)
        == counting_orders.count_and_draw(order)
        == LegalOrders(order).count
    )


def test_marking_speaks_of_the_promised_sizes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(marking_orders, "CASES", 1)
    readings = {reading.name: reading for reading in marking_orders.measure(ONCE)}
    prefix, suffix = "Mark one order: ", ", times faster than networkx"
    for size in (12, 20, 40, 60):
        for kind in ("shuffled", "nearly right"):
            assert readings[f"{prefix}{size} steps {kind}{suffix}"].ratio is not None
    assert readings[f"{prefix}40 steps shuffled{suffix}"].goal == Goal("at least", 100)
    assert readings[f"{prefix}40 steps nearly right{suffix}"].goal == Goal("at least", 10)


def test_without_networkx_the_figure_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def not_there(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(marking_orders, "import_module", not_there)
    (reading,) = marking_orders.measure(ONCE)
    assert reading.note == "networkx, the floor, is not installed."
    assert reading.reached is None


def test_growth_is_the_power_between_the_two_sizes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(marking_growth, "in_turn", lambda *_: (0.001, 0.1))
    for reading in marking_growth.measure(ONCE):
        assert reading.ratio == pytest.approx(2.0)
        assert reading.goal == Goal("at most", 1.9)
        assert reading.reached is False


def test_counting_is_held_to_the_plain_loop(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counting_orders, "SHAPES", ((8, 2),))
    (reading,) = islice(counting_orders.measure(ONCE), 1)
    assert reading.goal == Goal("at most", 1.2)
    assert reading.ratio is not None


def test_the_slowest_of_what_is_shipped_is_named() -> None:
    module = read_module(SMALL_VALVE, "small.yaml")
    names = [name for name, _ in counting_shipped.orders_of(module)]
    assert names[0] == "small-valve, all of it"
    assert "small-valve, teardown" in names
    reading: Reading = counting_shipped.slowest([module], ONCE)
    assert reading.note.removeprefix("the slowest is ").removesuffix(".") in names
    assert reading.goal == Goal("at most", 1)
    assert counting_shipped.slowest([], ONCE).note == "no procedure is shipped."


def test_fitting_is_held_to_the_known_values(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(item_fit, "FEW_ITEMS", 8)
    monkeypatch.setattr(item_fit, "FEW_PEOPLE", 600)
    answers, slopes, difficulties = item_fit.simulated(8, 600)

    def worse(_: object) -> object:
        return slopes * 3, difficulties

    def perfect(_: object) -> object:
        return slopes, difficulties

    monkeypatch.setattr(item_fit, "libraries", lambda: {"one": item_fit.ours, "other": worse})
    (reading,) = item_fit.measure(ONCE)
    assert reading.ratio is not None
    assert reading.goal is None
    assert reading.note.startswith("one, error")
    monkeypatch.setattr(item_fit, "libraries", lambda: {"one": perfect})
    (reading,) = item_fit.measure(ONCE)
    assert reading.ratio is None
    assert reading.note.startswith("not comparable")
    assert item_fit.error(item_fit.ours(answers), slopes, difficulties) < 0.3


def test_without_a_library_the_fit_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def not_there(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(item_fit, "import_module", not_there)
    (reading,) = item_fit.measure(ONCE)
    assert reading.note == "neither mirt nor girth, the floors, is installed."
    assert reading.reached is None


def test_every_view_has_a_reading_of_bytes_and_of_time_at_both_widths() -> None:
    modules = [library.load(name) for name in library.shipped_procedures()]
    for view in ("section", "bolts", "castle_nut", "lifting", "thumbnail"):
        for width in drawing_views.WIDTHS:
            size, timed = drawing_views.of_view(view, width, modules, ONCE)
            assert size.reached, size
            assert size.ratio is not None
            assert "KiB" in size.note
            assert timed.goal == Goal("at most", drawing_views.TIMES)
            assert timed.ours is not None
            assert timed.floor is not None


def test_the_share_of_bytes_is_the_worse_of_the_picture_and_of_what_is_sent() -> None:
    module = library.load("piston-valve-overhaul")
    size, _ = drawing_views.of_view("castle_nut", 360, [module], ONCE)
    svg = VIEWS["castle_nut"].draw(module, "DN 100", 360)
    packed = len(gzip.compress(svg.encode(), 9))
    assert size.ratio == pytest.approx(max(len(svg.encode()) / 40960, packed / 11000))


def test_a_view_that_nothing_shipped_has_says_so() -> None:
    (reading,) = drawing_views.of_view("castle_nut", 360, [], ONCE)
    assert reading.reached is None
    assert reading.note


def test_views_are_looked_at_in_all_their_pictures() -> None:
    modules = [library.load(name) for name in library.shipped_procedures()]
    for view in (name for name in VIEWS if name in drawing_views.KNOWN or not drawing_views._needed(name)):
        assert any(drawing_views._tried(draw) for draw in drawing_views.pictures(view, 360, modules)), view


def test_reading_has_a_line_for_each_shipped_procedure_with_and_without_its_check() -> None:
    readings = list(reading_procedures.measure(ONCE))
    assert len(readings) == 2 * len(library.shipped_procedures())
    for read, check in zip(readings[::2], readings[1::2], strict=True):
        assert (read.goal, check.goal) == (Goal("at most", 1), Goal("at most", 3))
        assert read.name.startswith("Read ")
        assert check.name.startswith("Read and check ")
        assert read.ratio is not None
        assert check.ratio is not None


def test_without_the_fast_parser_reading_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr("yaml.CSafeLoader")
    (reading,) = reading_procedures.measure(ONCE)
    assert reading.note == "CSafeLoader, the floor, is not installed."


def test_signing_in_is_held_to_one_check_of_the_password() -> None:
    (reading,) = signing_in.measure(ONCE)
    assert reading.goal == Goal("at most", 1.2)
    assert reading.floor is not None
    assert reading.ours is not None


def test_printing_is_held_to_the_bare_compiler_and_to_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(printing_records, "MANY", 3)
    monkeypatch.setattr(printing_records, "IN_A_ROW", 2)
    one, many = printing_records.measure(ONCE)
    assert (one.goal, many.goal) == (Goal("at most", 1.2), Goal("at least", 3))
    assert one.ratio is not None
    assert many.ratio is not None


def test_the_invented_records_are_proven() -> None:
    packet = printing_records.invented(7)
    assert packet.proof is not None
    assert packet.proof.faults(printing_records._KEY.verifier) == ()


def test_the_start_waits_with_what_is_heavy() -> None:
    assert starting.loaded("import json") == []
    assert starting.loaded("import numpy") == ["numpy"]
    assert starting.loaded(starting._WEB) == []
    assert starting.loaded(starting._HELP) == []
