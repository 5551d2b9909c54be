"""Whatever happens to a line of a procedure: findings with a place, or a module that has its order; never worse."""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import TYPE_CHECKING

import pytest

from tests.modules import SMALL_VALVE
from trainer.checker.check import check_text, is_sound
from trainer.procedure import library
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

# A shipped procedure has more than a thousand lines and a check of it takes some 100 ms, so an ordinary run damages
# some lines in each way by turns. Before every change that lands each line of the main procedure is deleted, doubled
# or garbled, by turns, and each line of the small valve garbled in every way; of the other procedures, written in the
# same language, some lines do. With TRAINER_TESTS_EVERY_WAY each line of the main procedure is damaged in all three ways.
EVERY_WAY = bool(os.environ.get("TRAINER_TESTS_EVERY_WAY"))
EVERY_LINE = EVERY_WAY or bool(os.environ.get("TRAINER_TESTS_NEED_ALL"))
SMALL_STRIDE, STRIDE = (1, 12) if EVERY_LINE else (3, 24)
MAIN = "piston-valve-overhaul"


def swapped(line: str) -> str:
    """The line with two letters in its middle changed over."""
    middle = max(len(line) // 2, 1)
    return line[: middle - 1] + line[middle : middle + 1] + line[middle - 1 : middle] + line[middle + 1 :]


def indentation(line: str) -> str:
    return line[: len(line) - len(line.lstrip())]


REMOVALS: dict[str, Callable[[str], list[str]]] = {
    "deleted": lambda _: [],
    "doubled": lambda line: [line, line],
}
GARBLINGS: dict[str, Callable[[str], list[str]]] = {
    "cut in half": lambda line: [line[: len(line) // 2]],
    "letters swapped": lambda line: [swapped(line)],
    "one blank deeper": lambda line: [" " + line],
    "two blanks deeper": lambda line: ["  " + line],
    "two blanks shallower": lambda line: [line[2:] if line.startswith("  ") else line],
    "a blank lost": lambda line: [line.replace(": ", ":", 1)],
    "first colon lost": lambda line: [line.replace(":", "", 1)],
    "last colon lost": lambda line: ["".join(line.rpartition(":")[::2])],
    "a quote left open": lambda line: [line.replace(": ", ': "', 1)],
    "a quote at the end": lambda line: [line + "'"],
    "a bracket left open": lambda line: [line.replace("]", "", 1) if "]" in line else line + " ["],
    "a brace too many": lambda line: [line + "}"],
    "a word doubled": lambda line: [indentation(line) + line.split(" ")[-1] + " " + line.lstrip()],
    "a mark in front": lambda line: [indentation(line) + "- " + line.lstrip()],
    "broken in two": lambda line: [line[: len(line) * 2 // 3], line[len(line) * 2 // 3 :]],
    "an anchor": lambda line: [line.replace(": ", ": &here ", 1)],
    "a letter that hides": lambda line: [line[:9] + "\u2028" + line[9:]],
}
DAMAGES = REMOVALS | GARBLINGS
SHIPPED = {name: path.read_text(encoding="utf-8") for name, path in library.shipped_procedures().items()}


def judge(lines: list[str], number: int, damage: str) -> None:
    """Check a file with one line damaged."""
    damaged = [*lines[:number], *DAMAGES[damage](lines[number]), *lines[number + 1 :]]
    module, findings = check_text("\n".join(damaged) + "\n", "valve.yaml")
    for finding in findings:
        assert finding.place.file == "valve.yaml"
        assert 1 <= finding.place.line <= len(damaged) + 1, (damage, number, finding)
        assert finding.place.column >= 1, (damage, number, finding)
        assert finding.what, (damage, number, finding)
        assert finding.mend, (damage, number, finding)
    if is_sound(findings):
        assert prepare(module).order.size == len(module.steps) > 0, (damage, number)


@pytest.mark.parametrize("damage", GARBLINGS)
def test_lines_of_the_small_valve(damage: str) -> None:
    lines = SMALL_VALVE.splitlines()
    for number in range(list(GARBLINGS).index(damage) % SMALL_STRIDE, len(lines), SMALL_STRIDE):
        judge(lines, number, damage)


def damages(name: str, lines: int) -> Iterator[tuple[int, str]]:
    """Lines to damage and how."""
    garblings, all_ways = list(GARBLINGS), list(DAMAGES)
    if EVERY_LINE and name == MAIN:
        for number in range(lines):
            ways = (*REMOVALS, garblings[number // 3 % len(garblings)])
            yield from ((number, damage) for damage in (ways if EVERY_WAY else (ways[number % 3],)))
    else:
        for turn, number in enumerate(range(0, lines, STRIDE)):
            yield number, all_ways[turn % len(all_ways)]


def judge_all(name: str, wanted: list[tuple[int, str]]) -> int:
    """Check a shipped file with each of these damages; return how many there were."""
    lines = SHIPPED[name].splitlines()
    for number, damage in wanted:
        judge(lines, number, damage)
    return len(wanted)


@pytest.mark.parametrize("name", SHIPPED)
def test_lines_of_what_is_shipped(name: str) -> None:
    wanted = list(damages(name, len(SHIPPED[name].splitlines())))
    if len(wanted) < 1000:
        assert judge_all(name, wanted) > 20
        return
    shares = os.cpu_count() or 1
    with ProcessPoolExecutor(shares, mp_context=get_context("spawn")) as workers:
        done = workers.map(judge_all, [name] * shares, [wanted[share::shares] for share in range(shares)])
        assert sum(done) == len(wanted)


@pytest.mark.parametrize("name", SHIPPED)
def test_files_that_end_too_early(name: str) -> None:
    text = SHIPPED[name]
    for part in range(1, 12):
        findings = check_text(text[: len(text) * part // 12], "valve.yaml")[1]
        assert not is_sound(findings)
