"""The page of the programme's numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.people import AMA, INES, KIT
from trainer.competency.policy import numbers

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.people import Someone
    from tests.web.visitor import Visitor

    Visit = Callable[..., Visitor]


@pytest.mark.parametrize("who", [AMA, INES, KIT], ids=lambda who: who.sign_in_name)
def test_every_number_stands_there_with_meaning_bounds_and_source(visit: Visit, who: Someone) -> None:
    sheet = visit(who).get("/policy")
    sheet.must_be_sound()
    text = sheet.words()
    for number in numbers():
        assert number.meaning in text
        assert f"{number.least} to {number.most}" in text
        assert number.source[1:] in text
    assert bool(sheet.soup.select("form[action='/policy']")) is (who is KIT)


def test_the_keeper_changes_a_number_and_it_is_told_as_set_here(visit: Visit) -> None:
    visitor = visit(KIT)
    visitor.get("/policy")
    sheet = visitor.send(
        "form[action='/policy']",
        **{"number.critical_false_pass": "0.02", "because": "Stricter from today.", "password": KIT.password},
    )
    assert sheet.status == 200
    assert "The new numbers are in force." in sheet.text
    assert sheet.one("[name='number.critical_false_pass']")["value"] == "0.02"
    assert "Stricter from today." in sheet.words()
    assert sheet.text.count("set here") == 1
    first = sheet.soup.select("section table a")[-1]["href"]
    before = visitor.get(str(first))
    assert "in force before" in before.heading
    assert before.soup.select("form[action='/policy']") == []


def test_a_wrong_number_is_told_at_its_field_and_nothing_typed_is_lost(visit: Visit) -> None:
    visitor = visit(KIT)
    visitor.get("/policy")
    sheet = visitor.send(
        "form[action='/policy']",
        **{
            "number.critical_false_pass": "0.9",
            "number.exposure": "5",
            "because": "Because.",
            "password": KIT.password,
        },
    )
    assert sheet.status == 422
    field = sheet.one("[name='number.critical_false_pass']")
    assert (field["value"], field["aria-invalid"]) == ("0.9", "true")
    assert "between 0.001 and 0.2" in sheet.words(f"#{field['aria-describedby']}")
    assert sheet.one("[name='number.exposure']")["value"] == "5"
    assert "Because." in sheet.one("textarea").get_text()
    sheet.must_be_sound()


def test_what_refreshers_say_is_for_who_sets_numbers_or_looks_after_people(visit: Visit) -> None:
    sheet = visit(KIT).get("/policy")
    sheet = visit(KIT).get(str(sheet.one("a[href='/policy/pace']")["href"]))
    assert sheet.heading == "No refreshers so far."
    assert "The half-life in force is 198 days" in sheet.words()
    assert visit(AMA).get("/policy").soup.select("a[href='/policy/pace']") == []
    assert visit(AMA).get("/policy/pace").status == 403
