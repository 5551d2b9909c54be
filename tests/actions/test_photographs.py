"""Photographs of the steps of an observation: kept once, under the signature, read by whoever may read it."""

from __future__ import annotations

import hashlib
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests import pictures
from tests.actions import bench as company
from tests.actions.bench import MODULE, NOW, enter
from tests.people import AMA, BEN, CLEO, INES, MIRA, SOL, Someone
from trainer.actions import bench, observe, photographs
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.bench import ObservationUnfit
from trainer.actions.observe import ObservationEnded
from trainer.actions.photographs import Kept, PhotographSpoilt
from trainer.records import canonical
from trainer.records.observation import StepMark, StepSeen
from trainer.records.photograph import Photograph, PhotographUnfit
from trainer.store import events, observations
from trainer.store import photographs as kept_photographs
from trainer.store.observations import Entry

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database


@pytest.fixture(autouse=True)
def _on_their_sheets(db: Database) -> None:
    """What is evaluated or watched has been assigned before."""
    for someone in (AMA, BEN):
        company.give_module(db, someone)


def begin(db: Database, evaluator: Someone = MIRA, beside: int | None = None) -> tuple[Actor, int]:
    actor = enter(db, evaluator)
    number = observe.begin(db, actor, AMA.id, MODULE, "DN 80", ticket="t", beside=beside, now=NOW)
    observe.mark(db, actor, number, [Entry("m", StepSeen("vent", StepMark.UNAIDED, "", NOW))], now=NOW)
    return actor, number


def keep(
    db: Database, actor: Actor, number: int, width: int = 40, *, ticket: str = "", step: str = "vent"
) -> Kept:
    return photographs.keep(
        db,
        actor,
        number,
        pictures.from_camera(width, 30),
        step=step,
        ticket=ticket or f"{step} {width}",
        at=NOW + timedelta(seconds=width),
        now=NOW + timedelta(minutes=5),
    )


def close(db: Database, evaluator: Someone, number: int) -> None:
    actor = enter(db, evaluator)
    observe.close(
        db,
        actor,
        number,
        order=(),
        result="Seen.",
        password=evaluator.password,
        now=NOW + timedelta(minutes=9),
    )


def test_its_hash_stands_in_the_log_and_under_the_signature(db: Database) -> None:
    mira, number = begin(db)
    pictured = keep(db, mira, number).pictured
    close(db, MIRA, number)
    with db.reading() as unit:
        stored = kept_photographs.of_observation_by_hash(unit, number, pictured.sha256)
        logged = {event.action: canonical.read(event.payload) for event in events.since(unit)}
        kept = observations.by_id(unit, number)
    assert stored is not None
    assert hashlib.sha256(stored.data).hexdigest() == pictured.sha256
    told = logged["observation:photograph"]
    assert told["observation"] == number
    assert told["photograph"] == {
        "step": "vent",
        "sha256": pictured.sha256,
        "at": "2027-03-17T09:30:40+00:00",
        "number": 1,
        "ticket": "vent 40",
        "width": 40,
        "height": 30,
    }
    assert kept is not None
    signed = [{"step": "vent", "sha256": pictured.sha256, "at": "2027-03-17T09:30:40+00:00"}]
    assert kept.record["photographs"] == signed
    assert logged["observation:close"]["record"]["photographs"] == signed
    assert (
        logged["observation:close"]["record_sha256"] == hashlib.sha256(kept.record_text.encode()).hexdigest()
    )


def test_the_same_ticket_or_the_same_picture_of_a_step_is_kept_once(db: Database) -> None:
    mira, number = begin(db)
    assert keep(db, mira, number, ticket="a").new
    assert not keep(db, mira, number, ticket="a").new
    assert not keep(db, mira, number, 50, ticket="a").new
    assert not keep(db, mira, number, ticket="b").new
    assert keep(db, mira, number, ticket="c", step="shut").new
    assert [one.step for one in bench.observation(db, mira, number).photographs] == ["shut", "vent"]


