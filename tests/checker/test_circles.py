"""A shortest circle out of each knot."""

from __future__ import annotations

from trainer.checker.circles import circles


def test_no_circle_is_told_where_there_is_none() -> None:
    assert list(circles({"a": ["b", "c"], "b": ["c"], "c": []})) == []


def test_a_name_that_follows_itself_is_a_circle_of_one() -> None:
    assert list(circles({"a": ["a", "b"], "b": []})) == [("a",)]


def test_the_shortest_circle_of_a_knot_is_told_in_its_order() -> None:
    # a → b → c → d → a is the long way round; c → d → c the short one.
    assert list(circles({"a": ["b"], "b": ["c"], "c": ["d"], "d": ["a", "c"]})) == [("c", "d")]


def test_each_knot_is_told_and_told_once() -> None:
    knots = {"a": ["b"], "b": ["a", "c"], "c": ["d"], "d": ["e"], "e": ["c"]}
    assert list(circles(knots)) == [("a", "b"), ("c", "d", "e")]


def test_names_that_stand_only_on_the_right_are_no_trouble() -> None:
    assert list(circles({"a": ["unknown"]})) == []
