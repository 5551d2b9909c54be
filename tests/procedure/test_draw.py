"""Draws: unchanged for ever, and exactly uniform."""

from __future__ import annotations

from collections import Counter
from hashlib import sha256
from itertools import permutations
from math import factorial, perm
from typing import TYPE_CHECKING

import pytest

from trainer.procedure.draw import Draw, NothingToDraw

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


class Scripted(Draw):
    """Gives the numbers it was told, and notes out of how many each was drawn."""

    def __init__(self, script: tuple[int, ...]) -> None:
        super().__init__("")
        self.script = list(script)
        self.asked: list[int] = []

    def below(self, n: int) -> int:
        self.asked.append(n)
        return self.script.pop(0) if self.script else 0


class CountedBits(Draw):
    """Gives the numbers it was told as raw bits, before anything is dropped."""

    def __init__(self, script: list[int]) -> None:
        super().__init__("")
        self.script = script

    def bits(self, size: int) -> int:
        number = self.script.pop(0)
        assert number < 2**size
        return number


def every_outcome(use: Callable[[Draw], list[str]]) -> Iterator[tuple[list[str], int]]:
    """Yield every outcome with the number of equally likely ways that were open on its path."""
    scripts: list[tuple[int, ...]] = [()]
    while scripts:
        script = scripts.pop()
        draw = Scripted(script)
        outcome = use(draw)
        open_ways = 1
        for n in draw.asked:
            open_ways *= n
        yield outcome, open_ways
        for depth in range(len(script), len(draw.asked)):
            scripts += [(*script, *[0] * (depth - len(script)), k) for k in range(1, draw.asked[depth])]


# --- unchanged for ever: the numbers were written down when the stream was fixed; none may change ---


def test_the_stream_is_sha_256_in_counter_mode() -> None:
    key = sha256(b"order/17").digest()
    stream = b"".join(sha256(key + number.to_bytes(8, "big")).digest() for number in range(3))
    draw = Draw("order/17")
    assert b"".join(draw.bits(24).to_bytes(3, "big") for _ in range(32)) == stream


def test_the_values_of_a_seed_never_change() -> None:
    draw = Draw("main-valve/order/1")
    assert [draw.below(n) for n in (2, 6, 10, 100, 1000, 10**6)] == [0, 0, 6, 71, 172, 224989]
    assert draw.below(10**40) == 3_116_069_692_981_801_907_065_951_853_075_772_205_896
    assert draw.shuffled("abcdefgh") == list("faehcdgb")
    assert draw.sample(range(100), 5) == [28, 41, 74, 88, 94]
    assert [draw.choice("xyz") for _ in range(10)] == list("zxzyzzyxxy")


def test_a_seed_may_hold_any_text_and_every_letter_of_it_counts() -> None:
    assert Draw("Ø 35 N·m").bits(64) == 7_705_254_500_134_834_545
    assert len({Draw(seed).bits(64) for seed in ("", "a", "A", "a ", "ab")}) == 5


def test_equal_seeds_give_equal_streams_and_draws_do_not_touch_what_they_are_given() -> None:
    items = list("abcdef")
    assert Draw("s").shuffled(items) == Draw("s").shuffled(items)
    assert items == list("abcdef")


# --- exactly uniform ---


@pytest.mark.parametrize("n", [2, 3, 5, 6, 7, 8, 9, 16, 17, 100])
def test_below_meets_every_number_once_and_drops_the_rest(n: int) -> None:
    """Each pattern of bits is equally likely, so a draw is uniform if each number has exactly one pattern."""
    size = (n - 1).bit_length()
    met: Counter[int] = Counter()
    for pattern in range(2**size):
        draw = CountedBits([pattern, 0])
        met[draw.below(n)] += 1 if len(draw.script) == 1 else 0
    assert met == Counter(range(n))


def test_bits_of_a_byte_keep_the_high_ones() -> None:
    """Every byte is equally likely; its three high bits meet each of 0…7 for 32 of the 256."""
    draw, again = Draw("bits"), Draw("bits")
    assert [draw.bits(3) for _ in range(500)] == [again.bits(8) >> 5 for _ in range(500)]


def test_below_one_is_zero_and_takes_nothing_from_the_stream() -> None:
    draw, untouched = Draw("s"), Draw("s")
    assert draw.below(1) == 0
    assert draw.bits(64) == untouched.bits(64)


@pytest.mark.parametrize("size", [0, 1, 2, 3, 4, 5])
def test_a_shuffle_meets_every_order_once(size: int) -> None:
    items = "abcde"[:size]
    met = list(every_outcome(lambda draw: draw.shuffled(items)))
    assert Counter(tuple(outcome) for outcome, _ in met) == Counter(permutations(items))
    assert {ways for _, ways in met} == {factorial(size)}


@pytest.mark.parametrize(("size", "k"), [(5, 0), (5, 1), (5, 2), (5, 4), (5, 5), (4, 3)])
def test_a_sample_meets_every_ordered_choice_equally(size: int, k: int) -> None:
    items = "abcde"[:size]
    met = list(every_outcome(lambda draw: draw.sample(items, k)))
    assert Counter(tuple(outcome) for outcome, _ in met) == Counter(permutations(items, k))
    assert {ways for _, ways in met} == {perm(size, k)}


# --- nothing to draw from ---


def test_drawing_more_than_there_is_tells_so() -> None:
    with pytest.raises(NothingToDraw, match=r"Cannot draw 4 from 3\."):
        Draw("s").sample("abc", 4)
    with pytest.raises(NothingToDraw, match=r"Cannot draw 1 from 0\."):
        Draw("s").choice([])
    with pytest.raises(NothingToDraw):
        Draw("s").below(-3)
    with pytest.raises(NothingToDraw):
        Draw("s").sample("abc", -1)
