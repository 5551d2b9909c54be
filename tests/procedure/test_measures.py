"""Lengths of a drawing: what can be written, what it comes to at a size, and what is refused."""

from __future__ import annotations

import pytest

from trainer.procedure.measures import parse

KNOWN = {"bore": 80.0, "stud": 16.0}


@pytest.mark.parametrize(
    ("text", "at_one", "at_half"),
    [
        ("12", 12, 6),
        ("-3.5", -3.5, -1.75),
        ("bore", 80, 80),
        ("bore / 2", 40, 40),
        ("bore/2 + 3", 43, 41.5),
        ("2 * bore - 10", 150, 155),
        ("(bore + stud) / 2", 48, 48),
        ("-bore / 2", -40, -40),
        ("3 * 4", 12, 6),
        ("bore - stud / 2 - 1", 71, 71.5),
        ("1.5 * (bore - 4)", 114, 117),
    ],
)
def test_figures_are_scaled_and_factors_are_not(text: str, at_one: float, at_half: float) -> None:
    measure = parse(text)
    assert measure is not None
    assert measure.at(KNOWN, 1.0) == pytest.approx(at_one)
    assert measure.at(KNOWN, 0.5) == pytest.approx(at_half)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "mm",
        "12 mm",
        "bore / 0",
        "bore / stud",
        "bore * stud",
        "1 +",
        "(1",
        "1)",
        "1e5",
        "Bore",
        "12,5",
        "9" * 90,
        "1000000",
    ],
)
def test_what_is_no_length_is_refused(text: str) -> None:
    measure = parse(text)
    # A word alone is a name; whether it is defined is told elsewhere.
    assert measure is None or text == "mm"


def test_deep_brackets_do_not_break_the_reader() -> None:
    assert parse("(" * 80) is None


def test_a_dimension_that_is_not_given_is_an_error_of_the_caller() -> None:
    measure = parse("seat + 1")
    assert measure is not None
    assert list(measure.names()) == ["seat"]
    with pytest.raises(KeyError):
        measure.at(KNOWN, 1.0)
