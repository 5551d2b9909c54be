"""Everything kept about a person: whole, proven, of nobody else, and written down who fetched it."""

from __future__ import annotations

import hashlib
import json
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from tests import pictures
from tests.actions import bench
from tests.people import AMA, BEN, CLEO, INES, KIT, MIRA, SOL
from trainer.actions import addresses, calendar, observe, person_data, photographs, printing, sitting
from trainer.actions.actor import SYSTEM, NotFound
from trainer.actions.unaided import SittingUnderWay
from trainer.exports import EXPORTS
from trainer.records import canonical, key_file, packet, packet_file
from trainer.records.observation import StepMark, StepSeen
from trainer.store import events
from trainer.store.observations import Entry
from trainer.store.schema.people import people, sessions

if TYPE_CHECKING:
    from pathlib import Path

    from tests.people import Someone
    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database

LATER = bench.NOW + timedelta(days=1)


@pytest.fixture
def kept(db: Database, tmp_path: Path) -> Database:
    """The company with a key; Ben is signed off, was photographed at the bench and has an address."""
    db.keys = tmp_path / "keys"
    key_file.make(db.keys, "invented.example/log")
    bench.make_ready(db, BEN)
    bench.sign_by(db, bench.enter(db, SOL), BEN)
    bench.give_module(db, AMA)
    bench.practise_once(db, bench.enter(db, AMA))
    addresses.put(db, bench.enter(db, KIT), BEN.id, "ben@invented.example", now=bench.NOW)
    calendar.make_address(db, bench.enter(db, BEN), now=bench.NOW)
    return db


def _fetch(db: Database, actor: Actor, whose: Someone) -> dict[str, bytes]:
    printed = printing.print_sheet(db, actor, "person_data", whose.id, paper="a4", now=LATER)
    return packet_file.read(printed.data)


def _data(files: dict[str, bytes], name: str) -> list[dict[str, Any]]:
    read: list[dict[str, Any]] = json.loads(files[f"data/{name}.json"])
    return read


def test_holds_everything_and_proves_it(kept: Database) -> None:
    files = _fetch(kept, bench.enter(kept, BEN, LATER), BEN)
    assert packet.faults(files, key_file.verifiers(kept.keys)) == ()
    assert _data(files, "register")[0]["mail_address"] == "ben@invented.example"
    answered = _data(files, "sitting_answers")
    assert answered
    assert all(one["question"]["ask"] and one["mark"] for one in answered)
    assert _data(files, "observations")[0]["record"]["witnessed"]
    assert _data(files, "evaluations")[0]["evaluator"] == MIRA.display_name
    record = _data(files, "qualifications")[0]
    assert {f"records/{record['number']}.{end}" for end in ("pdf", "json")} <= set(files)
    assert f"credentials/{record['number']}.json" in files
    assert _data(files, "calendar_addresses")[0]["ended_at"] == ""
    proven = {
        int(path.removeprefix("log/").removesuffix(".json")) for path in files if path.startswith("log/")
    }
    whole = {row["number"] for row in _data(files, "log") if row["whole"]}
    assert proven == whole
    assert {row["action"] for row in _data(files, "log")} >= {
        "people:add",
        "sitting:answer",
        "observation:close",
        "evaluation:record",
        "qualification:sign",
        "data:fetch",
    }


def test_holds_no_secret_and_nobody_else(kept: Database) -> None:
    secrets = []
    with kept.reading() as unit:
        secrets += list(unit.execute(select(people.c.password_hash)).scalars())
        secrets += list(unit.execute(select(sessions.c.token_hash)).scalars())
    for someone in (BEN, MIRA, SOL):
        files = _fetch(kept, bench.enter(kept, someone, LATER), someone)
        everything = b"\n".join(data for path, data in files.items() if not path.endswith(".pdf")).decode()
        assert not [secret for secret in secrets if secret in everything]
        assert AMA.display_name not in everything
        assert AMA.id not in everything
    # What Mira found out about Ben is Ben's.
    mine = _fetch(kept, bench.enter(kept, MIRA, LATER), MIRA)
    theirs = [row for row in _data(mine, "log") if row["action"] == "evaluation:record"]
    assert theirs
    assert all(row["payload"] == {} and not row["whole"] for row in theirs)
    assert BEN.display_name not in mine["index.html"].decode()


def test_a_sitting_under_way_tells_nothing(db: Database) -> None:
    bench.give_module(db, AMA)
    bench.release(db, AMA)
    ama = bench.enter(db, AMA)
    told = _fetch(db, SYSTEM, AMA)
    assert [row["ended"] for row in _data(told, "sittings")] == ["not yet"]
    sitting.begin(db, ama, 1, now=bench.NOW)
    bench.answer_open(db, ama, 1, 1)
    with pytest.raises(SittingUnderWay):
        _fetch(db, ama, AMA)
    files = _fetch(db, bench.enter(db, SOL), AMA)
    assert _data(files, "sitting_answers") == []
    assert not [row for row in _data(files, "log") if row["action"].startswith("sitting:")]


def test_photographs_come_with_their_bytes_once_the_job_is_over(db: Database, tmp_path: Path) -> None:
    db.keys = tmp_path / "keys"
    key_file.make(db.keys, "invented.example/log")
    now, mira = bench.NOW, bench.enter(db, MIRA)
    bench.give_module(db, AMA)
    number = observe.begin(db, mira, AMA.id, bench.MODULE, "DN 80", ticket="t", now=now)
    seen = StepSeen("vent", StepMark.UNAIDED, "", now)
    observe.mark(db, mira, number, [Entry("m", seen)], now=now)
    data = pictures.from_camera(40, 30)
    picture = photographs.keep(db, mira, number, data, step="vent", ticket="p", at=now, now=now).pictured
    path = f"photographs/{picture.sha256}.jpg"
    before = _fetch(db, bench.enter(db, AMA), AMA)
    assert path not in before
    assert _data(before, "observations") == []
    assert not [row for row in _data(before, "log") if row["action"].startswith("observation:")]
    observe.close(db, mira, number, order=(), result="Vented.", password=MIRA.password, now=now)
    after = _fetch(db, bench.enter(db, AMA), AMA)
    assert hashlib.sha256(after[path]).hexdigest() == picture.sha256
    assert packet.faults(after, key_file.verifiers(db.keys)) == ()
    assert f'src="{path}"' in after["index.html"].decode()


@pytest.mark.parametrize("someone", [AMA, CLEO, MIRA, INES])
def test_nobody_fetches_what_is_kept_about_somebody_else(kept: Database, someone: Someone) -> None:
    with pytest.raises(NotFound):
        _fetch(kept, bench.enter(kept, someone), BEN)


@pytest.mark.parametrize("someone", [SOL, KIT])
def test_who_fetched_it_on_request_stands_in_the_log(kept: Database, someone: Someone) -> None:
    files = _fetch(kept, bench.enter(kept, someone), BEN)
    with kept.reading() as unit:
        newest = list(events.since(unit))[-1]
    assert (newest.action, newest.person_id) == ("data:fetch", someone.id)
    assert canonical.read(newest.payload)["person"] == BEN.id
    # The address for reminders is between the person and the keeper.
    assert (b"ben@invented.example" in b"".join(files.values())) == (someone is KIT)


def test_the_same_state_gives_the_same_bytes(kept: Database) -> None:
    made = person_data.everything(kept, bench.enter(kept, BEN, LATER), BEN.id, now=LATER)
    write = EXPORTS["person_data"].write
    assert write(made, paper="a4") == write(made, paper="a4")
