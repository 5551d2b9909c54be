"""What a mentor does: see people, assign, see where it goes wrong, record an evaluation."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.people import AMA, BEN, MIRA
from tests.web import scene

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor

    Visit = Callable[..., Visitor]

EVALUATE = f"/people/{BEN.id}/evaluate/{scene.VALVE}"


def test_people_are_those_of_the_own_crew(visit: Visit) -> None:
    text = visit(MIRA).get("/people").words()
    assert "Ben Oakshott" in text
    assert "Cleo Marlpit" not in text


def test_a_module_is_assigned_with_a_due_date(visit: Visit) -> None:
    visitor = visit(MIRA)
    visitor.get("/people/" + BEN.id)
    sheet = visitor.send("form#assign", module_id=scene.PILOT, due="2027-05-03")
    assert "Assigned." in sheet.words()
    own = visit(BEN).get("/sheet")
    assert "2027-05-03" in own.words()
    assert "in 2 modules" in own.heading


def test_a_due_date_that_is_none_comes_back_with_a_sentence(visit: Visit) -> None:
    visitor = visit(MIRA)
    visitor.get("/people/" + BEN.id)
    sheet = visitor.send("form#assign", module_id=scene.PILOT, due="next week")
    assert sheet.status == 422
    assert "'next week' is not a day" in sheet.said
    assert sheet.one("form#assign [name=due]")["value"] == "next week"


def test_a_module_is_taken_off_the_sheet(visit: Visit) -> None:
    visitor = visit(MIRA)
    visitor.get("/people/" + BEN.id)
    visitor.send(f"form[action='/people/{BEN.id}/withdraw']")
    assert "Nothing is assigned to you yet" in visit(BEN).get("/sheet").heading


def test_the_person_sheet_says_where_it_goes_wrong(visit: Visit) -> None:
    sheet = visit(MIRA).get("/people/" + BEN.id)
    assert "Where it goes wrong" in sheet.words()
    attempt = sheet.soup.select("a[href^='/marked/']")[-1]
    assert visit(MIRA).get(str(attempt["href"])).status == 200


def filled(**changed: object) -> dict[str, object]:
    """Return an evaluation filled in, or changed as told."""
    return {
        "evaluated_on": "2027-03-19",
        "methods": ["oral", "simulation"],
        "aoc_passed": "yes",
        "passed": "yes",
        "note": "On the bench valve, unaided.",
        "password": MIRA.password,
    } | changed


def test_an_evaluation_is_recorded_and_the_session_gets_a_new_token(visit: Visit) -> None:
    visitor = visit(MIRA)
    conditions = [str(tag["value"]) for tag in visitor.get(EVALUATE).soup.select("[name=aoc_discussed]")]
    before = visitor.client.get_cookie("trainer")
    sheet = visitor.send("main form", **filled(aoc_discussed=conditions))  # type: ignore[arg-type]
    assert "The evaluation is recorded under your name." in sheet.words()
    assert "On the bench valve, unaided." in sheet.words()
    after = visitor.client.get_cookie("trainer")
    assert before is not None
    assert after is not None
    assert before.value != after.value
    visitor.client.set_cookie("trainer", before.value)
    assert visitor.get("/people").path == "/sign-in"


def test_what_was_typed_stays_when_the_password_is_wrong(visit: Visit) -> None:
    visitor = visit(MIRA)
    conditions = [str(tag["value"]) for tag in visitor.get(EVALUATE).soup.select("[name=aoc_discussed]")]
    sheet = visitor.send("main form", **filled(password="no", aoc_discussed=conditions))  # type: ignore[arg-type]
    assert sheet.status == 401
    assert "password" in sheet.said
    assert sheet.one("textarea").get_text() == "On the bench valve, unaided."
    assert [tag["value"] for tag in sheet.soup.select("[name=methods][checked]")] == ["oral", "simulation"]
    assert len(sheet.soup.select("[name=aoc_discussed][checked]")) == len(conditions)


def test_a_question_left_open_is_asked_for(visit: Visit) -> None:
    visitor = visit(MIRA)
    visitor.get(EVALUATE)
    sheet = visitor.send("main form", **filled(passed=""))  # type: ignore[arg-type]
    assert sheet.status == 422
    assert sheet.said.endswith("Say whether the work was right.")


def test_nobody_is_offered_to_evaluate_themselves(visit: Visit) -> None:
    sheet = visit(MIRA).get("/people/" + MIRA.id)
    assert "Record an evaluation" not in sheet.words()
    assert "Record an evaluation" in visit(MIRA).get("/people/" + AMA.id).words()


def test_the_mentor_sees_when_each_shown_skill_is_due_again(visit: Visit) -> None:
    sheet = visit(MIRA).get("/people/" + AMA.id)
    table = sheet.soup.select("table.skills")[0]
    heads = [head.get_text() for head in table.select("thead th")]
    column = heads.index("Due again")
    days = [row.select("th, td")[column].get_text() for row in table.select("tbody tr")]
    # Shown on 2027-03-10; critical skills are due from 32 days later.
    assert min(days) >= "2027-04-11"
    ben = visit(MIRA).get("/people/" + BEN.id).soup.select("table.skills")[0]
    assert {row.select("th, td")[column].get_text() for row in ben.select("tbody tr")} == {"–"}
