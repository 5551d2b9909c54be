from __future__ import annotations

import pytest

from trainer.records import canonical


def test_equal_values_are_equal_bytes() -> None:
    assert canonical.written({"b": 1, "a": [True, None, "µ"]}) == '{"a":[true,null,"µ"],"b":1}'
    assert canonical.written({"a": [True, None, "µ"], "b": 1}) == '{"a":[true,null,"µ"],"b":1}'


def test_what_was_written_is_read_back() -> None:
    value = {"list": [1, {"deep": "N·m"}], "text": 'a "quoted" line\nand another', "none": None}
    assert canonical.read(canonical.written(value)) == value


@pytest.mark.parametrize("value", [1.0, {"credit": 0.5}, [{"deep": [2.0]}], (3.0,)])
def test_a_float_is_refused_wherever_it_hides(value: object) -> None:
    with pytest.raises(ValueError, match="no floats"):
        canonical.written(value)


def test_a_whole_number_that_others_would_round_is_refused() -> None:
    # RFC 8785, 3.1: numbers are those of IEEE 754 double precision, exact for whole numbers up to 2^53 - 1.
    assert canonical.written(2**53 - 1) == "9007199254740991"
    with pytest.raises(ValueError, match="9007199254740993"):
        canonical.written(2**53 + 1)
