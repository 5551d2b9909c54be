"""Cross patterns: the printed lists, the rule they share, and what is said when it is broken."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.trade.bolt_pattern import NoCrossPattern, cross, first_fault, is_cross

# ASME PCC-1 Legacy (cross/star) pattern, bolts numbered clockwise from 12 o'clock, as transcribed in public
# sources (secondary; copies may share an origin; the table number in the standard is not confirmed).
PRINTED = {
    "seq-legacy-4": [1, 3, 2, 4],
    "seq-legacy-8": [1, 5, 3, 7, 2, 6, 4, 8],
    "seq-legacy-12": [1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12],
    "16 bolts": [1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16],
    "seq-legacy-20": [1, 11, 6, 16, 3, 13, 8, 18, 5, 15, 10, 20, 2, 12, 7, 17, 4, 14, 9, 19],
    "seq-legacy-24": [
        *(1, 13, 7, 19, 4, 16, 10, 22, 2, 14, 8, 20),
        *(5, 17, 11, 23, 3, 15, 9, 21, 6, 18, 12, 24),
    ],
}
# The other list in print for 20 bolts, one public copy against three.
DISSENT_20 = [1, 11, 6, 16, 3, 13, 8, 18, 2, 12, 7, 17, 4, 14, 9, 19, 5, 15, 10, 20]

EVEN = range(4, 25, 2)


@pytest.mark.parametrize("order", PRINTED.values(), ids=PRINTED)
def test_printed_lists(order: list[int]) -> None:
    assert list(cross(len(order))) == order


@pytest.mark.parametrize(
    "order",
    [
        pytest.param(PRINTED["seq-legacy-4"], id="seq-invariant-4"),
        pytest.param(PRINTED["seq-legacy-20"], id="seq-invariant-20"),
        pytest.param(PRINTED["seq-legacy-24"], id="seq-invariant-24"),
        pytest.param(DISSENT_20, id="20 bolts, the other list"),
    ],
)
def test_each_once_then_opposite_then_square(order: list[int]) -> None:
    # Source: structure of the printed lists: each bolt once; odd and even pairs opposite (n/2); second pair of
    # each four at 90° (n/4). Checked here by hand and by the module.
    n = len(order)
    assert sorted(order) == list(range(1, n + 1))
    for first, second, third, fourth in zip(*[iter(order)] * 4, strict=True):
        assert (second - first) % n == n // 2
        assert (fourth - third) % n == n // 2
        assert (third - first) % n in (n // 4, n - n // 4)
    assert is_cross(order, n)


@pytest.mark.parametrize("n", EVEN)
def test_every_even_number_has_a_pattern_that_passes_its_own_rule(n: int) -> None:
    order = cross(n)
    assert order[0] == 1
    assert sorted(order) == list(range(1, n + 1))
    assert first_fault(order, n) is None


@pytest.mark.parametrize("n", [6, 10, 14, 18, 22])
def test_where_no_bolt_lies_at_90_degrees_pairs_come_as_near_as_the_holes_allow(n: int) -> None:
    order = cross(n)
    for first, later in zip(order[::2], order[2::2], strict=False):
        angle = 360 * ((later - first) % n) / n % 180
        assert abs(angle - 90) == pytest.approx(180 / n)


@given(st.sampled_from(EVEN), st.integers(0, 23), st.booleans())
def test_any_first_bolt_and_either_way_round_is_right(n: int, turn: int, mirrored: bool) -> None:
    order = [((-bolt if mirrored else bolt) + turn) % n + 1 for bolt in cross(n)]
    assert is_cross(order, n)


@given(st.data(), st.sampled_from(EVEN))
def test_verdict_and_rule_agree_on_any_order(data: st.DataObject, n: int) -> None:
    order = data.draw(st.permutations(range(1, n + 1)))
    pairs = [(order[i], order[i + 1]) for i in range(0, n, 2)]
    opposite = all((b - a) % n == n // 2 for a, b in pairs)
    if n % 4 == 0:
        square = all(4 * ((order[i + 2] - order[i]) % n) in (n, 3 * n) for i in range(0, n, 4))
    else:
        # 90° is half a hole off for every bolt: (n/4 ± 1/2) holes.
        square = all(abs(4 * ((b - a) % (n // 2)) - n) == 2 for (a, _), (b, _) in pairwise(pairs))
    assert is_cross(order, n) == (opposite and square)


@pytest.mark.parametrize(
    ("order", "n", "position", "bolt", "words"),
    [
        (
            [1, 2, 3, 4, 5, 6, 7, 8],
            8,
            2,
            2,
            "After bolt 1 comes the bolt opposite, 5; bolt 2 lies 45° from it",
        ),
        ([1, 5, 2, 6, 3, 7, 4, 8], 8, 3, 2, "at 90° to it, with bolt 3 or 7; bolt 2 lies only 45° round"),
        ([1, 6, 2, 7, 3, 8, 4, 9, 5, 10], 10, 3, 2, "about 90° to it, with bolt 3 or 4 or 8 or 9"),
        ([1, 5, 3, 7, 2, 6, 4, 4], 8, 8, 4, "Bolt 4 comes a second time: it was tightened as number 7"),
        ([1, 5, 3, 9], 8, 4, 9, "There is no bolt 9: the bolts are numbered 1 to 8"),
        ([1, 3, 2], 4, 4, 4, "Bolt 4 is left out"),
        ([1, 5, 3, 7], 8, 5, 2, "Bolts 2, 4, 6 and 8 are left out"),
        ([], 4, 1, 1, "Bolts 1, 2, 3 and 4 are left out"),
        ([1, 3, 2, 4, 1], 4, 5, 1, "Bolt 1 comes a second time"),
    ],
)
def test_first_fault_says_where_and_why(
    order: list[int], n: int, position: int, bolt: int, words: str
) -> None:
    fault = first_fault(order, n)
    assert fault is not None
    assert (fault.position, fault.bolt) == (position, bolt)
    assert words in fault.sentence
    assert fault.sentence.endswith(".")


@pytest.mark.parametrize("n", [-4, 0, 1, 2, 3, 5, 7, 23, 26, 28])
def test_no_cross_pattern_for_these(n: int) -> None:
    with pytest.raises(NoCrossPattern, match=f"even number of bolts from 4 to 24, not {n}"):
        cross(n)
    with pytest.raises(NoCrossPattern):
        first_fault([], n)
