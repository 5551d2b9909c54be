"""How a procedure is answered, and where a panel draws the line."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest

from tests.people import AMA, BEN, INES, KIT, MIRA, SOL
from tests.web import scene
from trainer import drills
from trainer.actions import analysis, panel, publish
from trainer.actions.actor import SYSTEM
from trainer.web.analysis import plots
from trainer.web.analysis.plots import Arc, Dot

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

ANSWERS = f"/modules/{scene.VALVE}/answers"
PANEL = f"/modules/{scene.VALVE}/panel"


@pytest.mark.parametrize("who", [MIRA, SOL, INES, KIT])
def test_who_looks_after_procedures_finds_the_sheet(visit: Visit, who: object) -> None:
    visitor = visit(who)
    assert visitor.get("/modules/" + scene.VALVE).soup.select_one(f'a[href="{ANSWERS}"]')
    assert visitor.get(ANSWERS).status == 200


def test_a_technician_does_not(visit: Visit) -> None:
    visitor = visit(AMA)
    assert not visitor.get("/modules/" + scene.VALVE).soup.select_one(f'a[href="{ANSWERS}"]')
    assert visitor.get(ANSWERS).status == 403
    assert visitor.get(PANEL).status == 403


def test_the_sheet_names_nobody(visit: Visit) -> None:
    words = visit(SOL).get(ANSWERS).words()
    for someone in (AMA, BEN):
        assert someone.display_name not in words
        assert someone.id not in words


def test_broken_orders_are_drawn_on_the_step_list(visit: Visit) -> None:
    page = visit(SOL).get(ANSWERS)
    (arcs, *_) = page.soup.select("svg.arcs")
    assert [tag.name for tag in arcs.find_all(["title", "desc"])] == ["title", "desc"]
    assert "Most often" in arcs.get_text()
    assert page.soup.select(".beside-arcs li.early")
    assert page.soup.select("table.relations tbody tr")


def test_few_people_are_told_in_a_sentence(visit: Visit) -> None:
    words = visit(SOL).get(ANSWERS).words()
    assert "Nothing is said of items below 20 people who answered all of them" in words
    assert "needs the answers of 200 people" in words


def test_numbers_stand_beside_every_plot(visit: Visit) -> None:
    page = visit(SOL).get(ANSWERS)
    plots_shown = page.soup.select("svg.plot")
    assert plots_shown
    for plot in plots_shown:
        section = plot.find_parent("section")
        assert section is not None
        assert section.select("table.numbers tbody tr")


def test_models_are_shown_with_their_numbers_or_what_is_missing(
    visit: Visit, db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    visitor = visit(SOL)
    few = visitor.get(ANSWERS).soup.select_one(f'a[href="{ANSWERS}/models"]')
    assert few is not None
    page = visitor.get(ANSWERS + "/models")
    page.must_be_sound()
    assert page.heading == "No model yet."
    assert "3 skills that 200 people each have answered" in page.words()
    assert not page.soup.select("svg.plot")
    skills = [row.get_text() for row in page.soup.select("section table th[scope=row]")]
    chance = random.Random(3)  # noqa: S311  # invented answers
    revision = scene.revision_of(db, scene.VALVE)
    ids = [skill.id for skill in drills.skills(publish.module_at(db, revision))]
    assert len(ids) == len(skills)
    firsts = []
    for number in range(260):
        able = chance.gauss(0.8, 1)
        firsts += [
            (f"P-{number}", skill, able + chance.gauss(0, 1) > place / 9) for place, skill in enumerate(ids)
        ]
    monkeypatch.setattr(
        "trainer.store.analysis.first_answers", lambda _unit, _revision, people: firsts[: people * 99]
    )
    page = visitor.get(ANSWERS + "/models")
    page.must_be_sound()
    assert page.heading == f"{len(ids)} skills on one scale with 260 people."
    assert len(page.soup.select("table.stacks tbody tr")) == len(ids)
    (plot,) = page.soup.select("svg.plot")
    assert plot.select_one("path.mean")
    assert len(plot.select("path.joined, path.foretold")) == 2
    assert plot.find_parent("section").select("table.numbers tbody tr")  # type: ignore[union-attr]
    assert "kappa" in page.words()
    assert "260 people who answered every one" in page.words()
    assert visit(AMA).get(ANSWERS + "/models").status == 403


def test_a_skill_shows_what_is_chosen(visit: Visit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(analysis, "FEWEST_ANSWERS", 1)
    page = visit(KIT).get(ANSWERS + "/way-round")
    assert page.status == 200
    assert page.soup.select(".choices .is-right")
    assert "put in order" in visit(KIT).get(ANSWERS + "/order:teardown").words()
    assert visit(KIT).get(ANSWERS + "/nothing").status == 404


def test_a_procedure_that_nobody_answered_says_so(visit: Visit, db: Database) -> None:
    scene.with_shapes(db)
    words = visit(SOL).get("/modules/piston-valve-overhaul/answers").words()
    assert "Nobody has answered anything at this revision yet." in words


def _fill(visitor: Visitor, *columns: str) -> dict[str, str | list[str]]:
    page = visitor.get(PANEL)
    judges = [str(tag["name"]) for tag in page.soup.select("[name=judge]")]
    values: dict[str, str | list[str]] = {
        "judge": [f"Judge {n}" if n < len(columns) else "" for n in range(len(judges))]
    }
    for tag in page.soup.select(".estimates input"):
        judge = int(str(tag["name"]).split(".")[1])
        values[str(tag["name"])] = columns[judge] if judge < len(columns) else ""
    return values


def test_a_panel_keeps_its_sheet(visit: Visit) -> None:
    visitor = visit(KIT)
    sheet = visitor.send("form.panel", press="", **_fill(visitor, "80", "60"))
    assert sheet.path.startswith(PANEL + "/")
    assert "70 % right" in sheet.words().replace("\xa0", " ")
    assert "Judge 0" in sheet.words()
    assert sheet.soup.select_one("svg.plot desc")
    assert "below 20 people" in sheet.words()
    kept = visit(MIRA).get(PANEL)
    assert kept.soup.select_one(f'a[href="{sheet.path}"]')
    assert not kept.soup.select("form.panel button")


def test_a_kept_sheet_shows_what_people_do(
    visit: Visit, db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    visitor = visit(KIT)
    path = visitor.send("form.panel", press="", **_fill(visitor, "80", "60")).path
    skills = [skill.id for skill in panel.room(db, SYSTEM, scene.VALVE).items]
    firsts = [(f"P-{n}", skill, (n + place) % 4 > 0) for n in range(40) for place, skill in enumerate(skills)]
    monkeypatch.setattr(
        "trainer.store.analysis.first_answers", lambda _unit, _revision, people: firsts[: people * 99]
    )
    page = visitor.get(path)
    assert "people who answered every one of these skills" in page.words()
    assert {len(row.select("th, td")) for row in page.soup.select("table tr")} == {6}


def test_what_was_typed_stays_when_an_estimate_is_missing(visit: Visit) -> None:
    visitor = visit(KIT)
    sheet = visitor.send("form.panel", press="", **_fill(visitor, "80", "a few"))
    assert sheet.status == 422
    assert "Judge 1 has no estimate from 0 to 100 % for" in sheet.said
    assert sheet.one('[name="estimate.0.0"]')["value"] == "80"
    assert sheet.one('[name="estimate.1.0"]')["value"] == "a few"


def test_a_larger_sheet_has_room_for_eight(visit: Visit) -> None:
    visitor = visit(KIT)
    assert len(visitor.get(PANEL + "?judges=8").soup.select("[name=judge]")) == 8
    for odd in ("0", "99", "x", "-3"):
        assert 2 <= len(visitor.get(f"{PANEL}?judges={odd}").soup.select("[name=judge]")) <= 8
    assert visitor.get(PANEL + "/77").status == 404


def test_plots_are_sound_and_escape_what_they_say() -> None:
    dots = [Dot("1–7", 0.5, 0.2, 0.8, 0.6), Dot("8 +", 1.0, 0.9, 1.0, 0.4)]
    drawn = plots.shares("p", "A & <b>", "so", dots, across="Days", joined=True)
    root = ET.fromstring(drawn)  # noqa: S314  # our own drawing
    assert root.find("title").text == "A & <b>"  # type: ignore[union-attr]
    assert drawn.count('class="dot"') == 2
    assert drawn.count('class="open"') == 2
    assert "style=" not in drawn
    for part in (
        plots.arcs("a", "t", "d", [Arc(0, 2, 1.0, True), Arc(1, 2, 0.2, False)], 3),
        plots.scale("s", "t", "d", [3.0, 4.0], 3.5, 0.7, 5.0),
        plots.range_bar(0.2, 0.5, 0.8),
        plots.shares("e", "t", "d", dots[:1], across="x", joined=True),
    ):
        ET.fromstring(part)  # noqa: S314  # our own drawing


def test_the_oftener_broken_the_thicker_and_shares_lie_where_they_should() -> None:
    drawn = ET.fromstring(plots.arcs("a", "t", "d", [Arc(0, 2, 0.1, True), Arc(1, 2, 1.0, False)], 3))  # noqa: S314
    width = {
        part.get("class"): float(part.get("stroke-width", "0"))
        for part in drawn
        if part.get("class") != "end"
    }
    assert width["holds-up"] > width["hurts"]
    full, none = (
        ET.fromstring(plots.shares("p", "t", "d", [Dot("1", share, share, share)], across="", joined=False))  # noqa: S314
        for share in (1.0, 0.0)
    )
    top, bottom = (
        float(next(part for part in root if part.get("class") == "dot").get("cy", ""))
        for root in (full, none)
    )
    assert top < bottom
