"""The packet shows questions again as they were asked, and its page holds together."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import UTC, datetime

import pytest
from bs4 import BeautifulSoup

from tests.exports import samples
from trainer import drills
from trainer.exports import drawing_file, packet_question
from trainer.exports.evidence import AnsweredQuestion
from trainer.exports.kinds import inspector_packet
from trainer.procedure import library
from trainer.procedure.window import prepare
from trainer.web import sketches

MODULE = library.load("piston-valve-overhaul")
KINDS = [kind for kind in drills.KINDS if drills.KINDS[kind].skills(prepare(MODULE, "DN 80"))]
AT = datetime(2027, 3, 17, 9, 30, tzinfo=UTC)


def _answered(kind: str, seed: int) -> AnsweredQuestion:
    asked = drills.ask(MODULE, kind, "DN 80", seed)
    key = drills.key(MODULE, kind, "DN 80", seed)
    mark = drills.mark(MODULE, kind, "DN 80", seed, key)
    return AnsweredQuestion(7, 1, 1, AT, asked.as_data(), key, mark.as_data(), (asked,))


@pytest.mark.parametrize("kind", KINDS)
def test_pictures_are_those_that_the_page_showed(kind: str) -> None:
    """The same lines from the same seed; only the style sheet is in the file, as no page stands round it."""
    for seed in range(4):
        one = _answered(kind, seed)
        drawn = packet_question.drawn(one, MODULE)
        shown = sketches.sketches(one.asked[0], MODULE)
        assert drawn == {f"1 {place}": str(two.desk or two.phone) for place, two in shown.items()}
        for svg in drawn.values():
            assert (
                re.sub(r"<style>.*?</style>", "", drawing_file.by_day(svg), count=1, flags=re.DOTALL) == svg
            )


@pytest.mark.parametrize("kind", KINDS)
def test_a_question_is_shown_with_all_that_was_asked_answered_and_said(kind: str) -> None:
    one = _answered(kind, 3)
    text = " ".join(BeautifulSoup(packet_question.shown(one, {}), "html.parser").get_text(" ").split())

    def said(words: object) -> bool:
        return " ".join(str(words).split()) in text

    question, mark = one.question, one.mark
    assert said(question["ask"])
    assert said(question["given"])
    assert said(mark["headline"])
    assert [item["text"] for item in mark["remarks"] if not said(item["text"])] == []
    offered = [*question.get("lines", ()), *question.get("fields", ()), *question.get("options", ())]
    offered += [part for row in question.get("rows", ()) for part in (row, *row["options"])]
    assert offered
    assert [part["text"] for part in offered if not said(part["text"])] == []


def test_the_rules_that_a_picture_needs_are_in_its_file_and_no_others() -> None:
    svg = '<svg class="drawing detail"><path class="face"/></svg>'
    text = drawing_file.by_day(svg)
    assert ".drawing .face{" in text.replace(" {", "{")
    assert "hatch" not in text
    assert "@media" not in text
    assert "--ink:#15202b" in text.replace(": ", ":")
    assert "--bench" not in text


def test_the_page_links_to_what_is_beside_it() -> None:
    data = inspector_packet.write(samples.evidence(), paper="a4")
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        names = set(file.namelist())
        soup = BeautifulSoup(file.read("index.html"), "html.parser")
    for said in ("Checked twice.", "oral", "Seat ring", "edge up", "Being looked into.", "Folder 7 sheet 12"):
        assert said.casefold() in soup.get_text().casefold(), said
    links = [str(tag.get("href") or tag.get("src")) for tag in soup.select("[href], [src]")]
    # The sample carries no log.
    missing = {to for to in links if not to.startswith(("#", "log/")) and to not in names}
    assert missing == {"records/QR-000090.pdf"}
