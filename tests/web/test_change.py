"""A revision that has to be shown anew, as the pages of each role: publish, read, release, sit, confirm, be asked about."""

from __future__ import annotations

from datetime import timedelta
from io import BytesIO
from typing import TYPE_CHECKING

from tests.people import AMA, CREW, INES, KIT, MIRA, SOL
from tests.web import scene
from trainer.actions import changes, publish
from trainer.actions.actor import SYSTEM

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Sheet, Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

REVISED = scene.SMALL_PILOT.replace("DN 80: 95 N·m", "DN 80: 110 N·m")
WHY = "The studs are longer since the spring (invented)."
DUE = (scene.NOW + timedelta(days=30)).date().isoformat()
CONFIRM = f"/people/{AMA.id}/change/{scene.PILOT}"


def _choose(visitor: Visitor, data: bytes, name: str = "small-pilot.yaml") -> Sheet:
    token = visitor.get("/publish").soup.select("[name=csrf_token]")[0]["value"]
    sent = {"csrf_token": token, "file": (BytesIO(data), name)}
    answer = visitor.client.post("/publish", data=sent, content_type="multipart/form-data")
    return visitor._see("/publish", answer)


def _published(db: Database) -> None:
    publish.publish(db, SYSTEM, REVISED, file="small-pilot.yaml", now=scene.NOW, must_show=True, because=WHY)


def _sat(db: Database) -> None:
    """Let Ama sit for the change, every answer right, until each class is decided."""
    at = scene.NOW + timedelta(hours=1)
    mira, ama = scene.enter(db, MIRA), scene.enter(db, AMA)
    while True:
        scene.sat_once(db, mira, ama, scene.PILOT, at=at, for_change=True)
        with db.reading() as unit:
            found = changes.of_module(unit, AMA.id, scene.PILOT)
        if found is None or found.shown:
            return
        at += timedelta(hours=1)


def test_the_keeper_publishes_and_decides(visit: Visit) -> None:
    kit = visit(KIT)
    assert kit.get("/modules").soup.select("a[href='/publish']")
    sheet = _choose(kit, REVISED.encode())
    sheet.must_be_sound()
    assert (
        sheet.heading == "Overhaul a small invented pilot: 1 person is qualified under an earlier revision."
    )
    said = sheet.words().replace("\u00a0", " ")
    assert AMA.display_name in said
    assert DUE in said
    assert "Torque" in said
    sheet = kit.send("form[action='/publish']", must_show="no", because=" ")
    assert sheet.status == 422
    assert sheet.said == "Write down why the change has to be shown anew, or why not."
    sheet = kit.send("form[action='/publish']", must_show="yes", because=WHY)
    assert "1 person has to show the change" in sheet.text
    again = _choose(kit, REVISED.encode())
    assert again.heading == "This very revision is in force already. Nothing to do."
    assert not again.soup.select("input[name=confirmed]")


def test_what_cannot_be_published_is_told_and_nothing_is_lost(visit: Visit) -> None:
    kit = visit(KIT)
    sheet = _choose(kit, REVISED.replace("covered_task: T-41", "covered_task: T-00").encode())
    assert sheet.status == 422
    assert "the checker finds" in sheet.said
    assert sheet.soup.select("#findings")
    assert "not written in UTF-8" in _choose(kit, b"\xff\xfe").said
    kit.get("/publish")
    assert "no file was chosen" in kit.post("/publish").said
    assert visit(MIRA).get("/publish").status == 403


def test_everybody_sees_what_is_to_be_shown_and_by_when(visit: Visit, db: Database) -> None:
    _published(db)
    ama = visit(AMA)
    assert f"to be shown by {DUE}" in ama.get("/sheet").words()
    assert WHY in ama.sheet.words()
    assert f"to be shown by {DUE}" in ama.get("/changes").words()
    assert f"to be shown by {DUE}" in ama.get(f"/changes/of/{scene.PILOT}").words()
    mira = visit(MIRA)
    assert "Release for the change" in mira.get(f"/people/{AMA.id}").words()
    for path in ("/crew", f"/crew/{CREW}"):
        sheet = visit(SOL).get(path)
        sheet.must_be_sound()
        assert sheet.soup.select("#changes-due"), path
    ines = visit(INES).get("/qualified?task=T-41&day=2027-03-22")
    assert f"to be shown by {DUE}: not shown yet" in ines.words()


def test_the_mentor_releases_for_the_change_alone(visit: Visit, db: Database) -> None:
    _published(db)
    mira = visit(MIRA)
    sheet = mira.get(f"/people/{AMA.id}/release/{scene.PILOT}")
    sheet.must_be_sound()
    form = "form:has(input[name=about])"
    sheet = mira.send(form, because=" ")
    assert sheet.status == 422
    assert "Write down why" in sheet.said
    sheet = mira.send(form, because="She has read it.")
    assert "has not begun yet" in sheet.heading
    assert "a sitting is released or under way" in visit(SOL).get("/crew").words()
    assert "released, not begun" in visit(AMA).get("/sheet").words()


def test_the_supervisor_confirms_with_the_password(visit: Visit, db: Database) -> None:
    _published(db)
    sol = visit(SOL)
    assert "a pass in each class" in sol.get(CONFIRM).words()
    assert not sol.sheet.soup.select("form[action$=small-pilot]")
    _sat(db)
    assert sol.get("/sign-off").soup.select("#changes-shown")
    sheet = sol.get(CONFIRM)
    sheet.must_be_sound()
    assert sheet.soup.select("main a[href^='/sitting/']")
    sheet = sol.send(f"form[action='{CONFIRM}']", password="wrong")
    assert sheet.status == 401
    assert "The password is not right" in sheet.said
    sheet = sol.send(f"form[action='{CONFIRM}']", password=SOL.password)
    assert "Change shown and confirmed" in sheet.words()
    assert sol.get(CONFIRM).status == 404
    assert not sol.get("/sign-off").soup.select("#changes-shown")
    assert "Shown, and confirmed by a supervisor." in visit(AMA).get("/changes").words()
    ines = visit(INES).get("/qualified?task=T-41&day=2027-03-22")
    assert "shown and confirmed on 2027-03-22" in ines.words()
    assert visit(MIRA).get(CONFIRM).status == 403
