"""Photographs at the bench without script, as a device sends them, and who gets the file."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Any

import pytest

from tests import pictures
from tests.people import AMA, BEN, CLEO, INES, KIT, MIRA, SOL
from tests.web import scene
from tests.web.visitor import standing_in
from trainer.actions import bench, evaluate, observe, photographs
from trainer.procedure.library import tables
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.records.photograph import MOST_BYTES
from trainer.web.bench.sent_photographs import MOST_SENT

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Sheet, Visitor
    from trainer.actions.observation_views import PhotographShown
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

FORM = "form.bench"


def kept(db: Database, number: int = 1) -> tuple[PhotographShown, ...]:
    return bench.observation(db, scene.enter(db, MIRA), number).photographs


def choose(visitor: Visitor, files: dict[str, bytes], press: str = "vent note", **fields: str) -> Sheet:
    """Choose files beside steps of the open sheet and press a button, as a browser without script would."""
    tag = visitor.sheet.one(FORM)
    assert tag["enctype"] == "multipart/form-data"
    values: dict[str, Any] = {
        name: text for name, text in standing_in(tag).items() if "photograph." not in name
    }
    values |= {name.replace("__", "."): text for name, text in fields.items()} | {"press": press}
    for step, data in files.items():
        assert tag.select(f"[name='photograph.{step}'][type=file]")
        values[f"photograph.{step}"] = (BytesIO(data), "IMG_0001.JPG")
    answer = visitor.client.post(str(tag["action"]), data=values, follow_redirects=True)
    return visitor._see(str(tag["action"]), answer)


def send(visitor: Visitor, number: int = 1, changed: dict[str, str] | None = None) -> tuple[int, Any]:
    """Send one photograph as the script of the sheet does."""
    token = str(visitor.get("/account").soup.select("[name=csrf_token]")[0]["value"])
    values = {"step": "vent", "ticket": "a", "at": "2027-03-22T14:00:00.000Z"} | (changed or {})
    answer = visitor.client.post(
        f"/bench/{number}/photographs",
        data={**values, "photograph": (BytesIO(pictures.from_camera()), "photograph")},
        headers={"X-CSRFToken": token, "Accept": "application/json"},
    )
    return answer.status_code, answer.get_json(silent=True)


def test_it_is_chosen_beside_its_step_and_kept_by_the_form(visit: Visit) -> None:
    visitor = visit(MIRA)
    visitor.get("/bench/1")
    sheet = choose(visitor, {"vent": pictures.from_camera(orientation=6)})
    assert sheet.status == 200
    shown = sheet.one("#step-vent .photographs img")
    assert shown["alt"] == "Photograph of step 2: Vent the body and watch the gauge"
    assert (shown["width"], shown["height"]) == ("300", "400")
    assert "Nobody is photographed without their leave." in sheet.words("#step-vent")
    file = visitor.client.get(str(shown["src"]))
    assert [secret for secret in pictures.SECRETS if secret in file.data] == []
    sheet.must_be_sound()


def test_marks_notes_and_photographs_of_other_steps_go_along_with_any_button(
    visit: Visit, db: Database
) -> None:
    visitor = visit(MIRA)
    visitor.get("/bench/1")
    files = {"vent": pictures.from_camera(), "cap": pictures.from_camera(90, 60)}
    choose(visitor, files, press="relax unaided", note__shut="both ends")
    assert [one.step for one in kept(db)] == ["vent", "cap"]
    seen = {item.step: item for item in bench.observation(db, scene.enter(db, MIRA), 1).seen}
    assert seen["relax"].mark is StepMark.UNAIDED
    assert seen["shut"].note == "both ends"


def test_the_same_form_sent_twice_keeps_it_once(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    first = visitor.get("/bench/1")
    for _ in range(2):
        visitor.sheet = first
        choose(visitor, {"vent": pictures.from_camera()})
    assert len(kept(db)) == 1


def test_a_refused_file_is_told_and_what_was_marked_beside_it_is_kept(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    visitor.get("/bench/1")
    sheet = choose(visitor, {"vent": b"a text"}, press="relax unaided")
    assert sheet.status == 422
    assert sheet.said == "This file is no photograph that can be read: JPEG, PNG and WebP are."
    assert kept(db) == ()
    assert sheet.one("#step-relax [aria-pressed=true]").get_text(strip=True) == "Unaided"


def post_bytes(visitor: Visitor, size: int, *, claimed: int = 0) -> Sheet:
    """Send a file of so many bytes beside a step, or a form that claims to hold so many."""
    token = visitor.get("/bench/1").one("form.bench [name=csrf_token]")["value"]
    part = "--b\r\nContent-Disposition: form-data; name="
    head = f'{part}"csrf_token"\r\n\r\n{token}\r\n{part}"ticket"\r\n\r\nt\r\n'
    head += f'{part}"photograph.vent"; filename="IMG.JPG"\r\n\r\n'
    body = head.encode() + bytes(size) + b"\r\n--b--\r\n"
    answer = visitor.client.post(
        "/bench/1/marks",
        input_stream=BytesIO(body),
        content_type="multipart/form-data; boundary=b",
        environ_overrides={"CONTENT_LENGTH": str(claimed or len(body))},
    )
    return visitor._see("/bench/1/marks", answer)


def test_more_bytes_than_one_holds_are_told(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    sheet = post_bytes(visitor, MOST_BYTES + 1)
    assert (sheet.status, sheet.said) == (422, "A photograph holds 12 MB at most; this file has more.")
    sheet = post_bytes(visitor, 10, claimed=MOST_SENT + 1)
    assert sheet.status == 413
    assert "a photograph may have 12 MB" in sheet.words()
    assert kept(db) == ()


def test_no_other_form_holds_more_than_before(visit: Visit) -> None:
    visitor = visit(MIRA)
    token = str(visitor.get("/bench/1/close").soup.select("[name=csrf_token]")[0]["value"])
    for path in ("/bench/1/close", "/bench/1/give-up"):
        big = {"csrf_token": token, "because": (BytesIO(bytes(300 * 1024)), "big")}
        assert visitor.client.post(path, data=big).status_code == 413
    # Nor does the sheet itself, when what comes is no form with files.
    some = {"entries": [], "more": "x" * 300 * 1024}
    answer = visitor.client.post("/bench/1/marks", json=some, headers={"X-CSRFToken": token})
    assert answer.status_code == 413


def test_a_device_sends_one_as_often_as_it_likes(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    status, told = send(visitor)
    address = f"/bench/1/photographs/{kept(db)[0].sha256}"
    assert (status, told) == (200, {"new": True, "address": address, "width": 400, "height": 300})
    assert send(visitor) == (200, told | {"new": False})
    assert len(kept(db)) == 1


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"at": "yesterday"}, "The photograph cannot be read"),
        ({"at": "2027-03-22T14:00:00"}, "The photograph cannot be read"),
        ({"step": "elsewhere"}, "The procedure has no step 'elsewhere'."),
        ({"ticket": ""}, "ticket of 1 to 80 characters"),
    ],
    ids=str,
)
def test_what_a_device_sends_wrongly_is_told(visit: Visit, changed: dict[str, str], sentence: str) -> None:
    status, told = send(visit(MIRA), changed=changed)
    assert status == 422
    assert sentence in told["says"]


def test_a_device_that_comes_too_late_or_for_somebody_else_is_told(visit: Visit) -> None:
    status, told = send(visit(MIRA), 2)
    assert status == 409
    assert "was signed on 2027-03-22 at 13:32 UTC" in told["says"]
    assert send(visit(SOL))[0] == 404


def test_the_file_is_for_whoever_may_read_the_observation_and_stays_in_no_cache(
    visit: Visit, db: Database
) -> None:
    send(visit(MIRA))
    address = f"/bench/1/photographs/{kept(db)[0].sha256}"
    answer = visit(MIRA).client.get(address)
    assert (answer.status_code, answer.content_type) == (200, "image/jpeg")
    assert answer.headers["Cache-Control"] == "no-store"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "X-At-The-Bench" not in answer.headers
    assert "img-src 'self' data:;" in answer.headers["Content-Security-Policy"]
    assert [visit(who).client.get(address).status_code for who in (SOL, BEN, CLEO, INES)] == [404] * 4
    assert visit(KIT).client.get(address).status_code == 403
    observe.close(
        db, scene.enter(db, MIRA), 1, order=(), result="Seen.", password=MIRA.password, now=scene.NOW
    )
    assert [visit(who).client.get(address).status_code for who in (SOL, BEN, INES)] == [200] * 3
    assert visit(CLEO).client.get(address).status_code == 404
    assert visit().client.get(address).status_code == 303


def with_photograph(db: Database) -> int:
    """Let the evaluator sign an observation of Ama's work with a photograph, and an evaluation that rests on it."""
    mira = scene.enter(db, MIRA)
    number = observe.begin(db, mira, AMA.id, scene.VALVE, "DN 50", ticket="p", now=scene.NOW)
    seen = StepSeen("vent", StepMark.UNAIDED, "", scene.NOW)
    observe.mark(db, mira, number, [observe.Entry("m", seen)], now=scene.NOW)
    photographs.keep(
        db, mira, number, pictures.from_camera(), step="vent", ticket="a", at=scene.NOW, now=scene.NOW
    )
    observe.close(db, mira, number, order=(), result="Seen.", password=MIRA.password, now=scene.NOW)
    evaluate.record_evaluation(
        db,
        scene.enter(db, MIRA),
        AMA.id,
        scene.VALVE,
        evaluated_on=scene.NOW.date(),
        methods=(Method.ON_THE_JOB, Method.ORAL),
        aoc_discussed=tables().tasks["T-31"].abnormal_conditions,
        aoc_passed=True,
        passed=True,
        note="As on the bench.",
        observation=number,
        password=MIRA.password,
        now=scene.NOW,
    )
    return number


