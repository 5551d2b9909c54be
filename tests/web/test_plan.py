"""A plan of cover without script: ask, change, keep, assign, and what is refused stays in the form."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests import people
from tests.people import AMA, BEN, MIRA, SOL
from tests.web.visitor import words

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor

    Visit = Callable[..., Visitor]

PLAN = "/plan/" + people.CREW
ASKED = f"{PLAN}?ask_task=T-31&weeks=13&cover=1&refresher_weeks=2&new_weeks=8"


def _form(sheet_visitor: Visitor, **changed: object) -> dict[str, object]:
    token = str(sheet_visitor.sheet.one("main [name=csrf_token]")["value"])
    filled: dict[str, object] = {
        "csrf_token": token,
        "ask_task": ["T-31"],
        "weeks": "13",
        "cover": "",
        "refresher_weeks": "2",
        "new_weeks": "8",
        "person": [AMA.id, BEN.id, ""],
        "task": ["T-31", "T-31", ""],
        "means": ["new qualification", "refresher", "new qualification"],
        "line_weeks": ["0", "8", ""],
        "responsible": [MIRA.id, SOL.id, MIRA.id],
        "due": ["2027-04-05", "2027-06-01", ""],
    }
    return {**filled, **changed}


def test_the_least_is_proposed_as_lines(visit: Visit) -> None:
    sheet = visit(SOL).get(ASKED)
    assert "1 line and no fewer" in sheet.words()
    people_chosen = [str(o["value"]) for o in sheet.soup.select("select[name=person] option[selected]")]
    # Ama waits for her signature, so she is the quickest.
    assert people_chosen[0] == AMA.id
    assert str(sheet.soup.select("[name=line_weeks]")[0]["value"]) == "0"


def test_no_choice_is_enough_is_a_sentence_with_the_tasks(visit: Visit) -> None:
    sheet = visit(SOL).get(ASKED.replace("cover=1", "cover=3"))
    assert sheet.status == 422
    assert "In that time no choice of measures covers T-31" in sheet.said
    assert str(sheet.one("#f-cover")["value"]) == "3"


def test_what_is_no_number_is_told_and_stays(visit: Visit) -> None:
    sheet = visit(SOL).get(ASKED.replace("weeks=13", "weeks=soon", 1))
    assert (sheet.status, "not 'soon'" in sheet.said) == (422, True)
    assert str(sheet.one("#f-weeks")["value"]) == "soon"


def test_a_plan_is_kept_changed_and_assigned(visit: Visit) -> None:
    visitor = visit(SOL)
    visitor.get(PLAN)
    answer = visitor.client.post(PLAN, data=_form(visitor))
    assert (answer.status_code, answer.headers["Location"]) == (303, "/plans/1")
    sheet = visitor.get("/plans/1")
    assert "Kept as plan 1, version 1." in sheet.words()
    assert [words(row) for row in sheet.soup.select("main tbody th")] == [AMA.display_name, BEN.display_name]
    assert "a small invented valve, due 2027-04-02" in sheet.words().lower()
    visitor.get("/plans/1/change")
    out = _form(visitor, number="1", after="1", out=["1"])
    assert visitor.client.post(PLAN, data=out).status_code == 303
    assert [words(row) for row in visitor.get("/plans/1").soup.select("main tbody th")] == [AMA.display_name]
    assert len(visitor.get("/plans/1?version=1").soup.select("main tbody th")) == 2
    assert "version 2 is in force" in visitor.sheet.words()
    # Kept from the old version again: refused, and nothing typed is lost.
    visitor.get("/plans/1/change")
    answer = visitor.client.post(PLAN, data=_form(visitor, number="1", after="1"))
    assert answer.status_code == 422
    text = answer.get_data(as_text=True)
    assert "Sol Harrowgate kept version 2" in text
    assert 'name="after" value="2"' in text
    assert f'<option value="{BEN.id}" selected>' in text


def test_a_line_that_cannot_be_used_is_told_and_stays(visit: Visit) -> None:
    visitor = visit(SOL)
    visitor.get(PLAN)
    for changed, sentence in (
        ({"due": ["soon", "2027-06-01", ""]}, "Line 1: &#39;soon&#39; is not a day"),
        ({"line_weeks": ["x", "8", ""]}, "The weeks of line 1 must be a whole number"),
        ({"means": ["rest", "refresher", ""]}, "Line 1: choose a refresher or a new"),
    ):
        answer = visitor.client.post(PLAN, data=_form(visitor, **changed))
        assert answer.status_code == 422
        assert sentence in answer.get_data(as_text=True)
        assert f'<option value="{AMA.id}" selected>' in answer.get_data(as_text=True)
    assert visitor.get("/plans/1").status == 404


def test_a_line_is_assigned_by_one_button_and_a_mentor_reads_the_plan(visit: Visit) -> None:
    visitor = visit(SOL)
    visitor.get(PLAN)
    lines = _form(visitor, person=[MIRA.id], task=["T-31"], means=["new qualification"], line_weeks=["8"])
    assert visitor.client.post(PLAN, data=lines).status_code == 303
    mira = visit(MIRA)
    assert "Mira Tandleby" in mira.get("/plans/1").heading + mira.sheet.words()
    assert mira.get(PLAN).status == 403
    visitor.get("/plans/1")
    sheet = visitor.send("form[action='/plans/1/assign']")
    assert "Assigned." in sheet.words()
    assert sheet.soup.select("form[action='/plans/1/assign']") == []
    assert "/plans/1" in {str(a["href"]) for a in visitor.get("/cover/" + people.CREW).soup.select("a")}
