"""The inspector's packet: whole, proven, the same for the same state, and wanted only by whoever may read the log."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.people import AMA, BEN, CREW, INES, MIRA, SOL
from trainer.actions import printing
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.inspector_packet import PeriodUnreadable
from trainer.records import key_file, packet, packet_file

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.actions.opening import Database

YEAR = "2027-01-01 2027-12-31"


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
