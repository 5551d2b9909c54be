"""A person's own sheets: what is missing, the drill, its mark, the record."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.people import AMA, BEN
from tests.web import scene
from trainer import drills
from trainer.actions import practise, publish
from trainer.actions.actor import SYSTEM
from trainer.actions.views import DrillAddress
from trainer.procedure import library
from trainer.records.qualification import Standing
from trainer.web.practise import sheet_pages

if TYPE_CHECKING:
    from collections.abc import Callable

    from bs4 import Tag

    from tests.web.visitor import Sheet, Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

FORM = "form.answer"
OF_KIND = {
    "order": "by-arrange",
    "way-round": "by-choose",
    "torque-pass": "by-number",
    "what-now": "by-next-step",
    "say-it": "by-say",
}


def open_drill(visitor: Visitor, db: Database, kind: str) -> DrillAddress:
    """Open the next drill of a kind; return its address."""
    module = publish.module_at(db, scene.revision_of(db, scene.VALVE))
    skill = next(skill.id for skill in drills.skills(module) if skill.kind == kind)
    sheet = visitor.get(f"/practise/{scene.VALVE}?skill={skill}")
    _, _, module_id, revision, its_kind, size, seed = sheet.path.split("/")
    return DrillAddress(module_id, revision, its_kind, size.replace("%20", " "), int(seed))


def lines_of(sheet: Sheet) -> list[str]:
    """Return the ids of the lines, from the top down."""
    return [str(tag["value"]) for tag in sheet.soup.select("[name=line]")]


def test_my_sheet_says_what_is_missing_and_what_comes_next(visit: Visit) -> None:
    sheet = visit(BEN).get("/sheet")
    assert "still to be shown, in 1 module" in sheet.heading
    assert sheet.soup.select(".main-button")[0].get_text().startswith("Practise: ")
    assert "An evaluation" in sheet.words(".missing")
    assert "11 days left" in sheet.words()


def test_my_sheet_asks_nothing_more_of_what_is_signed(db: Database) -> None:
    sheet = practise.my_sheet(db, scene.enter(db, BEN), now=scene.NOW)
    (module,) = sheet.modules
    other = replace(module, module_id="other", standing=Standing.SIGNED)
    page = sheet_pages.sheet_page(replace(sheet, modules=(other, module)))
    left = len(module.skills) - module.shown
    assert left > 1
    assert page.sentence.startswith(f"{left} skills still to be shown, in 1 module.")
    assert page.first == module.module_id
    page = sheet_pages.sheet_page(replace(sheet, modules=(other,)))
    assert page.sentence.startswith("Signed in 1 module, all on your sheet.")


def test_an_arrow_moves_a_line_without_script_and_nothing_is_lost(visit: Visit, db: Database) -> None:
    visitor = visit(BEN)
    open_drill(visitor, db, "order")
    before = lines_of(visitor.sheet)
    ticket = visitor.sheet.one("[name=ticket]")["value"]
    sheet = visitor.send(FORM, press=f"{before[1]} up")
    assert lines_of(sheet) == [before[1], before[0], *before[2:]]
    assert sheet.one("[name=ticket]")["value"] == ticket
    assert sheet.words("[role=status]#said").endswith(f"now 1 of {len(before)}.")
    assert sheet.one("button[autofocus]")["value"] == f"{before[1]} down"
    sheet = visitor.send(FORM, press=f"{before[1]} down")
    assert lines_of(sheet) == before


def test_the_first_line_cannot_go_up_nor_the_last_down(visit: Visit, db: Database) -> None:
    visitor = visit(BEN)
    open_drill(visitor, db, "order")
    off = [str(button["value"]) for button in visitor.sheet.soup.select("button[name=move][disabled]")]
    lines = lines_of(visitor.sheet)
    assert off == [f"{lines[0]} up", f"{lines[-1]} down"]


@pytest.mark.parametrize("kind", sorted(OF_KIND))
def test_each_form_of_answer_is_marked_right(visit: Visit, db: Database, kind: str) -> None:
    visitor = visit(BEN)
    address = open_drill(visitor, db, kind)
    assert OF_KIND[kind] in visitor.sheet.one(FORM)["class"]
    sheet = hand_in(visitor, scene.right_answer(db, address))
    assert sheet.path.startswith("/marked/")
    assert sheet.soup.select(".signal") == []
    assert str(sheet.soup.select(".verdict path")[0]["d"]).startswith("M3 10")  # the tick


@pytest.mark.parametrize("kind", sorted(OF_KIND))
def test_each_form_of_answer_is_told_what_would_have_happened(visit: Visit, db: Database, kind: str) -> None:
    visitor = visit(BEN)
    address = open_drill(visitor, db, kind)
    sheet = hand_in(visitor, scene.wrong_answer(db, address))
    view = drills.mark(
        publish.module_at(db, address.revision),
        address.kind,
        address.size,
        address.seed,
        scene.wrong_answer(db, address),
    )
    assert not view.right
    text = sheet.words().replace("\xa0", " ")
    assert " ".join(view.headline.split()) in text
    assert " ".join(view.instead.split()) in text
    if view.incident:
        panel = sheet.one("section.signal")
        assert panel["aria-label"] == str(view.incident.signal).capitalize()


def hand_in(visitor: Visitor, answer: object) -> Sheet:
    """Fill the open form in and have it marked."""
    if visitor.sheet.soup.select("button[name=pick]"):
        assert isinstance(answer, list)
        for pick in answer:
            visitor.send(FORM, press=str(pick))
        return visitor.sheet
    if isinstance(answer, list):
        return visitor.send(FORM, press="yes", line=[str(line) for line in answer])
    assert isinstance(answer, dict)
    fields: dict[str, str] = {}
    for name, value in answer.items():
        if isinstance(value, dict):
            fields |= {f"value__{name}": value["value"], f"unit__{name}": value["unit"]}
        else:
            what = "say" if visitor.sheet.soup.select(f"[name='say.{name}']") else "row"
            fields[f"{what}__{name}"] = value
    return visitor.send(FORM, press="yes", **fields)


def test_a_marked_order_tells_each_line_its_place(visit: Visit, db: Database) -> None:
    visitor = visit(BEN)
    address = open_drill(visitor, db, "order")
    wrong = scene.wrong_answer(db, address)
    sheet = hand_in(visitor, wrong)
    assert isinstance(wrong, list)
    told = [str(tag.get_text()) for tag in sheet.soup.select(".order .to .unseen")]
    places = sorted(int(text.rpartition(": ")[2]) for text in told)
    assert places == list(range(1, len(wrong) + 1))
    moves = sum("to be moved" in text for text in told)
    assert cell(sheet, "Moves to put it right") == str(moves)
    assert len(sheet.soup.select(".curves path.moved")) == moves


def cell(sheet: Sheet, label: str) -> str:
    """Return what stands in a cell under the title block."""
    cells = sheet.soup.select(".cells .cell")
    return next(_after(tag, label) for tag in cells if tag.get_text().startswith(label))


def _after(tag: Tag, label: str) -> str:
    return tag.get_text().removeprefix(label).strip()


def test_the_same_form_sent_twice_is_one_attempt(visit: Visit, db: Database) -> None:
    visitor = visit(BEN)
    open_drill(visitor, db, "order")
    opened = visitor.sheet
    first = visitor.send(FORM, press="yes").path
    visitor.sheet = opened
    assert visitor.send(FORM, press="yes").path == first


@pytest.mark.parametrize("kind", ["way-round", "torque-pass"])
def test_an_unfinished_answer_comes_back_as_it_was(visit: Visit, db: Database, kind: str) -> None:
    visitor = visit(BEN)
    address = open_drill(visitor, db, kind)
    right = scene.right_answer(db, address)
    assert isinstance(right, dict)
    first = next(iter(right))
    one = {first: right[first]}
    sheet = hand_in(visitor, one)
    if len(right) == 1:
        assert sheet.path.startswith("/marked/")
        return
    assert sheet.status == 422
    assert sheet.said
    if kind == "way-round":
        assert sheet.one(f"[name='row.{first}'][checked]")["value"] == right[first]
    else:
        given = right[first]
        assert isinstance(given, dict)
        assert sheet.one(f"[name='value.{first}']")["value"] == given["value"]


def test_a_script_is_told_where_the_mark_is(visit: Visit, db: Database) -> None:
    visitor = visit(BEN)
    open_drill(visitor, db, "order")
    opened = visitor.sheet
    fields = {
        "csrf_token": str(opened.one(f"{FORM} [name=csrf_token]")["value"]),
        "ticket": str(opened.one("[name=ticket]")["value"]),
        "line": lines_of(opened),
        "mark": "yes",
    }
    said = visitor.client.post(opened.path, data=fields, headers={"Accept": "application/json"})
    assert json.loads(said.data)["marked"].startswith("/marked/")
    empty = {**fields, "ticket": ""}
    refused = visitor.client.post(opened.path, data=empty, headers={"Accept": "application/json"})
    assert refused.status_code == 422
    assert "ticket" in json.loads(refused.data)["says"]


def test_the_key_is_nowhere_before_marking(visit: Visit, db: Database) -> None:
    """The lines stand in another order than the key, and nothing else on the page tells one from another."""
    visitor = visit(BEN)
    for kind in OF_KIND:
        address = open_drill(visitor, db, kind)
        module = publish.module_at(db, address.revision)
        key = drills.key(module, address.kind, address.size, address.seed)
        mark = drills.mark(module, address.kind, address.size, address.seed, key)
        text = visitor.sheet.text
        assert json.dumps(key) not in text
        assert mark.headline not in text
        asked = drills.ask(module, address.kind, address.size, address.seed)
        for row in getattr(asked.form, "rows", ()):
            shown = [str(tag["value"]) for tag in visitor.sheet.soup.select(f"[name='row.{row.id}']")]
            assert shown == [option.id for option in row.options]
            assert visitor.sheet.soup.select(f"[name='row.{row.id}'][checked]") == []
        for step in module.steps:
            assert step not in _ids_and_values(visitor.sheet)


def _ids_and_values(sheet: Sheet) -> set[str]:
    tags = sheet.soup.select("main [id], main [value], main [name]")
    return {str(tag.get(name)) for tag in tags for name in ("id", "value", "name") if tag.get(name)}


def test_an_order_page_fits_the_first_flight(visit: Visit, db: Database) -> None:
    """14,600 B: what a server may send before the first acknowledgement (RFC 6928, section 2)."""
    visitor = visit(BEN)
    open_drill(visitor, db, "order")
    assert len(visitor.sheet.response.data) < 14_600


def test_my_record_has_what_fits_into_a_pocket(visit: Visit) -> None:
    sheet = visit(AMA).get("/record")
    assert "1 task you may do" in sheet.heading
    assert "T-41" in sheet.words(".pocket")
    assert "QR-2027-0001" in sheet.words(".pocket")


def test_a_run_goes_on_pick_by_pick_and_keeps_its_ticket(visit: Visit, db: Database) -> None:
    visitor = visit(BEN)
    address = open_drill(visitor, db, "what-now")
    key = scene.right_answer(db, address)
    assert isinstance(key, list)
    ticket = visitor.sheet.one("[name=ticket]")["value"]
    assert visitor.sheet.soup.select("button[name=mark]") == []
    first = visitor.sheet.one(f"button[name=pick][value={key[0]}]").get_text()
    sheet = visitor.send(FORM, press=key[0])
    assert sheet.words(".so-far") == first
    assert sheet.one("[name=ticket]")["value"] == ticket
    assert [tag["value"] for tag in sheet.soup.select("[name=picked]")] == key[:1]


def test_picks_that_were_never_offered_are_refused(visit: Visit, db: Database) -> None:
    visitor = visit(BEN)
    address = open_drill(visitor, db, "what-now")
    sheet = visitor.post(visitor.sheet.path, pick="zz", ticket="t")
    assert sheet.status == 422
    assert address.kind == "what-now"


def test_what_is_not_marked_gets_neither_tick_nor_cross(visit: Visit, db: Database) -> None:
    visitor = visit(BEN)
    module = publish.module_at(db, scene.revision_of(db, scene.VALVE))
    seed = next(
        seed
        for seed in range(50)
        if any(
            said.detail for said in getattr(drills.ask(module, "say-it", "DN 50", seed).form, "fields", ())
        )
    )
    visitor.get(f"/practise/{scene.VALVE}/{module.revision}/say-it/DN 50/{seed}")
    sheet = hand_in(visitor, drills.key(module, "say-it", "DN 50", seed))
    assert sheet.path.startswith("/marked/")
    loose = [row for row in sheet.soup.select(".rows li") if "Not marked" in row.get_text()]
    assert len(loose) == 1
    assert loose[0].select("svg") == []
    assert (
        cell(sheet, "Right")
        == f"{len(sheet.soup.select('.rows li')) - 1} of {len(sheet.soup.select('.rows li')) - 1}"
    )


def test_lines_of_a_card_stand_as_passed_until_they_are_marked(visit: Visit, db: Database) -> None:
    """Every line has the same option chosen at first, so that it says nothing of any of them."""
    visitor = visit(BEN)
    open_drill(visitor, db, "find-the-slip")
    chosen = [str(tag["value"]) for tag in visitor.sheet.soup.select(f"{FORM} input[type=radio][checked]")]
    assert chosen == ["a"] * len(visitor.sheet.soup.select(f"{FORM} fieldset.choice"))
    assert visitor.send(FORM, press="yes").path.startswith("/marked/")


# The short sheet


def test_a_short_sheet_says_why_and_leads_from_drill_to_drill_without_script(
    visit: Visit, db: Database
) -> None:
    visitor = visit(BEN)
    link = visitor.get("/sheet").one("a.mixed")
    assert link.get_text() == "10 minutes, skills in turn"
    sheet = visitor.get(str(link["href"]))
    assert sheet.heading == "5 drills in about 10 minutes."
    titles = [
        str(cell.get_text()).partition(". ")[2] for cell in sheet.soup.select("table")[0].select("tbody th")
    ]
    assert titles == [titles[0], titles[1], titles[2], titles[0], titles[1]]
    assert len(set(titles)) == 3
    assert "can hurt somebody" in sheet.words()
    sheet = visitor.get(str(sheet.one(".main-button")["href"]))
    for drill in range(1, 6):
        assert sheet.words(".turns summary").startswith(f"Drill {drill} of 5")
        assert sheet.one(".turns [aria-current]").get_text() == titles[drill - 1]
        _, _, module_id, revision, kind, size, seed = sheet.path.split("/")
        address = DrillAddress(module_id, revision, kind, size.replace("%20", " "), int(seed))
        right = drill != 2
        answer = scene.right_answer(db, address) if right else scene.wrong_answer(db, address)
        sheet = hand_in(visitor, answer)
        assert sheet.path.startswith("/marked/")
        onward = sheet.soup.select(".main-button")[0]
        following = f"Drill {drill + 1} of 5: " if drill < 5 else "All done: another sheet"
        assert onward.get_text().startswith(following)
        sheet = visitor.get(str(onward["href"]))
    assert "in about 10 minutes" in sheet.heading


def test_a_plan_that_makes_no_sense_is_passed_over(visit: Visit) -> None:
    visitor = visit(BEN)
    for query in ("plan=&at=1", "plan=what-now&at=7", "plan=what-now&at=x", "plan=" + "~".join("a" * 80)):
        sheet = visitor.get(f"/practise/{scene.VALVE}?{query}")
        assert sheet.status == 200
        assert sheet.soup.select(".turns") == []
    assert visitor.get(f"/practise/{scene.VALVE}?plan=no-such-skill&at=1").status == 404
    sheet = visitor.get(f"/practise/{scene.VALVE}?plan=what-now&at=1")
    sheet = visitor.get(sheet.path + "?plan=what-now~no-such-skill&at=1")
    assert (sheet.status, sheet.soup.select(".turns")) == (200, [])


def test_what_is_shown_says_when_it_is_due_again(visit: Visit) -> None:
    sheet = visit(AMA).get("/sheet")
    due = {tag.get_text() for tag in sheet.soup.select("td.again")}
    assert due
    assert all(text.startswith("in ") and text.endswith(" days") for text in due)
    numbers = visit(AMA).get(f"/practise/{scene.VALVE}/in-turn")
    assert "Everything" not in numbers.heading
    assert "over 99 %" in numbers.words("details.opens table")
    assert "nobody is signed off by it" in numbers.words("details.opens")


def test_a_size_that_holds_a_slash_has_its_drills_and_its_pictures(visit: Visit, db: Database) -> None:
    text = library.find("pilot-overhaul").read_text(encoding="utf-8")
    publish.publish(db, SYSTEM, text, file="pilot-overhaul.yaml", now=scene.NOW)
    visitor = visit(BEN)
    sheet = visitor.get("/practise/pilot-overhaul?skill=keep-or-renew")
    assert sheet.status == 200
    assert "/G 1/4/" in sheet.path
    assert sheet.soup.select(".row-picture svg")
    # Whoever cannot see it reads what is seen.
    assert len(sheet.soup.select("fieldset > p.unseen")) == len(sheet.soup.select("fieldset > .row-picture"))
    marked = visitor.send(
        FORM,
        **{
            str(tag["name"]): str(tag["value"])
            for tag in reversed(sheet.soup.select("fieldset input[type=radio]"))
        },
    )
    assert marked.status == 200
    assert marked.soup.select(".answered-picture svg")
