"""Signing in and out, and a person's own password."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.people import AMA, BEN, INES, KIT, MIRA, SOL
from tests.web import scene
from trainer.actions import accounts
from trainer.records import packet_file

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask

    from tests.people import Someone
    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]


@pytest.mark.parametrize(
    ("who", "start"),
    [(AMA, "/sheet"), (MIRA, "/people"), (SOL, "/crew"), (INES, "/crew"), (KIT, "/register")],
    ids=lambda value: getattr(value, "sign_in_name", value),
)
def test_each_role_starts_from_its_own_sheet(visit: Visit, who: Someone, start: str) -> None:
    assert visit(who).sheet.path == start


def test_a_wrong_password_keeps_the_name_that_was_typed(visit: Visit) -> None:
    visitor = visit()
    sheet = visitor.send("main form", name="ama", password="not hers")
    assert sheet.status == 401
    assert sheet.said == "Name or password is not right."
    assert sheet.one("[name=name]")["value"] == "ama"
    assert not sheet.one("[name=password]").has_attr("value")


def test_after_signing_in_a_person_is_where_they_wanted_to_be(visit: Visit) -> None:
    visitor = visit()
    visitor.get("/record?x=1")
    assert visitor.sheet.path == "/sign-in"
    assert visitor.send("main form", name=AMA.sign_in_name, password=AMA.password).path == "/record"


@pytest.mark.parametrize(
    "elsewhere", ["https://example.org/", "//example.org/", "/\\example.org", "/\nx", ""]
)
def test_nobody_is_sent_to_another_host(visit: Visit, elsewhere: str) -> None:
    visitor = visit()
    sheet = visitor.send("main form", name="ama", password=AMA.password, back=elsewhere)
    assert sheet.path == "/sheet"


def test_signing_out_ends_the_session_on_the_server(app: Flask, visit: Visit) -> None:
    visitor = visit(AMA)
    cookie = visitor.client.get_cookie("trainer")
    assert cookie is not None
    visitor.post("/sign-out")
    assert visitor.sheet.path == "/sign-in"
    thief = app.test_client()
    thief.set_cookie("trainer", cookie.value)
    assert thief.get("/sheet").status_code == 303


def test_the_cookie_is_kept_from_scripts_and_from_other_sites(visit: Visit) -> None:
    visitor = visit()
    token = visitor.sheet.one("main [name=csrf_token]")["value"]
    answer = visitor.client.post(
        "/sign-in", data={"csrf_token": token, "name": AMA.sign_in_name, "password": AMA.password}
    )
    cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie


def test_the_password_can_be_changed_and_the_old_one_is_void(visit: Visit) -> None:
    visitor = visit(BEN)
    visitor.get("/account")
    visitor.send("form[action='/account']", old=BEN.password, new="a longer sentence of his own")
    assert "The new password is in force." in visitor.sheet.words()
    assert visitor.get("/sheet").status == 200
    visitor.post("/sign-out")
    assert visitor.send("main form", name="ben", password=BEN.password).status == 401
    assert visitor.send("main form", name="ben", password="a longer sentence of his own").path == "/sheet"


def test_password_fields_are_for_password_managers(visit: Visit) -> None:
    """WCAG 2.2, 3.3.8: a field that says what it is for, and takes what is pasted, lets the password be remembered for one."""
    stranger, person = visit(), visit(MIRA)
    fields = stranger.get("/sign-in").soup.select("[type=password]")
    assert stranger.sheet.one("[name=name]")["autocomplete"] == "username"
    for path in ("/account", f"/people/{BEN.id}/evaluate/{scene.VALVE}"):
        fields += person.get(path).soup.select("[type=password]")
    assert len(fields) >= 4
    assert {str(field["autocomplete"]) for field in fields} == {"current-password", "new-password"}
    assert [field for field in fields if field.get("maxlength") or field.get("readonly")] == []


def test_a_password_that_is_too_short_is_refused_with_a_sentence(visit: Visit) -> None:
    visitor = visit(BEN)
    visitor.get("/account")
    sheet = visitor.send("form[action='/account']", old=BEN.password, new="short")
    assert sheet.status == 422
    assert "12" in sheet.said


def test_what_was_filled_in_outlives_a_session_that_is_over(visit: Visit, db: Database) -> None:
    visitor = visit(MIRA)
    form = visitor.get(f"/people/{BEN.id}/evaluate/{scene.VALVE}")
    visitor.get("/people")
    accounts.sign_out(db, _token_of(visitor), now=scene.NOW)
    visitor.sheet = form
    sheet = visitor.send("main form", note="Seen at the bench.", methods=["oral"], password="secret thing")
    assert sheet.status == 401
    assert "nothing is lost" in sheet.said
    assert "secret thing" not in sheet.text
    sheet = visitor.send("main form", name="mira", password=MIRA.password)
    assert "not sent yet" in sheet.heading
    sheet = visitor.send("main form")
    assert sheet.path == f"/people/{BEN.id}/evaluate/{scene.VALVE}"
    assert sheet.one("textarea").get_text() == "Seen at the bench."
    assert sheet.one("[name=methods][checked]")["value"] == "oral"


@pytest.mark.parametrize("text", ["no json", "[1]", "{}", '[["password", "x"]]', "null"])
def test_what_is_carried_is_taken_only_as_fields(visit: Visit, text: str) -> None:
    sheet = visit().send("main form", name="ama", password=AMA.password, back="/record", carried=text)
    assert sheet.path == "/record"


def _token_of(visitor: Visitor) -> str:
    with visitor.client.session_transaction() as session:
        return str(session["token"])


def test_a_calendar_program_reads_without_a_session_until_the_address_ends(app: Flask, visit: Visit) -> None:
    visitor = visit(SOL)
    visitor.get("/account")
    shown = visitor.send("form[action='/account/calendar']")
    address = str(shown.one("#f-calendar")["value"])
    assert address.startswith("http://localhost/calendar/")
    program = app.test_client()
    answer = program.get(address)
    assert answer.status_code == 200
    assert answer.content_type == "text/calendar; charset=utf-8"
    assert answer.data.startswith(b"BEGIN:VCALENDAR\r\n")
    assert "Set-Cookie" not in answer.headers
    assert program.get(address).data == answer.data
    again = visitor.get("/account")
    assert address not in again.text
    assert "in force since" in again.words("#my-calendar")
    visitor.send("form[action='/account/calendar/end']")
    gone = program.get(address)
    assert gone.status_code == 404
    assert address.rsplit("/", 1)[1].removesuffix(".ics") not in gone.get_data(as_text=True)


def test_the_address_begins_with_the_home_that_is_set(app: Flask, visit: Visit) -> None:
    site = app.extensions["trainer"]
    home = replace(site.settings, home_page="https://trainer.example/works/")
    app.extensions["trainer"] = replace(site, settings=home)
    visitor = visit(SOL)
    visitor.get("/account")
    shown = visitor.send("form[action='/account/calendar']")
    address = str(shown.one("#f-calendar")["value"])
    assert address.startswith("https://trainer.example/works/calendar/")


def test_everything_kept_about_oneself_comes_as_one_file(visit: Visit) -> None:
    visitor = visit(AMA)
    page = visitor.get("/account")
    token = str(page.soup.select("[name=csrf_token]")[0]["value"])
    answer = visitor.client.post("/account/everything", data={"csrf_token": token})
    assert answer.status_code == 200
    assert answer.content_type == "application/zip"
    assert f"person-data-{AMA.id.lower()}.zip" in answer.headers["Content-Disposition"]
    assert AMA.display_name in packet_file.read(answer.data)["index.html"].decode()


@pytest.mark.parametrize(("who", "path"), [(SOL, f"/people/{AMA.id}"), (KIT, f"/register/{AMA.id}")])
def test_on_request_it_is_fetched_from_the_persons_page(visit: Visit, who: Someone, path: str) -> None:
    visitor = visit(who)
    form = next(
        form for form in visitor.get(path).soup.select("form") if str(form["action"]).endswith("/everything")
    )
    token = str(form.select("[name=csrf_token]")[0]["value"])
    answer = visitor.client.post(str(form["action"]), data={"csrf_token": token})
    assert AMA.display_name in packet_file.read(answer.data)["index.html"].decode()


def test_a_mentor_is_offered_and_given_nothing_of_the_kind(visit: Visit) -> None:
    visitor = visit(MIRA)
    actions = [str(form["action"]) for form in visitor.get(f"/people/{AMA.id}").soup.select("form")]
    assert not [action for action in actions if action.endswith("/everything")]
