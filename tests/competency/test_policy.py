"""The owner's numbers: told, bounded, read back as they were written."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from trainer.competency import policy
from trainer.competency.policy import Policy, PolicyUnreadable


def test_every_number_is_told_and_its_default_lies_in_its_bounds() -> None:
    for number in policy.numbers():
        assert number.least <= number.default <= number.most
        assert number.meaning.endswith(".")
        assert number.source
        assert f"| `{number.name}` | {number.default}" in policy.reference_page()


def test_a_policy_is_read_back_as_it_was_written_without_floats() -> None:
    changed = Policy(critical_poor=Decimal("0.15"), clean_in_a_row=5)
    data = json.loads(json.dumps(changed.as_data()))
    assert data["critical_poor"] == "0.15"
    assert data["clean_in_a_row"] == 5
    assert not any(isinstance(value, float) for value in data.values())
    assert policy.read(data) == changed


def test_what_is_left_out_has_its_default() -> None:
    assert policy.read({}) == Policy()
    assert policy.read({"ordinary_good": "0.04"}) == Policy(ordinary_good=Decimal("0.04"))


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({"colour": "1"}, "there is no number 'colour'"),
        ({"critical_poor": "some"}, "'critical_poor' must be a number"),
        ({"critical_poor": "nan"}, "'critical_poor' must be a number"),
        ({"critical_poor": 0.2}, "'critical_poor' must be a number"),
        ({"critical_poor": None}, "'critical_poor' must be a number"),
        ({"clean_in_a_row": True}, "'clean_in_a_row' must be a number"),
        ({"critical_poor": "0.9"}, "'critical_poor' must lie between 0.02 and 0.5"),
        ({"clean_in_a_row": "2.5"}, "'clean_in_a_row' must be a whole number"),
        ({"clean_in_a_row": 0}, "'clean_in_a_row' must lie between 1 and 20"),
        (
            {"critical_good": "0.2", "critical_poor": "0.2"},
            "'critical_good' must be less than 'critical_poor'",
        ),
    ],
)
def test_what_is_no_policy_is_refused_in_one_sentence(data: dict[str, object], sentence: str) -> None:
    with pytest.raises(PolicyUnreadable) as told:
        policy.read(data)
    assert str(told.value) == f"The policy cannot be used: {sentence}."


def test_a_policy_kept_by_an_earlier_program_stays_readable() -> None:
    names = {number.name for number in policy.numbers()}
    assert names.isdisjoint(policy.RETIRED)
    for name in policy.RETIRED:
        assert policy.read({name: "0.3", "clean_in_a_row": 4}) == Policy(clean_in_a_row=4)


def test_the_numbers_of_a_class_are_those_of_its_fields() -> None:
    chosen = Policy(abnormal_observed=2).of("abnormal")
    assert (chosen.observed, chosen.good, chosen.longest_days) == (2, Decimal("0.02"), 92)
