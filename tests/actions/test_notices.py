"""What a revision changes is told to whoever is qualified, and that they read it is kept (49 CFR 192.805(f))."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, INES, MIRA, SOL
from trainer.actions import notices, publish
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.store import events

if TYPE_CHECKING:
    from trainer.actions.opening import Database

LATER = NOW + timedelta(days=3)


def test_whoever_is_qualified_reads_the_change_and_it_is_kept(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    assert notices.mine(db, bench.enter(db, AMA), now=NOW) == ()
    done = publish.publish(
        db, SYSTEM, SMALL_VALVE.replace("DN 80: 95 N·m", "DN 80: 110 N·m"), file="f.yaml", now=LATER
    )
    ama = bench.enter(db, AMA, LATER)
    (line,) = notices.mine(db, ama, now=LATER)
    assert (line.revision, line.published_at, line.read_at) == (done.revision, LATER, None)
    told = notices.sheet(db, ama, MODULE, now=LATER).difference
    assert "DN 80 110 N·m" in told.changes[0].text
    assert "torque-pass:bonnet_studs" in {skill.id for skill in told.skills}
    with pytest.raises(NotFound):
        notices.acknowledge(db, ama, MODULE, line.signed_under, now=LATER)
    for _ in range(2):
        notices.acknowledge(db, ama, MODULE, done.revision, now=LATER)
    (line,) = notices.everybody(db, bench.enter(db, INES, LATER), now=LATER)
    assert (line.person_id, line.read_at) == (AMA.id, LATER)
    with db.reading() as unit:
        assert sum(event.action == "notice:read" for event in events.since(unit)) == 1


def test_a_year_that_passes_asks_for_nothing_and_a_change_does(db: Database) -> None:
    """29 CFR 1910.147(c)(7)(iii), read in its State twin WAC 296-45-17510: it follows events and has no calendar period."""
    bench.make_ready(db, BEN)
    bench.sign_by(db, bench.enter(db, SOL), BEN)
    anniversary = NOW + timedelta(days=366)
    assert notices.mine(db, bench.enter(db, BEN, anniversary), now=anniversary) == ()
    changed = SMALL_VALVE.replace("95 N·m", "110 N·m")
    publish.publish(db, SYSTEM, changed, file="f.yaml", now=anniversary)
    (line,) = notices.mine(db, bench.enter(db, BEN, anniversary), now=anniversary)
    assert line.read_at is None


def test_who_is_not_qualified_has_nothing_to_read(db: Database) -> None:
    publish.publish(db, SYSTEM, SMALL_VALVE.replace("95 N·m", "110 N·m"), file="f.yaml", now=NOW)
    assert notices.mine(db, bench.enter(db, BEN), now=NOW) == ()
    with pytest.raises(NotFound):
        notices.sheet(db, bench.enter(db, BEN), MODULE, now=NOW)
    with pytest.raises(NotAllowed):
        notices.everybody(db, bench.enter(db, MIRA), now=NOW)
