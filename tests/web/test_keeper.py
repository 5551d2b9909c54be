"""What the keeper of the register does: add, give a password, retire."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.people import AMA, BEN, KIT, SOL
from tests.web import scene

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor

    Visit = Callable[..., Visitor]


def test_a_person_is_added_and_can_sign_in(visit: Visit) -> None:
    visitor = visit(KIT)
    proposed = str(visitor.get("/register").one("[name=password]")["value"])
    sheet = visitor.send(
        "main form", name="Dora Pellmark", sign_in_name="dora", roles=["technician"], crew="Sedge Lane"
    )
    assert "Dora Pellmark is in the register as P-0008." in sheet.words()
    fresh = visit()
    assert fresh.send("main form", name="dora", password=proposed).path == "/account"


def test_what_was_typed_stays_when_a_name_is_taken(visit: Visit) -> None:
    visitor = visit(KIT)
    visitor.get("/register")
    sheet = visitor.send(
        "main form", name="Ben the Second", sign_in_name="ben", roles=["technician"], grade="I"
    )
    assert sheet.status == 422
    assert "'ben' is taken" in sheet.said
    assert sheet.one("[name=name]")["value"] == "Ben the Second"
    assert [tag["value"] for tag in sheet.soup.select("[name=roles][checked]")] == ["technician"]


def test_a_person_without_a_role_is_refused(visit: Visit) -> None:
    visitor = visit(KIT)
    visitor.get("/register")
    sheet = visitor.send("main form", name="Dora Pellmark", sign_in_name="dora")
    assert sheet.said == "A person needs at least one role."


def test_a_new_password_ends_the_open_sessions(visit: Visit) -> None:
    ben = visit(BEN)
    keeper = visit(KIT)
    keeper.get("/register/" + BEN.id)
    keeper.send("form[action$='/password']", password="a password made up here")
    assert ben.get("/sheet").path == "/sign-in"
    assert ben.send("main form", name="ben", password="a password made up here").path == "/account"


def test_a_retired_person_cannot_sign_in(visit: Visit) -> None:
    keeper = visit(KIT)
    keeper.get("/register/" + BEN.id)
    sheet = keeper.send("form[action$='/retire']")
    assert "Ben Oakshott is retired." in sheet.words()
    assert visit().send("main form", name="ben", password=BEN.password).status == 401


def test_nobody_is_offered_to_retire_themselves(visit: Visit) -> None:
    sheet = visit(KIT).get("/register/" + KIT.id)
    assert sheet.soup.select("form[action$='/retire']") == []
    assert visit(KIT).post(f"/register/{KIT.id}/retire").status == 403


def test_the_keeper_takes_the_questions_of_a_procedure_along(visit: Visit) -> None:
    visitor = visit(KIT)
    visitor.get(f"/modules/{scene.VALVE}")
    answer = visitor.send_get("form[action$='/questions']", kinds="order", size="DN 50", seeds="2-3").response
    assert answer.content_type == "application/json"
    assert answer.headers["Content-Disposition"].startswith("attachment; filename=question-bank-small-valve")
    assert [asked["seed"] for asked in answer.get_json()["questions"]] == [2, 3]
    visitor.get(f"/modules/{scene.VALVE}")
    wrong = visitor.send_get("form[action$='/questions']", seeds="all")
    assert wrong.status == 422
    assert "'all' are no seeds" in wrong.words()


def test_nobody_else_is_offered_the_keys(visit: Visit) -> None:
    for who in (SOL, AMA):
        visitor = visit(who)
        assert not visitor.get(f"/modules/{scene.VALVE}").soup.select("form[action$='/questions']")
        assert visitor.get(f"/modules/{scene.VALVE}/questions").status == 403
        assert visitor.get(f"/print/question_bank/{scene.VALVE}").status == 403
