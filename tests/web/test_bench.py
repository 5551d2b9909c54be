"""At the bench without script, and what a device without a connection hands in later."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from tests.people import AMA, BEN, KIT, MIRA, SOL
from tests.web import scene
from trainer.actions import bench, life, observe, people
from trainer.records.observation import StepMark
from trainer.records.suspension import Cause
from trainer.web.bench.entries import MarksUnreadable, from_device

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

FORM = "form.bench"


def marked(db: Database, number: int = 1) -> dict[str, StepMark]:
    view = bench.observation(db, scene.enter(db, MIRA), number)
    return {item.step: item.mark for item in view.seen if item.mark}


def test_an_observation_begins_on_the_sheet_of_the_person(visit: Visit) -> None:
    visitor = visit(MIRA)
    link = f"/people/{BEN.id}/observe/{scene.VALVE}"
    assert visitor.get("/people/" + BEN.id).one(f"a[href='{link}']")
    visitor.get(link)
    sheet = visitor.send(f"form[action='{link}']")
    assert sheet.status == 422
    assert "which size is on the bench" in sheet.said
    sheet = visitor.send(f"form[action='{link}']", size="DN 100")
    assert "Ben Oakshott: Overhaul a small invented valve, DN 100" in sheet.heading.replace("\xa0", " ")
    again = visitor.get(link)
    ticket = again.one("[name=ticket]")["value"]
    path = visitor.send(f"form[action='{link}']", size="DN 50").path
    assert visitor.post(link, size="DN 50", ticket=str(ticket)).path == path


def test_who_has_no_right_to_evaluate_is_told_before_they_begin(visit: Visit) -> None:
    sheet = visit(SOL).get(f"/people/{BEN.id}/observe/{scene.VALVE}")
    assert "must be qualified for it that day" in sheet.said
    assert not sheet.soup.select(".main-button")


def test_one_press_marks_a_step_and_the_same_one_takes_it_back(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    visitor.get("/bench/1")
    visitor.send(FORM, press="relax unaided")
    assert marked(db)["relax"] is StepMark.UNAIDED
    pressed = visitor.sheet.one("#step-relax [aria-pressed=true]")
    assert pressed.get_text(strip=True) == "Unaided"
    visitor.send(FORM, press="relax word", note__relax="told where to stand")
    assert marked(db)["relax"] is StepMark.WORD
    assert visitor.sheet.one("#note-relax").get_text() == "told where to stand"
    visitor.send(FORM, press="relax word")
    assert "relax" not in marked(db)
    assert visitor.sheet.one("#note-relax").get_text() == "told where to stand"


def test_a_note_written_beside_another_step_is_not_lost(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    visitor.get("/bench/1")
    visitor.send(FORM, press="cap unaided", note__shut="both ends, unprompted")
    assert visitor.sheet.one("#note-shut").get_text() == "both ends, unprompted"
    visitor.send(FORM, press="vent note", note__vent="waited a minute")
    assert visitor.sheet.one("#note-vent").get_text() == "waited a minute"
    assert marked(db)["vent"] is StepMark.WORD


def test_the_same_form_sent_twice_marks_once(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    sheet = visitor.get("/bench/1")
    ticket = str(sheet.one("form.bench [name=ticket]")["value"])
    for _ in range(2):
        visitor.get("/bench/1")
        visitor.post("/bench/1/marks", press="relax unaided", ticket=ticket)
    assert marked(db)["relax"] is StepMark.UNAIDED


def test_cautions_stand_before_the_step_and_critical_steps_are_told(visit: Visit) -> None:
    sheet = visit(MIRA).get("/bench/1")
    vent = sheet.one("#step-vent")
    first = vent.find(True)
    assert first is not None
    assert "care" in (first.get("class") or [])
    assert "critical: danger" in vent.get_text()
    assert "critical" not in sheet.one("#step-clean").get_text()


def test_the_order_is_judged_moved_and_signed(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    sheet = visitor.get("/bench/1/close")
    assert "bonnet is thrown" in sheet.words()
    assert "1 done with a word" in sheet.words()
    visitor.send("form.close-form", press="vent up")
    assert "The order in which it was done works." in visitor.sheet.words()
    sheet = visitor.send(
        "form.close-form", press="yes", sign="yes", password="not hers", result="At the bench."
    )
    assert "Nothing was signed" in sheet.said
    assert sheet.one("textarea[name=result]").get_text() == "At the bench."
    sheet = visitor.send("form.close-form", sign="yes", password=MIRA.password, result="At the bench.")
    assert "Signed. Nothing of it changes any more." in sheet.words()
    assert "Mira Tandleby" in sheet.words()
    view = bench.observation(db, scene.enter(db, MIRA), 1)
    assert [item.step for item in view.seen] == ["shut", "vent", "studs"]
    # The session was renewed with the signature, and the cookie with it.
    assert visitor.get("/bench").status == 200
    assert visitor.get("/bench/1/close").path == "/bench/1"


def test_whose_round_ended_meanwhile_is_told_before_anybody_signs(visit: Visit, db: Database) -> None:
    mira = scene.enter(db, MIRA)
    number = observe.begin(db, mira, AMA.id, scene.PILOT, "DN 80", ticket="across", now=scene.NOW)
    visitor = visit(MIRA)
    for page in (f"/bench/{number}", f"/bench/{number}/close"):
        assert "counts for no signature" not in visitor.get(page).words()
    life.suspend(
        db,
        scene.enter(db, SOL),
        AMA.id,
        "T-41",
        cause=Cause.INCIDENT,
        from_day=scene.NOW.date(),
        reason="Gas was heard (invented).",
        password=SOL.password,
        now=scene.NOW,
    )
    for page in (f"/bench/{number}", f"/bench/{number}/close"):
        assert "counts for no signature" in visitor.get(page).words()


def test_what_comes_to_nothing_is_given_up(visit: Visit) -> None:
    visitor = visit(MIRA)
    visitor.get("/bench/1/close")
    sheet = visitor.send("form[action='/bench/1/give-up']", because="Called to a leak.")
    assert "Given up." in sheet.words()
    assert "Given up: Called to a leak." in visitor.get("/bench/1").words()


def test_an_evaluation_names_the_observation_it_rests_on(visit: Visit) -> None:
    visitor = visit(MIRA)
    path = f"/people/{AMA.id}/evaluate/{scene.VALVE}"
    visitor.get(path)
    conditions = [str(tag["value"]) for tag in visitor.sheet.soup.select("[name=aoc_discussed]")]
    sheet = visitor.send(
        f"form[action='{path}']",
        methods=["on_the_job", "oral"],
        aoc_discussed=conditions,
        aoc_passed="yes",
        passed="yes",
        note="As on the bench.",
        observation="2",
        password=MIRA.password,
    )
    assert "recorded under your name" in sheet.words()
    assert "Observation 2" in sheet.words()
    assert visit(SOL).get(f"/sign-off/{AMA.id}/T-31").one("a[href='/bench/2']")


def test_a_person_reads_what_was_seen_of_their_own_work(visit: Visit) -> None:
    visitor = visit(AMA)
    assert visitor.get("/record").one("a[href='/bench/2']")
    sheet = visitor.get("/bench/2")
    assert "At the bench, all of it unaided." in sheet.words()
    assert not sheet.soup.select("form.bench")


# What a device hands in


def entry(ticket: str, step: str, mark: str, at: str = "2027-03-22T14:00:00+00:00") -> dict[str, Any]:
    return {"ticket": ticket, "step": step, "mark": mark, "note": "", "at": at}


def hand_in(visitor: Visitor, number: int, data: object, token: str | None = None) -> tuple[int, Any]:
    if token is None:
        token = str(visitor.get("/account").soup.select("[name=csrf_token]")[0]["value"])
    answer = visitor.client.post(
        f"/bench/{number}/marks",
        json=data,
        headers={"X-CSRFToken": token, "Accept": "application/json"},
    )
    return answer.status_code, answer.get_json(silent=True)


def test_marks_kept_on_a_device_are_handed_in_once(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    some = {"entries": [entry("a", "relax", "unaided"), entry("b", "cap", "wrong")]}
    assert hand_in(visitor, 1, some) == (200, {"kept": 2, "new": 2})
    assert hand_in(visitor, 1, some) == (200, {"kept": 2, "new": 0})
    assert marked(db)["cap"] is StepMark.WRONG


def test_a_device_that_comes_too_late_is_told_in_one_sentence(visit: Visit) -> None:
    status, told = hand_in(visit(MIRA), 2, {"entries": [entry("a", "relax", "word")]})
    assert status == 409
    assert "was signed on 2027-03-22 at 13:32 UTC" in told["says"]


@pytest.mark.parametrize(
    "data",
    [
        None,
        [],
        {"entries": 7},
        {"entries": [7]},
        {"entries": [{"ticket": "a"}]},
        {"entries": [entry("a", "vent", "splendid")]},
        {"entries": [entry("a", "vent", "word", at="yesterday")]},
        {"entries": [entry("a", "vent", "word", at="2027-03-22T14:00:00")]},
        {"entries": [{**entry("a", "vent", "word"), "note": 7}]},
    ],
    ids=str,
)
def test_what_is_no_list_of_marks_is_refused(data: object) -> None:
    with pytest.raises(MarksUnreadable, match="cannot be read"):
        from_device(data)


def test_a_device_that_was_signed_out_is_refused_and_the_token_of_the_next_sign_in_serves(
    visit: Visit, db: Database
) -> None:
    some = {"entries": [entry("a", "relax", "unaided")]}
    stranger = visit()
    token = str(stranger.sheet.soup.select("[name=csrf_token]")[0]["value"])
    assert hand_in(stranger, 1, some, token)[0] == 401
    assert hand_in(visit(MIRA), 1, some, token)[0] == 400
    assert hand_in(visit(MIRA), 1, some)[0] == 200
    assert marked(db)["relax"] is StepMark.UNAIDED


def test_only_sheets_of_open_observations_are_to_be_kept_on_a_device(visit: Visit) -> None:
    visitor = visit(MIRA)
    assert visitor.get("/bench/1").response.headers["X-At-The-Bench"] == "open"
    for path in ("/bench/2", "/bench", "/bench/1/close"):
        assert "X-At-The-Bench" not in visitor.get(path).response.headers


def test_the_worker_answers_for_sheets_at_the_bench_alone(visit: Visit) -> None:
    answer = visit().client.get("/bench/worker.js")
    assert answer.content_type == "text/javascript; charset=utf-8"
    assert answer.headers["Cache-Control"] == "no-cache"
    assert "Service-Worker-Allowed" not in answer.headers


def test_marks_of_somebody_elses_observation_are_refused(visit: Visit) -> None:
    assert hand_in(visit(SOL), 1, {"entries": [entry("a", "relax", "unaided")]})[0] == 404


def test_a_note_too_long_is_told(visit: Visit) -> None:
    visitor = visit(MIRA)
    visitor.get("/bench/1")
    sheet = visitor.send(FORM, press="relax word", note__relax="x" * (observe.LONGEST_NOTE + 1))
    assert sheet.status == 422
    assert "500 characters at most" in sheet.said


# Paper


def card_filled(db: Database, **changed: str) -> dict[str, str]:
    return {
        "evaluator": MIRA.id,
        "filled_on": "2027-03-19",
        "size": "DN 80",
        "revision": scene.revision_of(db, scene.VALVE)[:8],
        "mark__shut": "unaided",
        "mark__vent": "word",
        "as__vent": "1",
        "note__vent": "asked which valve",
    } | changed


def test_a_card_is_entered_and_waits_for_its_signature(visit: Visit, db: Database) -> None:
    path = f"/people/{BEN.id}/card/{scene.VALVE}"
    visitor = visit(SOL)
    visitor.get(path)
    sheet = visitor.send(f"form[action='{path}']", **card_filled(db))
    assert "It waits for the signature of Mira Tandleby" in sheet.words()
    mira = visit(MIRA)
    assert "from a card" in mira.get("/bench").words()
    view = bench.observation(db, scene.enter(db, MIRA), 4)
    assert [(item.step, item.note) for item in view.seen] == [("vent", "asked which valve"), ("shut", "")]
    mira.get("/bench/4/close")
    sheet = mira.send("form.close-form", sign="yes", password=MIRA.password, result="As on the card.")
    assert "2027-03-19, by Mira Tandleby" in sheet.words()
    assert "Entered by Sol Harrowgate" in sheet.words()


def test_what_was_typed_from_a_card_stays_when_it_does_not_fit(visit: Visit, db: Database) -> None:
    path = f"/people/{BEN.id}/card/{scene.VALVE}"
    visitor = visit(MIRA)
    visitor.get(path)
    sheet = visitor.send(f"form[action='{path}']", **card_filled(db, as__vent="9"))
    assert sheet.status == 422
    assert "there are 2 ticked steps" in sheet.said
    assert sheet.one("#as-vent")["value"] == "9"
    assert sheet.one("#note-vent")["value"] == "asked which valve"
    assert sheet.one("input[name='mark.vent'][checked]")["value"] == "word"
    sheet = visitor.send(f"form[action='{path}']", as__vent="1", filled_on="last week")
    assert "'last week' is not a day" in sheet.said
    sheet = visitor.send(f"form[action='{path}']", filled_on="2027-03-19")
    assert "Look it over, then sign it." in sheet.words()


def test_the_bench_card_is_printed_from_the_procedure(visit: Visit) -> None:
    visitor = visit(MIRA)
    link = visitor.get("/modules/" + scene.VALVE).soup.select("a[href^='/print/bench_card/']")[0]
    printed = visitor.client.get(str(link["href"]))
    assert printed.status_code == 200
    assert printed.data.startswith(b"%PDF")


def test_evaluators_who_marked_the_same_job_are_compared(visit: Visit, db: Database) -> None:
    assert "No job was marked by two evaluators yet." in visit(KIT).get("/agreement").heading
    people.change(db, scene.enter(db, KIT), SOL.id, evaluator=True, now=scene.NOW)
    sol = visit(SOL)
    path = f"/people/{AMA.id}/observe/{scene.VALVE}"
    sheet = sol.get(path)
    assert "Mira Tandleby, DN 50" in sheet.one("select[name=beside]").get_text()
    sol.send(f"form[action='{path}']", size="DN 50", beside="2")
    # What the other marked stays shut until both have signed.
    assert "opens when you have signed your own" in sol.get("/bench/2").heading
    sol.get("/bench/4")
    sol.send(FORM, press="shut unaided")
    sol.send(FORM, press="vent word")
    sol.get("/bench/4/close")
    sol.send("form.close-form", sign="yes", password=SOL.password, result="Seen from the other side.")
    assert sol.get("/bench/2").status == 200
    told = visit(KIT).get("/agreement").words()
    assert "Mira Tandleby and Sol Harrowgate" in told
    assert "1 of 2" in told
    assert "2 steps marked by both are too few to tell; it takes 30." in told
    assert "Vent the body and watch the gauge" in told
    assert visit(MIRA).get("/agreement").status == 403
