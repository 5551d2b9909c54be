"""Responses against patterns of right ones, by the published examples; and success held against both."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tests.exports.test_activity_shape import RIGHT
from tests.records.published import Published, values
from trainer.exports.activity import shape
from trainer.exports.activity.response import is_right


@pytest.mark.parametrize("value", values("xapi_response_match"), ids=lambda v: v.id)
def test_published_responses(value: Published) -> None:
    given = value.given
    assert is_right(given["type"], given["patterns"], given["response"]) is value.expected


@pytest.mark.parametrize(
    ("kind", "pattern", "response", "right"),
    [
        # Part Two, 2.4.4.1 and Appendix C: prefixes of a text, and steps of a performance; the last values are our own.
        ("fill-in", "{case_matters=true}{lang=en}Viton", "Viton", True),
        ("fill-in", "{order_matters=false}seal[,]spring", "spring[,]seal", True),
        ("fill-in", "seal[,]spring", "spring[,]seal", False),
        ("long-fill-in", "It is vented.", "{lang=en}it is vented.", True),
        ("performance", "pong[.]1:[,]dg[.]:10[,]lunch[.]", "pong[.]1:[,]dg[.]:10[,]lunch[.]3", True),
        ("performance", "nuts[.]35[:]40[,]cover[.]", "nuts[.]36[,]cover[.]up", True),
        ("performance", "nuts[.]35[:]40[,]cover[.]", "nuts[.]41[,]cover[.]up", False),
        ("performance", "{order_matters=false}nuts[.]1[,]cover[.]2", "cover[.]2[,]nuts[.]1", True),
        ("performance", "nuts[.]1", "nuts[.]1[,]cover[.]2", False),
        ("numeric", "4[:]", "four", False),
        ("likert", "likert_3", "likert_3", True),
        ("other", "(35.9,-86.3)", "(35.9,-86.4)", False),
    ],
)
def test_other_types(kind: str, pattern: str, response: str, right: bool) -> None:
    assert is_right(kind, [pattern], response) is right


def _statement(response: str, *, success: object) -> dict[str, Any]:
    statement = copy.deepcopy(RIGHT)
    statement["result"] |= {"response": response, "success": success}
    return statement


def test_success_that_contradicts_its_own_pattern_is_told() -> None:
    (pattern,) = RIGHT["object"]["definition"]["correctResponsesPattern"]
    assert shape.faults(_statement(pattern, success=True)) == ()
    (fault,) = shape.faults(_statement(pattern, success=False))
    assert fault == "The response is among the right ones, and 'success' says otherwise."
    (fault,) = shape.faults(_statement("lift-diaphragm", success=True))
    assert fault == "The response is not among the right ones, and 'success' says otherwise."


def test_without_a_list_of_right_responses_success_stands_by_itself() -> None:
    for success in (True, False):
        statement = _statement("depressurise", success=success)
        del statement["object"]["definition"]["correctResponsesPattern"]
        assert shape.faults(statement) == ()
