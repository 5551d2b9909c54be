"""The life of a qualification after its signature, and who was qualified on a day, as forms and sheets."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.people import AMA, CREW, INES, MIRA, SOL
from tests.web import scene
from trainer.actions import publish
from trainer.actions.actor import SYSTEM

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

STORY = f"/people/{AMA.id}/task/T-41"
REASON = "Gas was let into an open body; the line-up was hers."


def _suspend(sol: Visitor, **changed: str) -> None:
    sol.get(STORY)
    sol.send(
        "form[action$=suspend]",
        **(
            {"cause": "incident", "from_day": "2027-03-22", "reason": REASON, "password": SOL.password}
            | changed
        ),
    )


def test_a_supervisor_suspends_and_every_sheet_says_so(visit: Visit) -> None:
    sol = visit(SOL)
    _suspend(sol)
    assert sol.sheet.status == 200
    assert "Suspended from 2027-03-22" in sol.sheet.text
    assert REASON in sol.sheet.text
    assert 'href="#hatch-X"' in sol.get(f"/crew/{CREW}").text
    ama = visit(AMA).get("/record")
    assert "suspended" in ama.words()


def test_what_was_typed_stays_when_something_is_missing(visit: Visit) -> None:
    sol = visit(SOL)
    _suspend(sol, password="wrong")
    assert sol.sheet.status == 401
    assert "The password is not right" in sol.sheet.text
    assert REASON in sol.sheet.text
    _suspend(sol, from_day="22 March")
    assert sol.sheet.status == 422
    assert "is not a day" in sol.sheet.said
    _suspend(sol, cause="dislike")
    assert sol.sheet.status == 422
    assert "Suspended from" not in visit(MIRA).get(STORY).words()


def test_the_one_who_suspended_is_told_that_another_lifts(visit: Visit) -> None:
    sol = visit(SOL)
    _suspend(sol)
    assert "Only another supervisor lifts" in sol.get(STORY).text


def test_withdrawing_and_stopping_end_it_with_their_reason(visit: Visit) -> None:
    sol = visit(SOL)
    sol.get(STORY)
    sol.send("form[action$=withdraw]", reason="At her wish.", password=SOL.password)
    assert "At her wish." in sol.sheet.text
    sol.get(STORY)
    sol.send("form[action$=stop]", reason="Moved to the workshop.", password=SOL.password)
    assert "until 2032-03-22 at least" in sol.sheet.text


def test_mentor_and_inspector_read_the_story_and_change_nothing(visit: Visit) -> None:
    for who in (MIRA, INES):
        sheet = visit(who).get(STORY)
        assert sheet.status == 200
        assert sheet.soup.select("main form") == []
        assert "Qualified" in sheet.words()


def test_an_inspector_asks_who_was_qualified(visit: Visit) -> None:
    ines = visit(INES)
    assert ines.get("/qualified").status == 200
    today = ines.get("/qualified?task=T-41&day=2027-03-22")
    assert today.heading == "1 person qualified for T-41 on 2027-03-22."
    assert "QR-2027-0001" in today.text
    assert today.soup.select("main a[href*='/sittings/'], main a[href*='/sitting/']")
    before = ines.get("/qualified?task=T-41&day=2027-03-21")
    assert before.heading == "Nobody was qualified for T-41 on 2027-03-21."
    ahead = ines.get("/qualified?task=T-41&day=2028-01-01")
    assert ahead.status == 422
    assert "still to come" in ahead.text
    assert ines.get("/qualified?task=T-41&day=soon").status == 422
    assert ines.get("/qualified?task=T-00&day=2027-03-22").status == 404


def test_whoever_is_signed_off_reads_what_a_revision_changes(visit: Visit, db: Database) -> None:
    ama = visit(AMA)
    assert ama.get("/changes").heading == "Every revision is read."
    text = scene.SMALL_PILOT.replace("DN 80: 95 N·m", "DN 80: 110 N·m")
    publish.publish(db, SYSTEM, text, file="small-pilot.yaml", now=scene.NOW)
    assert ama.get("/changes").heading == "1 revision to be read."
    sheet = ama.get(f"/changes/of/{scene.PILOT}")
    assert "DN 80 110" in sheet.words().replace("\u00a0", " ").replace("\u202f", " ")
    ama.send("form[action$=small-pilot]")
    assert ama.sheet.heading == "Every revision is read."
    assert AMA.display_name in visit(SOL).get("/changes/everybody").text
    assert visit(MIRA).get("/changes/everybody").status == 403