def test_a_ticket_that_was_kept_is_answered_after_the_end_too(db: Database) -> None:
    mira, number = begin(db)
    first = keep(db, mira, number, ticket="a")
    close(db, MIRA, number)
    assert keep(db, enter(db, MIRA), number, ticket="a").pictured == first.pictured


def test_none_comes_in_after_the_end(db: Database) -> None:
    _, number = begin(db)
    close(db, MIRA, number)
    with pytest.raises(ObservationEnded, match="was signed on 2027-03-17 at 09:39 UTC"):
        keep(db, enter(db, MIRA), number)


def test_a_step_takes_three(db: Database) -> None:
    mira, number = begin(db)
    for width in (40, 41, 42):
        keep(db, mira, number, width)
    with pytest.raises(PhotographUnfit, match="A step takes 3 photographs at most; this one has them"):
        keep(db, mira, number, 43)
    assert keep(db, mira, number, 43, step="shut").new


def test_what_cannot_be_kept_is_refused_and_leaves_nothing(db: Database) -> None:
    mira, number = begin(db)
    with pytest.raises(ObservationUnfit, match="no step 'elsewhere'"):
        keep(db, mira, number, step="elsewhere")
    with pytest.raises(ObservationUnfit, match="ticket of 1 to 80"):
        keep(db, mira, number, ticket="x" * 81)
    with pytest.raises(PhotographUnfit, match="no photograph that can be read"):
        photographs.keep(db, mira, number, b"text", step="vent", ticket="a", at=NOW, now=NOW)
    assert bench.observation(db, mira, number).photographs == ()


def test_only_who_watches_adds_to_it(db: Database) -> None:
    _, number = begin(db)
    for someone in (SOL, AMA, BEN):
        with pytest.raises((NotFound, NotAllowed)):
            keep(db, enter(db, someone), number)


def test_who_may_read_the_observation_has_the_file_and_nobody_else(db: Database) -> None:
    mira, number = begin(db)
    sha256 = keep(db, mira, number).pictured.sha256
    assert photographs.read(db, mira, number, sha256).startswith(b"\xff\xd8")
    with pytest.raises(NotFound):
        photographs.read(db, enter(db, AMA), number, sha256)
    close(db, MIRA, number)
    for someone in (AMA, SOL, INES):
        assert photographs.read(db, enter(db, someone), number, sha256)
    for someone in (BEN, CLEO):
        with pytest.raises(NotFound):
            photographs.read(db, enter(db, someone), number, sha256)
    with pytest.raises(NotFound, match="no photograph"):
        photographs.read(db, enter(db, SOL), number, "0" * 64)


def test_who_watches_the_same_job_sees_none_before_they_sign(db: Database) -> None:
    company.qualify_supervisor(db)
    mira, number = begin(db)
    sha256 = keep(db, mira, number).pictured.sha256
    sol, _ = begin(db, SOL, beside=number)
    close(db, MIRA, number)
    with pytest.raises(NotAllowed, match="opens when you have signed your own"):
        photographs.read(db, sol, number, sha256)


def test_a_photograph_of_another_observation_is_not_had_through_this_one(db: Database) -> None:
    mira, number = begin(db)
    sha256 = keep(db, mira, number).pictured.sha256
    other = observe.begin(db, mira, BEN.id, MODULE, "DN 80", ticket="other", now=NOW)
    with pytest.raises(NotFound, match="no photograph"):
        photographs.read(db, mira, other, sha256)


def test_bytes_that_were_changed_behind_our_back_are_told(
    db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    mira, number = begin(db)
    sha256 = keep(db, mira, number).pictured.sha256
    spoilt = Photograph(b"something else", 40, 30)
    monkeypatch.setattr(kept_photographs, "of_observation_by_hash", lambda *_: spoilt)
    with pytest.raises(PhotographSpoilt, match="is not stored as it was kept"):
        photographs.read(db, mira, number, sha256)
