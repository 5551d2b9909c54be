"""The inspector's packet: whole, proven, the same for the same state, and wanted only by whoever may read the log."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from bs4 import BeautifulSoup

from tests import pictures
from tests.actions import bench
from tests.actions.test_earlier import checked
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, CREW, INES, MIRA, SOL
from trainer import drills
from trainer.actions import life, notices, observe, photographs, printing, publish
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.inspector_packet import PeriodUnreadable
from trainer.records import key_file, packet, packet_file
from trainer.records.observation import StepMark, StepSeen
from trainer.records.suspension import Cause
from trainer.store.observations import Entry

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.actions.opening import Database

YEAR = "2027-01-01 2027-12-31"
LATER = bench.NOW + timedelta(days=3)


@pytest.fixture
def kept(db: Database, tmp_path: Path) -> Database:
    """The company with a key, and Ben signed off."""
    db.keys = tmp_path / "keys"
    key_file.make(db.keys, "invented.example/log")
    bench.make_ready(db, BEN)
    bench.sign_by(db, bench.enter(db, SOL), BEN)
    return db


def _files(db: Database, subject: str) -> dict[str, bytes]:
    ines = bench.enter(db, INES)
    printed = printing.print_sheet(db, ines, "inspector_packet", subject, paper="a4", now=bench.NOW)
    assert printed.media_type == "application/zip"
    return packet_file.read(printed.data)


@pytest.mark.parametrize("subject", [BEN.id, CREW, "T-31"])
def test_a_packet_holds_record_answers_procedure_and_proofs(kept: Database, subject: str) -> None:
    files = _files(kept, f"{subject} {YEAR}")
    trusted = key_file.verifiers(kept.keys)
    assert packet.faults(files, trusted) == ()
    folders = {path.partition("/")[0] for path in files if "/" in path}
    assert folders >= {"answers", "check", "credentials", "log", "records", "revisions"}
    assert BEN.display_name in files["index.html"].decode()
    answer = json.loads(next(data for path, data in sorted(files.items()) if path.startswith("answers/")))
    assert answer["question"]["ask"] in files["index.html"].decode().replace("&#x27;", "'")


def test_the_same_state_gives_the_same_bytes(kept: Database) -> None:
    assert _files(kept, f"{BEN.id} {YEAR}") == _files(kept, f"{BEN.id} {YEAR}")


def test_a_time_before_anything_held_gives_an_empty_packet_that_holds(kept: Database) -> None:
    files = _files(kept, f"{BEN.id} 2020-01-01 2020-12-31")
    assert packet.faults(files, key_file.verifiers(kept.keys)) == ()
    assert not any(path.startswith("records/") for path in files)
    assert "None held in that time" in files["index.html"].decode()


@pytest.mark.parametrize(
    "subject", [BEN.id, f"{BEN.id} 2027-01-01", f"{BEN.id} 2027-12-31 2027-01-01", f"{BEN.id} x y"]
)
def test_a_period_that_is_none_is_told_in_a_sentence(kept: Database, subject: str) -> None:
    with pytest.raises(PeriodUnreadable, match="first and the last day"):
        _files(kept, subject)


def test_nobody_else_gets_one_and_nothing_is_made_up(kept: Database) -> None:
    for someone in (AMA, MIRA, SOL):
        actor = bench.enter(kept, someone)
        with pytest.raises(NotAllowed):
            printing.print_sheet(
                kept, actor, "inspector_packet", f"{BEN.id} {YEAR}", paper="a4", now=bench.NOW
            )
    with pytest.raises(NotFound):
        _files(kept, f"nobody {YEAR}")


@pytest.fixture
def lived(db: Database, tmp_path: Path) -> Database:
    """The company with a key; Ben watched with a photograph, signed off, suspended, and told of a revision."""
    db.keys = tmp_path / "keys"
    key_file.make(db.keys, "invented.example/log")
    bench.qualify_supervisor(db, bench.NOW - timedelta(days=30))
    bench.give_module(db, BEN)
    _photographed(db)
    bench.make_ready(db, BEN)
    bench.sign_by(db, bench.enter(db, SOL), BEN)
    publish.publish(db, SYSTEM, SMALL_VALVE.replace("95 N·m", "110 N·m"), file="f.yaml", now=LATER)
    (line,) = notices.mine(db, bench.enter(db, BEN, LATER), now=LATER)
    notices.acknowledge(db, bench.enter(db, BEN, LATER), bench.MODULE, line.revision, now=LATER)
    life.suspend(
        db,
        bench.enter(db, SOL, LATER),
        BEN.id,
        "T-31",
        cause=Cause.INCIDENT,
        from_day=LATER.date(),
        reason="Gas was let into an open body.",
        password=SOL.password,
        now=LATER,
    )
    return db


def _photographed(db: Database) -> None:
    mira = bench.enter(db, MIRA)
    number = observe.begin(db, mira, BEN.id, bench.MODULE, "DN 80", ticket="t", now=bench.NOW)
    seen = StepSeen("vent", StepMark.UNAIDED, "Opened slowly.", bench.NOW)
    observe.mark(db, mira, number, [Entry("m", seen)], now=bench.NOW)
    picture = pictures.from_camera(40, 30)
    photographs.keep(db, mira, number, picture, step="vent", ticket="p", at=bench.NOW, now=bench.NOW)
    observe.close(db, mira, number, order=(), result="Went well.", password=MIRA.password, now=bench.NOW)


def test_all_that_stands_behind_a_record_is_shown_and_one_click_from_the_log(lived: Database) -> None:
    files = _files(lived, f"{BEN.id} {YEAR}")
    assert packet.faults(files, key_file.verifiers(lived.keys)) == ()
    soup = BeautifulSoup(files["index.html"], "html.parser")
    text = " ".join(soup.get_text(" ").split())
    for said in (
        "Observation during simulation (192.803 (d)(3))",
        "recognised and reacted to",
        "appointed as evaluator",
        "done unaided",
        "Opened slowly.",
        "This order works.",
        "Suspended by",
        "Gas was let into an open body.",
        "What the revision changes was read",
        "A revision came into force",
    ):
        assert said in text, said
    folders = {path.partition("/")[0] for path in files if "/" in path}
    assert folders >= {"observations", "photographs", "policies"}
    # Whatever is linked is in the packet, and nothing is fetched from elsewhere.
    for tag in soup.select("[href], [src]"):
        to = str(tag.get("href") or tag.get("src"))
        assert to in files or (to.startswith("#") and soup.select_one(f"[id='{to[1:]}']")), to
    for heading in soup.select("details[id^=q-], dl"):
        beside = heading.find_next_sibling("p")
        links = heading.select("a") or (beside.select("a") if beside else [])
        assert any(str(link["href"]).startswith("log/") for link in links), heading
    assert soup.select_one("img.photograph") is not None


def test_what_was_transcribed_from_a_paper_is_told_apart(kept: Database) -> None:
    number = checked(kept, {"person": "ama"})
    files = _files(kept, f"{AMA.id} 2025-01-01 2027-12-31")
    assert packet.faults(files, key_file.verifiers(kept.keys)) == ()
    assert json.loads(files[f"earlier/{number}.json"])["number"] == number
    text = " ".join(BeautifulSoup(files["index.html"], "html.parser").get_text(" ").split())
    assert "Transcribed from earlier papers: the paper itself is the proof" in text
    assert "Held against the paper, which says the same by" in text
    changed = files[f"earlier/{number}.json"].replace(b"2025", b"2026", 1)
    (told, *_) = [
        str(fault)
        for fault in packet.faults(
            {**files, f"earlier/{number}.json": changed}, key_file.verifiers(kept.keys)
        )
        if "No entry" in str(fault)
    ]
    assert (
        told
        == f"earlier/{number}.json: No entry of the log in this packet holds this record as it stands here."
    )


def test_whoever_evaluated_is_shown_with_their_own_record_or_appointment(lived: Database) -> None:
    files = _files(lived, f"{BEN.id} {YEAR}")
    soup = BeautifulSoup(files["index.html"], "html.parser")
    (heading,) = [one for one in soup.select("h4") if "by what right" in one.get_text()]
    lines = heading.find_next("ul")
    assert lines is not None
    for line in lines.select("li"):
        link = str(line.select("a")[-1]["href"])
        assert link in files
        if link.startswith("log/"):
            told = json.loads(json.loads(files[link])["entry"])
            assert (told["action"], told["payload"]["evaluator"]) == ("people:add", True)


def test_a_question_that_comes_out_otherwise_today_is_shown_as_it_was_asked_then(
    kept: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = _files(kept, f"{BEN.id} {YEAR}")
    real = drills.ask
    monkeypatch.setattr(drills, "ask", lambda *where: replace(real(*where), ask="Asked in other words."))
    files = _files(kept, f"{BEN.id} {YEAR}")
    assert packet.faults(files, key_file.verifiers(kept.keys)) == ()
    assert b"Asked in other words." not in files["index.html"]
    assert any(path.startswith("pictures/") for path in before)
    assert not any(path.startswith("pictures/") for path in files)
    for path in before:
        if path.startswith("answers/"):
            assert json.loads(files[path]) == {**json.loads(before[path]), "pictures": {}}
