"""A sitting from its release to its end, as the people in it see it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.people import AMA, BEN, CLEO, INES, KIT, MIRA, SOL
from tests.web import scene
from trainer.actions import publish, sitting
from trainer.actions.views import DrillAddress
from trainer.demo import answers

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Sheet, Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

RELEASE = f"/people/{BEN.id}/release/{scene.VALVE}"


@pytest.fixture
def number(visit: Visit) -> str:
    """Ben is released; the number of his sitting."""
    mira = visit(MIRA)
    mira.get(RELEASE)
    sheet = mira.send(f"form[action='{RELEASE}']", because="He is ready.")
    return sheet.path.rsplit("/", 1)[1]


def _begin(ben: Visitor, number: str) -> Sheet:
    ben.get(f"/sitting/{number}")
    return ben.send(f"form[action='/sitting/{number}/begin']")


def _answer(ben: Visitor, db: Database, *, right: bool = True) -> Sheet:
    """Answer the open question as it stands there."""
    path = ben.sheet.path
    ticket = str(ben.sheet.one("[name=ticket]")["value"])
    return ben.post(path, ticket=ticket, **_fields(db, path, right=right))  # type: ignore[arg-type]


def _fields(db: Database, path: str, *, right: bool = True) -> dict[str, object]:
    """Return what the form of the open question would send."""
    _, _, number, position = path.split("/")
    with_actor = scene.enter(db, BEN)
    asked = sitting.question(db, with_actor, int(number), int(position), now=scene.NOW).question
    address = DrillAddress(asked.module, asked.revision, asked.kind, asked.size, asked.seed)
    module = publish.module_at(db, asked.revision)
    given = (answers.right if right else answers.wrong)(module, address)
    fields: dict[str, object] = {}
    if asked.form.NAME == "arrange":
        fields = {"line": given, "mark": "yes"}
    elif asked.form.NAME == "next-step":
        fields = {"picked": given[:-1], "pick": given[-1]}
    elif asked.form.NAME == "say":
        fields = {f"say.{name}": words for name, words in given.items()} | {"mark": "yes"}
    elif all(isinstance(value, dict) for value in given.values()):
        for name, value in given.items():
            fields |= {f"value.{name}": value["value"], f"unit.{name}": value["unit"]}
        fields["mark"] = "yes"
    else:
        fields = {f"row.{name}": option for name, option in given.items()} | {"mark": "yes"}
    return fields


def test_the_mentor_reads_the_advice_and_releases(visit: Visit) -> None:
    mira = visit(MIRA)
    sheet = mira.get("/people/" + BEN.id)
    assert RELEASE in {str(a["href"]) for a in sheet.soup.select("a")}
    sheet = mira.get(RELEASE)
    sheet.must_be_sound()
    assert "Practice advises to wait" in sheet.words()
    assert "Undecided" in sheet.words()
    refused = mira.send(f"form[action='{RELEASE}']", because="  ")
    assert refused.status == 422
    assert "Write down why" in refused.said
    done = mira.send(f"form[action='{RELEASE}']", because="I have seen him at the bench.")
    assert "has not begun yet" in done.heading
    assert "I have seen him at the bench." in done.words()
    done.must_be_sound()
    again = mira.get(RELEASE)
    assert "it comes first" in again.said
    assert again.soup.select(f"form[action='{RELEASE}']") == []


def test_the_sitting_waits_on_the_persons_own_sheet(visit: Visit, number: str) -> None:
    sheet = visit(BEN).get("/sheet")
    assert f"/sitting/{number}" in {str(a["href"]) for a in sheet.soup.select("a")}
    assert "released, not begun" in sheet.words()
    sheet.must_be_sound()


def test_a_question_is_addressed_by_number_and_position_and_shows_no_seed(
    visit: Visit, number: str, db: Database
) -> None:
    ben = visit(BEN)
    sheet = _begin(ben, number)
    assert sheet.path == f"/sitting/{number}/1"
    sheet.must_be_sound()
    asked = sitting.question(db, scene.enter(db, BEN), int(number), 1, now=scene.NOW).question
    assert str(asked.seed) not in sheet.text
    assert "/pictures" not in sheet.text
    assert "no-store" in sheet.response.headers["Cache-Control"]


def test_answers_lead_on_without_a_mark_and_there_is_no_way_back(
    visit: Visit, number: str, db: Database
) -> None:
    ben = visit(BEN)
    _begin(ben, number)
    sheet = _answer(ben, db, right=False)
    assert sheet.path == f"/sitting/{number}/2"
    for word in ("Right:", "Wrong:", "would have"):
        assert word not in sheet.words()
    for elsewhere in (1, 3, 99):
        assert ben.get(f"/sitting/{number}/{elsewhere}").path == f"/sitting/{number}/2"
    first = ben.post(f"/sitting/{number}/1", ticket="another", mark="yes", line="x")
    assert first.path == f"/sitting/{number}/2"
    waiting = ben.get(f"/sitting/{number}")
    assert waiting.heading == "Under way: 1 question answered."
    assert "Go on with question 2" in waiting.words()
    assert waiting.soup.select("table") == []


def test_a_script_is_told_where_to_go_next(visit: Visit, number: str, db: Database) -> None:
    ben = visit(BEN)
    _begin(ben, number)
    token = str(ben.sheet.one("main [name=csrf_token]")["value"])
    sent = {"csrf_token": token, "ticket": "one", **_fields(db, ben.sheet.path)}
    for _ in range(2):
        answer = ben.client.post(
            f"/sitting/{number}/1",
            data=sent,
            headers={"Accept": "application/json"},
        )
        assert answer.get_json() == {"marked": f"/sitting/{number}/2"}


def test_while_he_sits_nothing_helps_him(visit: Visit, number: str) -> None:
    ben = visit(BEN)
    _begin(ben, number)
    mine = f"/marked/{_own_attempt(ben)}"
    for path in (
        f"/practise/{scene.VALVE}",
        f"/modules/{scene.VALVE}",
        mine,
        f"/print/job_card/{scene.VALVE}",
    ):
        sheet = ben.get(path)
        assert sheet.status == 409, path
        assert "middle of a sitting" in sheet.heading
    assert visit(AMA).get(f"/practise/{scene.VALVE}").status == 200


def _own_attempt(ben: Visitor) -> str:
    for attempt in range(1, 200):
        if ben.client.get(f"/marked/{attempt}").status_code == 409:
            return str(attempt)
    raise AssertionError("Ben has answered nothing in practice")


def test_after_the_end_every_question_is_shown_with_its_mark(visit: Visit, number: str, db: Database) -> None:
    ben = visit(BEN)
    _begin(ben, number)
    wrong_first = True
    while re.fullmatch(rf"/sitting/{number}/\d+", ben.sheet.path):
        _answer(ben, db, right=not wrong_first)
        wrong_first = False
    assert ben.sheet.path == f"/sitting/{number}"
    ben.sheet.must_be_sound()
    assert "What each class came to" in ben.sheet.words()
    assert "Undecided" in ben.sheet.words()
    for who in (BEN, MIRA, SOL, INES):
        reader = visit(who)
        sheet = reader.get(f"/sitting/{number}")
        links = [str(a["href"]) for a in sheet.soup.select("section table a")]
        assert len(links) == 24
        first = reader.get(links[0])
        first.must_be_sound()
        assert first.status == 200
        assert [a["href"] for a in first.soup.select(".buttons a")] == [f"/sitting/{number}"]
    for who in (AMA, CLEO, KIT):
        assert visit(who).get(f"/sitting/{number}").status in (403, 404)
        assert visit(who).get(f"/sitting/{number}/1").status in (403, 404)


def test_the_mentor_breaks_it_off_with_a_reason(visit: Visit, number: str) -> None:
    ben = visit(BEN)
    _begin(ben, number)
    mira = visit(MIRA)
    sheet = mira.get(f"/sitting/{number}/1")
    assert sheet.path == f"/sitting/{number}"
    form = f"form[action='/sitting/{number}/break-off']"
    assert "Write down why" in mira.send(form, because="").said
    done = mira.send(form, because="The alarm went off.")
    assert done.heading == "Broken off: The alarm went off."
    assert ben.get(f"/sitting/{number}/1").path == f"/sitting/{number}"
    assert ben.get(f"/practise/{scene.VALVE}").status == 200


def test_pictures_of_lines_come_after_the_end_alone(visit: Visit, number: str, db: Database) -> None:
    ben, mira = visit(BEN), visit(MIRA)
    _begin(ben, number)
    at = f"/sitting/{number}/1/pictures"
    assert "data-pictures" not in ben.sheet.text
    _answer(ben, db)
    assert [who.client.get(at).status_code for who in (ben, mira)] == [404, 404]
    mira.get(f"/sitting/{number}")
    mira.send(f"form[action='/sitting/{number}/break-off']", because="The alarm went off.")
    for who in (ben, mira):
        answer = who.client.get(at)
        assert answer.status_code == 200
        assert answer.content_type.startswith("application/json")
    assert visit(AMA).client.get(at).status_code == 404


def test_only_its_person_begins_it(visit: Visit, number: str) -> None:
    assert visit(AMA).get(f"/sitting/{number}").status == 404
    assert visit(SOL).get(f"/sitting/{number}").soup.select(f"form[action='/sitting/{number}/begin']") == []
    assert visit(MIRA).post(f"/sitting/{number}/begin").status == 404
