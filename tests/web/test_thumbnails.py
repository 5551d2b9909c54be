"""Thumbnails beside the lines of an order: fetched after the page, the same for everybody, off where nothing may help."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING
from urllib.parse import quote
from xml.etree import ElementTree as ET

from tests.people import AMA, BEN, MIRA, SOL
from tests.web import scene
from trainer import drills
from trainer.procedure import library
from trainer.web.pages import TitleBlock
from trainer.web.practise.answering import fresh
from trainer.web.practise.pages import question_page
from trainer.web.sketches import thumbnails

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

VALVE = library.load("piston-valve-overhaul")
# Ten segments of 1,460 bytes: what a server sends before it first waits for an answer (RFC 6928, from memory).
FIRST_FLIGHT = 14_600


def _path(db: Database, seed: int, size: str = "DN 80") -> str:
    return f"/practise/{VALVE.id}/{scene.with_shapes(db)}/order/{quote(size)}/{seed}"


def test_the_lines_name_their_pictures_and_one_answer_brings_them_all(visit: Visit, db: Database) -> None:
    visitor = visit(AMA)
    sheet = visitor.get(_path(db, 3))
    sheet.must_be_sound()
    at = str(sheet.one("ol.lines")["data-pictures"])
    wanted = [str(tag["data-line"]) for tag in sheet.soup.select(".thumb[data-line]")]
    pictures = json.loads(visitor.get(at).text)
    assert wanted
    assert list(pictures) == wanted
    for svg in pictures.values():
        root = ET.fromstring(svg)  # noqa: S314  # our own
        marked = [e for e in root.iter() if "next" in e.get("class", "").split()]
        assert marked
        assert not any((e.text or "").strip() for e in root.iter())


def test_a_thumbnail_is_the_same_wherever_its_line_stands() -> None:
    """What is drawn depends on the step alone: no question tells by it what is on and what is off."""
    seen: dict[str, set[str]] = {}
    for seed in range(40):
        question = drills.ask(VALVE, "order", "DN 80", seed)
        lines = {line.id: line.text for line in question.form.lines}  # type: ignore[union-attr]
        for name, svg in thumbnails(question, VALVE).items():
            prefix = svg.split(' id="', 1)[1].split("-")[0] if ' id="' in svg else ""
            seen.setdefault(lines[name], set()).add(svg.replace(prefix, "") if prefix else svg)
    assert len(seen) > 20
    assert all(len(drawn) == 1 for drawn in seen.values())


def test_pictures_are_asked_for_again_by_their_tag(visit: Visit, db: Database) -> None:
    visitor = visit(AMA)
    at = _path(db, 3) + "/pictures"
    first = visitor.client.get(at, headers={"Accept-Encoding": "gzip"})
    assert first.headers["Content-Encoding"] == "gzip"
    assert first.headers["Cache-Control"] == "private, no-cache"
    assert len(first.data) < 6_000
    plain = visitor.client.get(at)
    assert "Content-Encoding" not in plain.headers
    assert plain.headers["ETag"] != first.headers["ETag"]
    again = visitor.client.get(at, headers={"If-None-Match": plain.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_pictures_are_for_those_who_may_practise(visit: Visit, db: Database) -> None:
    at = _path(db, 3) + "/pictures"
    assert visit(SOL).client.get(at).status_code == 403
    assert visit().client.get(at).status_code == 303


def test_the_page_of_the_longest_order_fits_into_the_first_flight(visit: Visit, db: Database) -> None:
    client, path = visit(AMA).client, _path(db, 0)
    longest = 0
    for seed in range(0, 80, 3):
        response = client.get(path.removesuffix("0") + str(seed))
        head = "".join(f"{name}: {value}\r\n" for name, value in response.headers.items())
        longest = max(longest, len(response.data) + len(head) + 30)
    assert 8_000 < longest <= FIRST_FLIGHT, longest


def test_without_help_there_are_no_thumbnails() -> None:
    question = drills.ask(VALVE, "order", "DN 80", 3)
    shown = {
        unaided: question_page(
            question,
            VALVE,
            TitleBlock(title="Drill"),
            fresh(question.form, "t", "s"),
            address="/here",
            keep_as="k",
            pictures_at="/here/pictures",
            unaided=unaided,
        ).pictures_at
        for unaided in (False, True)
    }
    assert shown == {False: "/here/pictures", True: ""}


def _handed_in(visitor: Visitor, path: str) -> Visitor:
    """Hand the lines of an order in as they were asked."""
    visitor.get(path)
    visitor.send("form.answer", press="yes")
    return visitor


def test_a_marked_order_has_the_same_pictures_beside_its_lines(visit: Visit, db: Database) -> None:
    visitor, path = visit(AMA), _path(db, 3)
    asked = json.loads(visitor.get(f"{path}/pictures").text)
    sheet = _handed_in(visitor, path).sheet
    sheet.must_be_sound()
    assert sheet.path.startswith("/marked/")
    at = str(sheet.one(".order")["data-pictures"])
    wanted = {str(tag["data-line"]) for tag in sheet.soup.select(".order .thumb[data-line]")}
    assert wanted == set(asked)
    assert not sheet.soup.select(".order .thumb svg")
    assert json.loads(visitor.get(at).text) == asked
    # To whoever may read the answer, and to nobody else.
    assert visit(MIRA).client.get(at).status_code == 200
    assert visit(BEN).client.get(at).status_code == 404
    assert visit().client.get(at).status_code == 303


def test_the_longest_marked_order_fits_into_the_first_flight(visit: Visit, db: Database) -> None:
    visitor, longest = visit(AMA), 0
    for seed in range(0, 24, 3):
        path = _handed_in(visitor, _path(db, seed)).sheet.path
        response = visitor.client.get(path)
        head = "".join(f"{name}: {value}\r\n" for name, value in response.headers.items())
        longest = max(longest, len(response.data) + len(head) + 30)
    assert 8_000 < longest <= FIRST_FLIGHT, longest
