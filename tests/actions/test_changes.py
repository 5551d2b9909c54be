"""A revision that has to be shown anew: from its publication to the confirmation, and every way it can fail."""

from __future__ import annotations

import json
import random
from contextlib import suppress
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy.exc import IntegrityError

from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, CREW, INES, KIT, MIRA, OTHER_CREW, SOL
from trainer.actions import (
    accounts,
    addresses,
    changes,
    confirm_change,
    cover,
    crew,
    life,
    mentor,
    notices,
    practise,
    publish,
    qualified,
    readiness,
    rebuilding,
    reminders,
    replay,
    revise,
    signed_records,
    sitting_release,
)
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.permissions import Role
from trainer.actions.published import in_force
from trainer.records.qualification import Standing
from trainer.records.suspension import Cause
from trainer.store import changes as store_changes
from trainer.store import evaluations, events, qualifications, sittings
from trainer.store.changes import Step

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.opening import Database
    from trainer.actions.views import Published

DAY = timedelta(days=1)
REVISED = SMALL_VALVE.replace("95 N·m", "110 N·m")
# What a person reads changes, and no drill does.
READ_ONLY = SMALL_VALVE.replace("title: ", "title: Small ", 1)
THEN = NOW + 5 * DAY
DUE = (THEN + 30 * DAY).date()


@pytest.fixture
def ama(db: Database) -> Database:
    """The database with Ama signed for under the first revision."""
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    return db


def _publish(db: Database, text: str = REVISED, now: datetime = THEN, **told: Any) -> Published:
    return publish.publish(db, bench.enter(db, KIT, now), text, file="small-valve.yaml", now=now, **told)


def _confirm(db: Database, now: datetime) -> None:
    confirm_change.confirm(db, bench.enter(db, SOL, now), AMA.id, MODULE, password=SOL.password, now=now)


def _standings(db: Database, now: datetime) -> set[Standing]:
    """Where Ama stands, asked in every place that tells it."""
    sol, own = bench.enter(db, SOL, now), bench.enter(db, AMA, now)
    row = next(row for row in crew.crew_sheet(db, sol, CREW, now=now).rows if row.person_id == AMA.id)
    line = next(line for line in mentor.people_of(db, sol, now=now) if line.person_id == AMA.id)
    told = qualified.on_day(db, bench.enter(db, INES, now), TASK.id, now.date(), now=now)
    return {
        row.cells[0].standing,
        *(module.standing for module in line.modules),
        *(module.standing for module in practise.my_sheet(db, own, now=now).modules),
        *(one.standing for one in told.lines),
        signed_records.my_record(db, own, now=now)[0].standing,
        life.sheet(db, sol, AMA.id, TASK.id, now=now).standing,
    }


def _my_line(db: Database, now: datetime) -> Any:
    return practise.my_sheet(db, bench.enter(db, AMA, now), now=now).modules[0]


def test_the_keeper_sees_what_is_touched_and_whom_before_anything_is_published(ama: Database) -> None:
    kit = bench.enter(ama, KIT, THEN)
    found = publish.look(ama, kit, REVISED, file="small-valve.yaml", now=THEN)
    assert [(one.person_id, one.number) for one in found.concerned] == [(AMA.id, "QR-2027-0001")]
    assert found.must_show
    assert found.due == DUE
    assert {one.id for one in found.weighty} <= {one.id for one in found.classes}
    assert found.difference is not None
    assert any("110 N·m" in change.text for change in found.difference.changes)
    with ama.reading() as unit:
        assert in_force(unit, MODULE).revision == found.replaces
    for who in (AMA, MIRA, SOL, INES):
        with pytest.raises(NotAllowed):
            publish.look(ama, bench.enter(ama, who, THEN), REVISED, file="f.yaml", now=THEN)