def test_it_is_shown_where_it_is_read_and_where_the_supervisor_signs(visit: Visit, db: Database) -> None:
    number = with_photograph(db)
    for who, path in ((AMA, f"/bench/{number}"), (SOL, f"/sign-off/{AMA.id}/T-31")):
        sheet = visit(who).get(path)
        shown = sheet.one(".photographs img")
        assert shown["alt"] == "Photograph of step 2: Vent the body and watch the gauge"
        assert visit(who).client.get(str(shown["src"])).status_code == 200
        sheet.must_be_sound()
    assert "1, each under the signature by its hash" in visit(AMA).get(f"/bench/{number}").words()


def test_the_evaluator_sees_before_signing_what_they_sign_for(visit: Visit) -> None:
    visitor = visit(MIRA)
    assert not visitor.get("/bench/1/close").soup.select(".photographs img")
    send(visitor)
    sheet = visitor.get("/bench/1/close")
    assert "Photographs that you sign for" in sheet.words()
    assert sheet.one(".photographs img")


def test_who_was_signed_out_is_told_to_choose_it_again(visit: Visit) -> None:
    visitor = visit()
    token = str(visitor.sheet.one("main [name=csrf_token]")["value"])
    values = {"csrf_token": token, "press": "vent note", "photograph.vent": (BytesIO(b"x"), "IMG.JPG")}
    answer = visitor.client.post("/bench/1/marks", data=values)
    assert answer.status_code == 401
    assert "A photograph has to be chosen again." in answer.get_data(as_text=True)
