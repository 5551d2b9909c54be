"""Taking over a table on the keeper's page: choose, look, confirm."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

from tests.people import BEN, KIT

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
