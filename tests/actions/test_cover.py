"""Cover of a crew from what is signed: falls on the day after a last day, nothing by a renewal, absences counted out."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW, TASK
from tests.people import AMA, BEN, CREW, MIRA, OTHER_CREW, SOL
from trainer.actions import cover
from trainer.actions.actor import NotAllowed, NotFound

if TYPE_CHECKING:
    from trainer.actions.opening import Database

# 36 months after the evaluation of the table's working day.
END = date(2030, 3, 17)
BEFORE = datetime(2030, 3, 1, 7, tzinfo=UTC)


def _two_signed(db: Database) -> None:
    for someone in (AMA, BEN):
        bench.make_ready(db, someone)
        bench.sign_by(db, bench.enter(db, SOL), someone)


def test_cover_falls_on_the_day_after_the_last(db: Database) -> None:
    _two_signed(db)
    found = cover.forecast(db, bench.enter(db, SOL, BEFORE), CREW, weeks=4, now=BEFORE)
    assert found.already == ()
    (fall,) = found.falls
    assert fall.day == END + timedelta(days=1)
    assert [(short.task.id, short.have) for short in fall.short] == [(TASK.id, 0)]
    assert [end.person_id for end in fall.ended] == [AMA.id, BEN.id]
    (track,) = found.tracks
    assert track.steps == ((BEFORE.date(), 2), (fall.day, 0))
    assert [end.last for end in found.endings] == [END, END]


def test_what_ends_after_the_time_is_not_told(db: Database) -> None:
    _two_signed(db)
    early = datetime(2030, 1, 1, 7, tzinfo=UTC)
    found = cover.forecast(db, bench.enter(db, SOL, early), CREW, weeks=4, now=early)
    assert (found.falls, found.endings) == ((), ())


def test_a_renewal_is_no_fall(db: Database) -> None:
    _two_signed(db)
    bench.show_anew(db, AMA, BEFORE)
    bench.sign_by(db, bench.enter(db, SOL, BEFORE), AMA, BEFORE)
    found = cover.forecast(db, bench.enter(db, SOL, BEFORE), CREW, weeks=4, now=BEFORE)
    assert [end.person_id for end in found.endings] == [BEN.id]
    assert found.tracks[0].steps == ((BEFORE.date(), 2), (END + timedelta(days=1), 1))


def test_what_hangs_on_one_person_is_told_by_name(db: Database) -> None:
    _two_signed(db)
    sheet = cover.sheet(db, bench.enter(db, SOL), CREW, now=NOW)
    assert sheet.short == ()
    assert [(one.person_id, one.short[0].have) for one in sheet.hinges] == [(AMA.id, 1), (BEN.id, 1)]
    both = cover.sheet(db, bench.enter(db, MIRA), CREW, away=[AMA.id, BEN.id, "P-9999"], now=NOW)
    assert both.away == (AMA.id, BEN.id)
    assert both.then_short[0].words.startswith(f"nobody may do {TASK.id}")
    later = cover.sheet(db, bench.enter(db, SOL), CREW, day=END + timedelta(days=1), now=NOW)
    assert [short.have for short in later.short] == [0]


def test_a_crew_is_read_by_who_may(db: Database) -> None:
    with pytest.raises(NotFound):
        cover.sheet(db, bench.enter(db, MIRA), OTHER_CREW, now=NOW)
    with pytest.raises(NotAllowed):
        cover.forecast(db, bench.enter(db, AMA), CREW, weeks=4, now=NOW)