def test_from_publication_to_confirmation(ama: Database) -> None:
    done = _publish(ama)
    assert done.asked == 1
    assert _standings(ama, THEN) == {Standing.SIGNED}
    line = _my_line(ama, THEN)
    assert f"to be shown by {DUE}" in line.change
    (notice,) = notices.mine(ama, bench.enter(ama, AMA, THEN), now=THEN)
    assert notice.to_show == line.change
    (due,) = changes.due(ama, bench.enter(ama, SOL, THEN), CREW)
    assert (due.person_id, due.due, due.shown) == (AMA.id, DUE, False)
    (lapse,) = crew.lapses(ama, bench.enter(ama, SOL, THEN), now=THEN)
    assert (lapse.valid_until, lapse.task_title) == (DUE, f"{TASK.title} (a change is to be shown)")
    sol = bench.enter(ama, SOL, THEN)
    ends = cover.forecast(ama, sol, CREW, weeks=6, now=THEN).endings
    assert [(end.person_id, end.last) for end in ends] == [(AMA.id, DUE)]

    later = THEN + 3 * DAY
    numbers = bench.sit_for_change(ama, AMA, later)
    wanted = {element.id for element in due.classes}
    with ama.reading() as unit:
        asked = [one for number in numbers for one in sittings.questions(unit, number)]
        sat = sittings.by_id(unit, numbers[-1])
    assert {one.element_class for one in asked} == wanted
    assert sat is not None
    assert sat.end is not None
    assert {item["element_class"] for item in sat.end.results} == wanted

    after = later + DAY
    assert [
        one.due.person_id for one in confirm_change.waiting(ama, bench.enter(ama, SOL, after), now=after)
    ] == [AMA.id]
    assert crew.lapses(ama, bench.enter(ama, SOL, after), now=after) == ()
    _confirm(ama, after)
    assert changes.due(ama, bench.enter(ama, SOL, after)) == ()
    assert _my_line(ama, after).change == ""
    late = NOW + 100 * DAY
    assert _standings(ama, late) == {Standing.SIGNED}
    (notice,) = notices.mine(ama, bench.enter(ama, AMA, after), now=after)
    assert notice.to_show == "Shown, and confirmed by a supervisor."
    with ama.reading() as unit:
        (kept,) = store_changes.of_person(unit, AMA.id)
        (held,) = qualifications.of_person(unit, AMA.id)
        assert revise.shown_under(unit, held) == done.revision
    assert kept.end is not None
    assert kept.end.evidence["revision"] == done.revision
    assert set(kept.end.evidence["classes"]) == wanted
    assert kept.end.evidence["sittings"] == numbers
    # The term is the one that was signed.
    assert (held.valid_until, held.ended_on) == (NOW.date().replace(year=2030), None)
    assert replay.decisions(ama, SYSTEM) == replay.Replayed(2, ())
    words = [
        line.what for line in life.sheet(ama, bench.enter(ama, SOL, late), AMA.id, TASK.id, now=late).lines
    ]
    assert words == ["Qualified", "A change to be shown", "Change shown and confirmed"]
    assert not any(held.differences for held in rebuilding.compare(ama, SYSTEM))


def test_who_does_not_show_it_in_time_works_alone_no_more_until_it_is_shown(ama: Database) -> None:
    _publish(ama)
    last, day_after = NOW.replace(month=4, day=21), NOW.replace(month=4, day=22)
    assert last.date() == DUE
    assert _standings(ama, last) == {Standing.SIGNED}
    assert _standings(ama, day_after) == {Standing.SUSPENDED}
    (sentence,) = _my_line(ama, day_after).missing
    assert f"was to be shown by {DUE}" in sentence
    una = _una(ama, day_after)
    with pytest.raises(life.LifeStepRefused, match="not possible here"):
        life.lift(ama, una, AMA.id, TASK.id, reason="Unfounded.", password=bench.SECOND, now=day_after)
    late = day_after + 4 * DAY
    bench.sit_for_change(ama, AMA, late)
    _confirm(ama, late)
    assert _standings(ama, late) == {Standing.SIGNED}
    ines = bench.enter(ama, INES, late)
    between = qualified.on_day(ama, ines, TASK.id, day_after.date(), now=late)
    assert between.qualified == ()
    assert between.others[0].changes
    assert not between.others[0].differs
    assert qualified.on_day(ama, ines, TASK.id, last.date(), now=late).others == ()


