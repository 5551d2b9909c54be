"""What a supervisor does: look at the crew, sign with the password again, print."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pypdf
import pytest

from tests import people
from tests.people import AMA, INES, MIRA, SOL
from tests.web import scene

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor

    Visit = Callable[..., Visitor]

SIGN = f"/sign-off/{AMA.id}/T-31"


def test_the_queue_holds_who_is_ready_and_what_is_behind_it(visit: Visit) -> None:
    visitor = visit(SOL)
    assert visitor.get("/sign-off").heading == "1 waits for a signature."
    sheet = visitor.get(SIGN)
    text = sheet.words()
    assert "I have read the evidence and qualify this person" in text
    assert "Strip-down and rebuild on the bench valve" in text
    assert "Observation during simulation (192.803 (d)(3))" in text


def test_a_signature_makes_a_record_and_changes_the_token(visit: Visit) -> None:
    visitor = visit(SOL)
    visitor.get(SIGN)
    before = visitor.client.get_cookie("trainer")
    sheet = visitor.send("main form", password=SOL.password)
    assert sheet.path == "/records/QR-2027-0002"
    assert "Signed. The record can be printed." in sheet.words()
    assert before is not None
    assert visitor.get("/sign-off").heading == "Nobody waits for a signature."
    visitor.client.set_cookie("trainer", before.value)
    assert visitor.get("/sign-off").path == "/sign-in"


def test_a_wrong_password_signs_nothing(visit: Visit) -> None:
    visitor = visit(SOL)
    visitor.get(SIGN)
    sheet = visitor.send("main form", password="guess")
    assert sheet.status == 401
    assert "Nothing was signed" in sheet.said
    assert visitor.get("/sign-off").heading == "1 waits for a signature."


def test_the_record_is_printed_with_its_data_inside(visit: Visit) -> None:
    answer = visit(SOL).get("/print/qualification_record/QR-2027-0001?paper=us-letter").response
    assert answer.content_type == "application/pdf"
    assert "attachment" in answer.headers["Content-Disposition"]
    pdf = pypdf.PdfReader(io.BytesIO(answer.data))
    assert pdf.pages[0].mediabox.width == 612
    assert any(name.endswith(".json") for name in pdf.attachments)


def test_an_inspector_reads_the_crew_and_prints_it_but_signs_nothing(visit: Visit) -> None:
    visitor = visit(INES)
    sheet = visitor.get("/crew/" + people.CREW)
    assert "Ama Fenwright" in sheet.words()
    assert visitor.get("/print/crew_sheet/" + people.CREW).response.data.startswith(b"%PDF")
    assert visitor.get("/people/" + AMA.id).soup.select("main form") == []
    assert visitor.get("/sign-off").status == 403


def _text(data: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


@pytest.mark.parametrize("who", [MIRA, SOL])
def test_the_sign_in_sheet_of_a_training_day_is_asked_for_on_the_crew_sheet(
    visit: Visit, who: people.Someone
) -> None:
    visitor = visit(who)
    visitor.get("/crew/" + people.CREW)
    form, filled = "form[action='/sign-in-sheet']", {"module": "small-valve", "day": "2027-04-09"}
    sheet = visitor.send_get(form, **filled, approved_by="Una Gatewood")
    assert sheet.path == "/print/sign_in_sheet/Sedge Lane / small-valve / 2027-04-09 / Una Gatewood"
    assert sheet.response.content_type == "application/pdf"
    text = _text(sheet.response.data)
    assert "Una Gatewood" in text
    assert "2027-04-09" in text
    assert who.display_name in text
    visitor.get("/crew/" + people.CREW)
    sheet = visitor.send_get(form, **filled)
    assert sheet.path == "/print/sign_in_sheet/Sedge Lane / small-valve / 2027-04-09"
    assert "Una Gatewood" not in _text(sheet.response.data)


@pytest.mark.parametrize(
    ("filled", "says"),
    [
        ({"module": "no-such"}, "Choose the procedure"),
        ({"day": ""}, "on which day"),
        ({"day": "Friday"}, "on which day"),
    ],
)
def test_a_training_day_that_lacks_something_comes_back_as_it_was(
    visit: Visit, filled: dict[str, str], says: str
) -> None:
    asked = {"crew": people.CREW, "module": "small-valve", "day": "2027-04-09", "approved_by": "Una"} | filled
    sheet = visit(MIRA).get("/sign-in-sheet?" + urlencode(asked))
    assert sheet.status == 422
    assert says in sheet.said
    form = sheet.soup.select_one("details[open] form[action='/sign-in-sheet']")
    assert form is not None
    assert form.select_one("[name=approved_by]")["value"] == "Una"  # type: ignore[index]  # it is there
    assert form.select_one("[name=crew]")["value"] == people.CREW  # type: ignore[index]


def test_nobody_gets_the_sign_in_sheet_of_a_crew_they_do_not_see(visit: Visit) -> None:
    asked = urlencode({"crew": people.OTHER_CREW, "module": "small-valve", "day": "2027-04-09"})
    assert visit(MIRA).get("/sign-in-sheet?" + asked).status == 404
    assert visit(AMA).get("/sign-in-sheet?" + asked).status == 403


def test_crews_and_what_lapses_stand_on_one_list(visit: Visit) -> None:
    sheet = visit(INES).get("/crew")
    assert people.CREW in sheet.words()
    assert people.OTHER_CREW in sheet.words()


def test_an_unknown_thing_to_print_is_not_found(visit: Visit) -> None:
    visitor = visit(SOL)
    assert visitor.get("/print/nothing/x").status == 404
    assert visitor.get("/print/crew_sheet/No such crew").status == 404


def test_a_job_card_is_printed_from_the_procedure(visit: Visit) -> None:
    visitor = visit(AMA)
    links = visitor.get("/modules/" + scene.VALVE).soup.select("a[href^='/print/job_card/']")
    assert len(links) == 3
    assert visitor.get(str(links[1]["href"])).response.data.startswith(b"%PDF")


def test_the_crew_sheet_can_be_taken_along_as_a_table(visit: Visit) -> None:
    visitor = visit(SOL)
    sheet = visitor.get(f"/crew/{people.CREW}")
    taken = {
        str(link["href"]).split("/")[2]: str(link["href"]) for link in sheet.soup.select("a[href^='/print/']")
    }
    assert {"crew_sheet", "crew_csv", "crew_xlsx", "lapse_list", "lapse_csv", "lapse_xlsx"} <= set(taken)
    for kind, address in taken.items():
        answer = visitor.get(address).response
        assert answer.status_code == 200
        assert kind.replace("_", "-") in answer.headers["Content-Disposition"]
    plain = visitor.get(f"{taken['crew_csv']}?bom=no").response
    assert plain.content_type == "text/csv; charset=utf-8"
    assert plain.data.startswith(b"Day,")
