"""Taking over a table on the keeper's page: choose, look, confirm."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

from tests.people import BEN, CLEO, CREW, KIT, SOL

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Sheet, Visitor

    Visit = Callable[..., Visitor]

TABLE = "sign_in_name;name;roles;crew\ndora;=2+3 <b>Dora</b>;technician;Sedge Lane\nevan;Evan Moss;mentor;\n"


def look(visitor: Visitor, path: str, text: str) -> Sheet:
    """Choose a file and send it as a browser does."""
    form = visitor.get(path).one("main form")
    assert form["enctype"] == "multipart/form-data"
    token = str(form.select("[name=csrf_token]")[0]["value"])
    data = {"csrf_token": token, "file": (BytesIO(text.encode()), "table.csv")}
    visitor.sheet = type(visitor.sheet)(path, visitor.client.post(str(form["action"]), data=data))
    return visitor.sheet


def test_people_are_looked_at_then_added_with_passwords_shown_once(visit: Visit) -> None:
    visitor = visit(KIT)
    sheet = look(visitor, "/register/from-file", TABLE)
    sheet.must_be_sound()
    assert sheet.heading == "2 people would be added."
    assert "=2+3 <b>Dora</b>" in sheet.words("table")
    assert "dora" not in visit(KIT).get("/register").words()
    sheet = visitor.send("main form")
    sheet.must_be_sound()
    password = sheet.soup.select("tbody tr")[0].select("td")[-1].get_text()
    fresh = visit()
    assert fresh.send("main form", name="dora", password=password).path == "/account"
    assert fresh.get("/sheet").path == "/account"
    assert fresh.sheet.heading == "Choose a password of your own"
    assert (
        fresh.send("main form[action='/account']", old=password, new="a sentence of her own").path == "/sheet"
    )
    again = look(visitor, "/register/from-file", TABLE)
    assert again.heading.startswith("Everybody in this file is in the register already.")
    assert again.soup.select("main form") == []


def test_what_is_wrong_is_told_by_line_and_there_is_nothing_to_confirm(visit: Visit) -> None:
    visitor = visit(KIT)
    wrong = TABLE + f"{BEN.sign_in_name};Somebody Else;technician;\n"
    sheet = look(visitor, "/register/from-file", wrong)
    assert sheet.heading == "1 fault to mend first. Nothing was taken over."
    assert "4 name The register says 'Ben Oakshott' of ben" in sheet.words("table")
    assert sheet.soup.select("main form") == []


def test_no_file_and_a_file_changed_on_its_way_are_told(visit: Visit) -> None:
    visitor = visit(KIT)
    visitor.get("/register/from-file")
    assert "no file was chosen" in visitor.post("/register/from-file").said
    assert "changed on its way" in visitor.post("/register/from-file", carried="%%", confirmed="yes").said
    assert "it is empty" in look(visitor, "/register/from-file", "\n").said


PAPERS = (
    "person;task;paper;issued_by;evaluated_on;valid_from;valid_until;methods;abnormal;evaluator;supervisor\n"
    "ben;T-31;Folder 7 <12>;Marlpit Gas;2026-05-01;2026-05-02;2027-04-30;oral simulation;yes;Old Hand;Old Boss\n"
)


def test_an_earlier_paper_is_transcribed_checked_and_shown_as_one(visit: Visit) -> None:
    keeper = visit(KIT)
    sheet = look(keeper, "/register/earlier-from-file", PAPERS)
    sheet.must_be_sound()
    assert sheet.heading == "1 record would be transcribed."
    assert "They count once a supervisor has held them" in keeper.send("main form").words()
    assert look(keeper, "/register/earlier-from-file", PAPERS).heading.startswith("Everything in this file")
    supervisor = visit(SOL)
    assert "1 transcribed record to be held against the paper" in supervisor.get("/sign-off").words()
    sheet = supervisor.get("/earlier-papers")
    sheet.must_be_sound()
    assert "Folder 7 <12>" in sheet.words("table")
    assert "Tick the records" in supervisor.send("main form", password=SOL.password).said
    sheet = supervisor.send("main form", numbers="EQ-2027-0001", password="not this one")
    assert "password is not right" in sheet.said
    assert sheet.soup.select("[name=numbers][checked]")
    sheet = supervisor.send("main form", numbers="EQ-2027-0001", password=SOL.password)
    assert "Signed. These records count from now on." in sheet.words()
    sheet = supervisor.get("/records/EQ-2027-0001")
    sheet.must_be_sound()
    assert sheet.heading == "Transcribed from paper Folder 7 <12>. Not evaluated and not signed here."
    refused = supervisor.send("main form", because="Seen to fail.", password="not this one")
    assert "password is not right" in refused.said
    crew = supervisor.get(f"/crew/{CREW}")
    crew.must_be_sound()
    assert "E° 04-30" in crew.words("table")
    assert "on an earlier paper, transcribed" in crew.text
    assert "From earlier papers" in supervisor.get(f"/people/{BEN.id}").words()
    own = visit(BEN).get("/record")
    own.must_be_sound()
    assert own.heading.startswith("1 task you may do")
    assert "EQ-2027-0001, paper" in own.words()
    assert visit(CLEO).get("/records/EQ-2027-0001").status == 404


def test_a_paper_that_says_something_else_is_turned_down_with_a_reason(visit: Visit) -> None:
    keeper = visit(KIT)
    look(keeper, "/register/earlier-from-file", PAPERS)
    keeper.send("main form")
    supervisor = visit(SOL)
    supervisor.get("/earlier-papers")
    sheet = supervisor.send(
        "main form", press="turn down", numbers="EQ-2027-0001", because="", password=SOL.password
    )
    assert "what the paper says" in sheet.said
    sheet = supervisor.send(
        "main form", press="turn down", numbers="EQ-2027-0001", because="Says 2025.", password=SOL.password
    )
    assert sheet.heading == "No transcribed record waits."
    assert "turned down: Says 2025." in supervisor.get("/records/EQ-2027-0001").words()