def _una(db: Database, now: datetime) -> Any:
    bench.hire_second_supervisor(db, now)
    return bench.second_supervisor(db, now)


def test_who_is_found_not_ready_is_evaluated_anew_as_a_whole(ama: Database) -> None:
    _publish(ama)
    later = THEN + 3 * DAY
    bench.sit_for_change(ama, AMA, later, wrong=True)
    assert _standings(ama, later) == {Standing.SUSPENDED}
    with pytest.raises(sitting_release.NotReleased, match="found not shown"):
        bench.sit_for_change(ama, AMA, later + DAY)
    with pytest.raises(life.LifeStepRefused, match="suspended, a change was found not shown"):
        _confirm(ama, later + DAY)
    with pytest.raises(life.LifeStepRefused):
        life.lift(ama, _una(ama, later), AMA.id, TASK.id, reason="No.", password=bench.SECOND, now=later)
    assert changes.due(ama, bench.enter(ama, SOL, later))[0].failed
    # The way back is the whole of it, with the risk of the failed series spent.
    again = later + 2 * DAY
    bench.show_everything(ama, bench.enter(ama, AMA, again), again)
    bench.show_anew(ama, AMA, again + DAY)
    signed = bench.sign_by(ama, bench.enter(ama, SOL, again + 2 * DAY), AMA, again + 2 * DAY)
    assert _standings(ama, again + 2 * DAY) == {Standing.SIGNED}
    assert changes.due(ama, bench.enter(ama, SOL, again + 2 * DAY)) == ()
    assert not any(held.differences for held in rebuilding.compare(ama, SYSTEM))
    record = signed_records.record(ama, bench.enter(ama, SOL, again + 2 * DAY), signed.number)
    assert {one.series for one in record.classes} == {1, 2}
    assert replay.decisions(ama, SYSTEM) == replay.Replayed(2, ())


def test_a_renewal_under_the_new_revision_shows_the_change_too(ama: Database) -> None:
    _publish(ama)
    bench.show_anew(ama, AMA, THEN + DAY)
    bench.sign_by(ama, bench.enter(ama, SOL, THEN + 2 * DAY), AMA, THEN + 2 * DAY)
    with ama.reading() as unit:
        (kept,) = store_changes.of_person(unit, AMA.id)
    assert kept.end is not None
    assert kept.end.act is Step.SIGNED_ANEW
    assert _standings(ama, NOW + 90 * DAY) == {Standing.SIGNED}
    assert replay.decisions(ama, SYSTEM) == replay.Replayed(2, ())


def test_what_was_shown_of_a_change_counts_for_the_renewal(ama: Database) -> None:
    _publish(ama)
    bench.sit_for_change(ama, AMA, THEN + DAY)
    _confirm(ama, THEN + 2 * DAY)
    with ama.reading() as unit:
        where = readiness.of_person(unit, AMA.id, in_force(unit, MODULE).revision)
    assert any(item.attempts for item in where.readiness.classes)


def test_the_keeper_may_say_that_reading_is_enough_or_not_with_a_reason(ama: Database) -> None:
    for told in ({"must_show": False}, {"must_show": True}, {"must_show": False, "because": "  "}):
        with pytest.raises(revise.ChangeUndecided, match="Write down why"):
            _publish(ama, **told)
    with ama.reading() as unit:
        assert store_changes.of_person(unit, AMA.id) == ()
    assert _publish(ama, must_show=False, because="A misprint; the work was always done so.").asked == 0
    assert _standings(ama, NOW + 90 * DAY) == {Standing.SIGNED}
    (notice,) = notices.mine(ama, bench.enter(ama, AMA, THEN), now=THEN)
    assert notice.to_show == ""
    told = _newest(ama, "module:publish")
    assert (told["must_show"], told["because"], told["asked"]) == (
        False,
        "A misprint; the work was always done so.",
        [],
    )


def test_what_nobody_can_be_asked_about_is_read_only(ama: Database) -> None:
    kit = bench.enter(ama, KIT, THEN)
    found = publish.look(ama, kit, READ_ONLY, file="f.yaml", now=THEN)
    assert found.classes == ()
    assert not found.must_show
    with pytest.raises(revise.ChangeUndecided, match="nobody can show it"):
        _publish(ama, READ_ONLY, must_show=True, because="To be sure.")
    assert _publish(ama, READ_ONLY).asked == 0


def test_the_publication_says_all_that_it_wrote(ama: Database) -> None:
    _publish(ama)
    told = _newest(ama, "module:publish")
    with ama.reading() as unit:
        (kept,) = store_changes.of_person(unit, AMA.id)
    assert told["asked"] == [
        {
            "demand": kept.id,
            "person": AMA.id,
            "task": TASK.id,
            "qualification": kept.number,
            "signed_under": kept.signed_under,
        }
    ]
    assert (told["classes"], told["due"], told["because"], told["by_name"]) == (
        list(kept.classes),
        kept.due.isoformat(),
        kept.reason,
        kept.by_name,
    )


def test_whoever_shows_a_change_and_their_mentor_are_reminded_until_it_is_shown(ama: Database) -> None:
    for someone in (AMA, MIRA):
        addresses.put(ama, SYSTEM, someone.id, f"{someone.sign_in_name}@invented.example", now=THEN)

    def told(now: datetime) -> dict[str, str]:
        lines = {one.person_id: one.text for one in reminders.due(ama, now=now)}
        return {person: text for person, text in lines.items() if "a change is to be shown" in text}

    assert told(THEN) == {}
    _publish(ama)
    found = told(THEN)
    assert set(found) == {AMA.id, MIRA.id}
    assert all(f"in a sitting by {DUE.isoformat()}" in text for text in found.values())
    bench.sit_for_change(ama, AMA, THEN + DAY)
    assert told(THEN + DAY) == {}


def test_going_back_to_the_revision_that_was_shown_recalls_the_change(ama: Database) -> None:
    _publish(ama)
    _publish(ama, SMALL_VALVE, THEN + DAY)
    assert changes.due(ama, bench.enter(ama, SOL, THEN + DAY)) == ()
    assert _standings(ama, NOW + 90 * DAY) == {Standing.SIGNED}
    assert _newest(ama, "module:publish")["recalled"][0]["person"] == AMA.id
    assert not any(held.differences for held in rebuilding.compare(ama, SYSTEM))
    # Forward again, it is asked again.
    assert _publish(ama, REVISED, THEN + 2 * DAY).asked == 1


def test_a_change_is_listed_for_the_crew_of_whoever_shows_it_until_they_leave(ama: Database) -> None:
    _publish(ama)

    def listed() -> tuple[list[str], ...]:
        with ama.reading() as unit:
            return tuple(
                [one.person_id for one in changes.everybody(unit, of_crew)]
                for of_crew in (None, CREW, OTHER_CREW)
            )

    assert listed() == ([AMA.id], [AMA.id], [])
    register.retire(ama, SYSTEM, AMA.id, now=THEN)
    assert listed() == ([], [], [])


def test_a_later_revision_leaves_open_what_was_asked_before(ama: Database) -> None:
    _publish(ama)
    third = REVISED.replace("title: ", "title: Small ", 1)
    _publish(ama, third, THEN + 2 * DAY, must_show=False, because="A word in the title.")
    (due,) = changes.due(ama, bench.enter(ama, SOL, THEN + 2 * DAY))
    assert due.due == DUE
    bench.sit_for_change(ama, AMA, THEN + 3 * DAY)
    _confirm(ama, THEN + 4 * DAY)
    assert _standings(ama, NOW + 90 * DAY) == {Standing.SIGNED}
    assert replay.decisions(ama, SYSTEM) == replay.Replayed(2, ())


def test_two_people_and_the_password(ama: Database) -> None:
    register.change(ama, SYSTEM, SOL.id, roles=[Role.SUPERVISOR, Role.MENTOR], now=THEN)
    _publish(ama)
    later = THEN + DAY
    with pytest.raises(life.LifeStepRefused, match="a pass in each class"):
        _confirm(ama, later)
    sol = bench.enter(ama, SOL, later)
    number = sitting_release.release(
        ama, sol, AMA.id, MODULE, because="I do.", drawn_with="x", now=later, for_change=True
    )
    bench.sit(ama, AMA, number, later)
    bench.sit_for_change(ama, AMA, later + DAY / 24)
    later += DAY / 12
    with pytest.raises(NotAllowed, match="two people"):
        _confirm(ama, later)
    una = _una(ama, later)
    for wrong in ("", "something else"):
        with pytest.raises(accounts.PasswordWrong):
            confirm_change.confirm(ama, una, AMA.id, MODULE, password=wrong, now=later)
    for who in (AMA, MIRA, INES, KIT):
        with pytest.raises((NotAllowed, NotFound)):
            confirm_change.confirm(
                ama, bench.enter(ama, who, later), AMA.id, MODULE, password=who.password, now=later
            )
    confirm_change.confirm(ama, una, AMA.id, MODULE, password=bench.SECOND, now=later)
    with pytest.raises(NotFound):
        confirm_change.confirm(ama, una, AMA.id, MODULE, password=bench.SECOND, now=later)


def test_while_somebody_sits_nothing_is_told(ama: Database) -> None:
    _publish(ama)
    later = THEN + DAY
    bench.release_for_change(ama, AMA, later, drawn_with="x")
    (due,) = changes.due(ama, bench.enter(ama, SOL, later))
    assert due.sits
    assert "a sitting is released or under way" in due.sentence(later.date())
    assert not due.shown


def test_who_is_qualified_for_nothing_of_it_is_asked_nothing(ama: Database) -> None:
    bench.give_module(ama, BEN)
    assert _publish(ama).asked == 1
    with pytest.raises(sitting_release.NotReleased, match="No change"):
        sitting_release.release(
            ama,
            bench.enter(ama, MIRA, THEN),
            BEN.id,
            MODULE,
            because="Now.",
            drawn_with="x",
            now=THEN,
            for_change=True,
        )


def test_the_table_itself_refuses_what_nobody_may_do(ama: Database) -> None:
    _publish(ama)
    with ama.reading() as unit:
        (kept,) = store_changes.of_person(unit, AMA.id)
    shown = {"on": THEN.date(), "reason": "r", "by_name": "x", "at": THEN}
    for by, evidence in ((AMA.id, {"classes": []}), (SOL.id, None), ("", {"classes": []})):
        with pytest.raises(IntegrityError), ama.writing() as unit:
            store_changes.add(unit, kept, Step.SHOWN, by=by, evidence=evidence, **shown)  # type: ignore[arg-type]
    with ama.writing() as unit:
        store_changes.add(unit, kept, Step.SHOWN, by=SOL.id, evidence={"classes": []}, **shown)  # type: ignore[arg-type]
    with pytest.raises(IntegrityError), ama.writing() as unit:
        store_changes.add(unit, kept, Step.SIGNED_ANEW, by=SOL.id, **shown)  # type: ignore[arg-type]


def test_a_confirmation_that_says_more_than_its_evidence_is_named(ama: Database) -> None:
    _publish(ama)
    bench.sit_for_change(ama, AMA, THEN + DAY)
    _confirm(ama, THEN + 2 * DAY)
    told = _newest(ama, confirm_change.CONFIRMED)
    told["evidence"]["classes"] = told["evidence"]["classes"][:-1]
    with ama.writing() as unit:
        events.add(unit, at=THEN + 3 * DAY, person_id=SOL.id, action=confirm_change.CONFIRMED, payload=told)
    [trouble] = replay.decisions(ama, SYSTEM).troubles
    assert trouble.text.startswith(f"The change confirmed for {AMA.id} says something else")


def _newest(db: Database, action: str) -> dict[str, Any]:
    with db.reading() as unit:
        found = [event for event in events.since(unit) if event.action == action]
    told: dict[str, Any] = json.loads(found[-1].payload)
    return told


@pytest.mark.parametrize("seed", range(6))
def test_no_sequence_of_actions_confirms_what_was_not_shown(ama: Database, seed: int) -> None:
    """Judged from the rows alone: every touched class passed at the revision in force, in one unbroken round."""
    chance = random.Random(seed)  # noqa: S311  # nothing here is secret
    texts = (SMALL_VALVE, REVISED, SMALL_VALVE.replace("95 N·m", "100 N·m"))
    deeds = ("publish", "sit", "sit wrong", "suspend", "lift", "watch", "confirm", "confirm")
    una = register.add(
        ama, SYSTEM, "una", "Una Gatewood", [Role.SUPERVISOR], "", password=bench.SECOND, now=NOW
    )
    assert una
    for number in range(10):
        now = THEN + number * 4 * DAY
        deed = chance.choice(deeds) if number else "publish"
        text = chance.choice(texts) if number else REVISED
        if deed == "publish":
            _publish(ama, text, now)
        else:
            # Most deeds are refused most of the time; what counts is what stands afterwards.
            with suppress(life.LifeStepRefused, sitting_release.NotReleased, NotFound):
                _do(ama, deed, now)
        _nothing_is_claimed(ama, now)
    # Whatever was done, and in whatever order: the rows follow from the log alone.
    assert not any(held.differences for held in rebuilding.compare(ama, SYSTEM))


def _do(db: Database, deed: str, now: datetime) -> None:
    if deed == "watch":
        bench.watch(db, AMA, now)
    elif deed == "suspend":
        sol = bench.enter(db, SOL, now)
        told = {"cause": Cause.REASONABLE_CAUSE, "from_day": now.date(), "reason": "Doubt."}
        life.suspend(db, sol, AMA.id, TASK.id, **told, password=SOL.password, now=now)  # type: ignore[arg-type]
    elif deed == "lift":
        una = bench.second_supervisor(db, now)
        life.lift(db, una, AMA.id, TASK.id, reason="Unfounded.", password=bench.SECOND, now=now)
    elif deed == "confirm":
        _confirm(db, now)
    else:
        bench.sit_for_change(db, AMA, now, wrong=deed == "sit wrong")


def _nothing_is_claimed(db: Database, now: datetime) -> None:
    with db.reading() as unit:
        demands = store_changes.of_person(unit, AMA.id)
        held = qualifications.holds(unit, AMA.id, TASK.id, now.date())
        assert evaluations.waiting(unit) == ()
        for demand in demands:
            confirmed = demand.end if demand.end and demand.end.act is Step.SHOWN else None
            if confirmed is None:
                continue
            assert demand.failed is None
            asked = [
                one
                for sat in confirmed.evidence["sittings"]
                for one in sittings.questions(unit, sat)
                if one.answer is not None
            ]
            assert {one.address.revision for one in asked} == {confirmed.evidence["revision"]}
            for shown in confirmed.evidence["shown"]:
                # Wald's line of passing lies so low that even without a failure several answers are needed.
                assert shown["attempts"] - shown["failures"] >= 3
            assert {one.element_class for one in asked} >= set(confirmed.evidence["classes"])
    overdue = [one for one in demands if one.end is None and (one.failed or one.due < now.date())]
    assert not (held and overdue)
    assert replay.decisions(db, SYSTEM).troubles == ()
