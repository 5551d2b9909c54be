from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, CLEO, INES, KIT, MIRA, SOL
from trainer import drills
from trainer.actions import assign, pace, policy, practise, publish, sitting, upkeep
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.tickets import TicketUnfit
from trainer.competency.evidence import Attempt, summarise
from trainer.competency.policy import Policy
from trainer.drills.answer_forms import AnswerUnreadable
from trainer.records.qualification import Standing
from trainer.store import attempts, events, summaries

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database
    from trainer.actions.views import DrillAddress, ModuleOnSheet
    from trainer.competency.evidence import Shown
    from trainer.store.session import Unit

SKILL = "order:teardown"
REVISED = SMALL_VALVE.replace("DN 80: 95 N·m", "DN 80: 110 N·m")


def _next(db: Database, actor: Actor, skill: str | None = None, size: str | None = None) -> DrillAddress:
    return practise.next_drill(db, actor, MODULE, skill, size, now=NOW)


def _on_sheet(db: Database, actor: Actor) -> ModuleOnSheet:
    (line,) = practise.my_sheet(db, actor, now=NOW).modules
    return line


# The sheet


def test_a_sheet_without_assignments_is_empty(db: Database) -> None:
    sheet = practise.my_sheet(db, bench.enter(db, AMA), now=NOW)
    assert (sheet.person_id, sheet.name, sheet.crew, sheet.grade) == (
        AMA.id,
        AMA.display_name,
        AMA.crew,
        "II",
    )
    assert sheet.day == date(2027, 3, 17)
    assert sheet.modules == ()


def test_an_assigned_module_says_what_is_missing_and_what_comes_next(db: Database) -> None:
    assign.assign(db, bench.enter(db, MIRA), AMA.id, MODULE, date(2027, 4, 1), now=NOW)
    line = _on_sheet(db, bench.enter(db, AMA))
    assert (line.due, line.days_left, line.overdue) == (date(2027, 4, 1), 15, False)
    assert (line.standing, line.valid_until) == (Standing.IN_PRACTICE, None)
    assert line.shown == 0
    assert len(line.missing) == len(line.skills) + 2
    assert line.missing[-2] == "An assessment sitting; the mentor releases it."
    assert all(sentence.endswith(".") for sentence in line.missing)
    assert "evaluation" in line.missing[-1].lower()
    assert line.next is not None
    critical = {skill.skill.id for skill in line.skills if skill.skill.critical}
    assert line.next.skill_id in critical
    assert "can hurt" in line.next.why


def test_practice_moves_the_sheet(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    for _ in range(Policy().clean_in_a_row):
        bench.practise_once(db, ama, SKILL)
    line = _on_sheet(db, ama)
    (shown,) = [skill for skill in line.skills if skill.skill.id == SKILL]
    assert (shown.attempts, shown.clean, shown.in_a_row, shown.is_shown) == (3, 3, 3, True)
    assert line.shown == 1
    bench.practise_once(db, ama, SKILL, right=False)
    assert _on_sheet(db, ama).shown == 0
    assert any("3 more right in a row" in sentence for sentence in _on_sheet(db, ama).missing)


def test_what_is_missing_goes_step_by_step_to_the_signature(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    bench.show_everything(db, ama)
    assert _on_sheet(db, ama).missing == (
        "An assessment sitting; the mentor releases it.",
        "An evaluation, with the abnormal conditions.",
    )
    number = bench.release(db, AMA)
    assert _on_sheet(db, ama).missing[0] == "The sitting of 2027-03-17: released, not begun."
    bench.sit(db, AMA, number)
    assert (
        _on_sheet(db, ama).missing[0].startswith("The order of the work, critical: undecided, no failure in ")
    )
    bench.pass_every_class(db, AMA)
    assert [text.partition(": ")[2] for text in _on_sheet(db, ama).missing[:2]] == [
        "passed, no failure in 18 attempts; a mentor must still see 1 right at the bench."
    ] * 2
    bench.watch(db, AMA)
    assert _on_sheet(db, ama).missing == ("An evaluation, with the abnormal conditions.",)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA)
    line = _on_sheet(db, ama)
    assert line.missing == ("The signature of the supervisor.",)
    assert line.standing is Standing.READY
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    line = _on_sheet(db, ama)
    assert (line.standing, line.missing) == (Standing.SIGNED, ())
    assert line.valid_until == date(2030, 3, 17)


def test_a_new_revision_starts_the_practice_anew(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    bench.show_everything(db, ama)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA)
    publish.publish(db, bench.enter(db, KIT), REVISED, file="small-valve.yaml", now=NOW)
    line = _on_sheet(db, ama)
    assert line.shown == 0
    assert line.standing is Standing.IN_PRACTICE
    assert line.missing[-1] == "A new evaluation: the procedure was revised after 2027-03-17."


def test_the_nearest_due_date_stands_first(db: Database) -> None:
    other = SMALL_VALVE.replace("module: small-valve", "module: other-valve").replace(
        "TEST-0001", "TEST-0002"
    )
    publish.publish(db, SYSTEM, other, file="other-valve.yaml", now=NOW)
    mira = bench.enter(db, MIRA)
    assign.assign(db, mira, AMA.id, MODULE, None, now=NOW)
    assign.assign(db, mira, AMA.id, "other-valve", date(2027, 3, 20), now=NOW)
    sheet = practise.my_sheet(db, bench.enter(db, AMA), now=NOW)
    assert [line.module_id for line in sheet.modules] == ["other-valve", MODULE]


def test_a_supervisor_has_no_sheet_to_practise_from(db: Database) -> None:
    with pytest.raises(NotAllowed):
        practise.my_sheet(db, bench.enter(db, SOL), now=NOW)


# The next drill


def test_the_same_drill_comes_until_it_is_answered_and_then_another(db: Database) -> None:
    ama = bench.enter(db, AMA)
    first = _next(db, ama)
    assert _next(db, ama) == first
    bench.practise_once(db, ama)
    assert _next(db, ama) != first


def test_two_people_are_asked_different_questions(db: Database) -> None:
    assert _next(db, bench.enter(db, AMA), SKILL) != _next(db, bench.enter(db, BEN), SKILL)


def test_the_skill_asked_for_is_the_one_that_comes(db: Database) -> None:
    ama = bench.enter(db, AMA)
    for skill in ("order:rebuild", "torque-pass:bonnet_studs"):
        address = _next(db, ama, skill, "DN 100")
        asked = practise.question(db, ama, address.revision, address.kind, address.size, address.seed)
        assert (asked.skill, asked.size) == (skill, "DN 100")


def test_no_question_comes_twice_and_the_sizes_take_turns(db: Database) -> None:
    ama = bench.enter(db, AMA)
    seen = []
    for _ in range(6):
        seen.append(_next(db, ama, SKILL))
        bench.practise_once(db, ama, SKILL)
    assert len(set(seen)) == 6
    assert sorted(address.size for address in seen) == sorted(["DN 50", "DN 80", "DN 100"] * 2)


def test_what_is_not_there_cannot_be_practised(db: Database) -> None:
    ama = bench.enter(db, AMA)
    with pytest.raises(NotFound):
        practise.next_drill(db, ama, "no-such-module", None, None, now=NOW)
    with pytest.raises(NotFound):
        _next(db, ama, "no:skill")
    with pytest.raises(NotFound):
        _next(db, ama, SKILL, "DN 900")


def test_an_address_that_asks_nothing_is_not_found(db: Database) -> None:
    ama = bench.enter(db, AMA)
    good = _next(db, ama)
    for revision, kind, size, seed in (
        ("0" * 64, good.kind, good.size, good.seed),
        (good.revision, "no-kind", good.size, good.seed),
        (good.revision, good.kind, "DN 900", good.seed),
        (good.revision, good.kind, "", good.seed),
        (good.revision, good.kind, good.size, -1),
        (good.revision, good.kind, good.size, 2**53),
    ):
        with pytest.raises(NotFound):
            practise.question(db, ama, revision, kind, size, seed)


# Guidance


def _known(db: Database, actor: Actor, skill: str = SKILL) -> float:
    sheet = practise.short_sheet(db, actor, MODULE, now=NOW)
    return next(row.known for row in sheet.skills if row.skill_id == skill)


def test_what_is_known_follows_the_kept_attempts(db: Database) -> None:
    ama = bench.enter(db, AMA)
    before = _known(db, ama)
    assert before == pytest.approx(0.3)
    bench.practise_once(db, ama, SKILL)
    right = _known(db, ama)
    bench.practise_once(db, ama, SKILL, right=False)
    assert before < right
    assert _known(db, ama) < right


def test_what_can_hurt_comes_until_it_is_shown_and_skills_take_turns(db: Database) -> None:
    ama = bench.enter(db, AMA)
    sheet = practise.short_sheet(db, ama, MODULE, now=NOW)
    names = [drill.skill_id for drill in sheet.drills]
    assert (sheet.minutes, len(names), len(set(names))) == (10, 5, 3)
    assert all(a != b for a, b in pairwise(names))
    assert sheet.drills[0].why == "Not practised yet, and an error here can hurt somebody."
    module = publish.module_at(db, _next(db, ama).revision)
    critical = {skill.id for skill in drills.skills(module) if skill.critical or skill.abnormal}
    assert set(names) <= critical


def test_a_shown_skill_is_due_again_and_then_comes_by_itself(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    bench.show_everything(db, ama)
    line = _on_sheet(db, ama)
    assert set(line.due_again) == {skill.skill.id for skill in line.skills}
    first = min(line.due_again, key=lambda skill: line.due_again[skill])
    days = (line.due_again[first] - NOW.date()).days
    # Between the 32 days of a critical skill that nobody can guess and the 49 of an ordinary one, and some for guessing.
    assert 32 <= days < 60
    later = NOW + timedelta(days=days)
    ben_line = practise.my_sheet(db, bench.enter(db, AMA, later), now=later).modules[0]
    assert ben_line.next is not None
    assert ben_line.next.why == "Last shown on 2027-03-17, due today."
    assert line.next is not None
    assert line.next.why.startswith("Everything is shown; a minute here tells most. Due in ")


def test_times_taken_count_once_there_are_enough_of_them(db: Database) -> None:
    ama = bench.enter(db, AMA)
    for _ in range(Policy().timed_drills - 1):
        bench.practise_once(db, ama, "what-now")
    rows = {row.skill_id: row.minutes for row in practise.short_sheet(db, ama, MODULE, now=NOW).skills}
    assert set(rows.values()) == {2.0}
    address = _next(db, ama, "what-now")
    practise.answer(
        db,
        ama,
        address.revision,
        address.kind,
        address.size,
        address.seed,
        bench.right_answer(db, address),
        ticket="slow",
        started=NOW - timedelta(minutes=20),
        now=NOW,
    )
    for number in range(6):
        address = _next(db, ama, SKILL)
        practise.answer(
            db,
            ama,
            address.revision,
            address.kind,
            address.size,
            address.seed,
            bench.right_answer(db, address),
            ticket=f"t{number}",
            started=NOW - timedelta(minutes=6 if number else 600),
            now=NOW,
        )
    rows = {row.skill_id: row.minutes for row in practise.short_sheet(db, ama, MODULE, now=NOW).skills}
    assert rows[SKILL] == 6
    assert rows["what-now"] == 2
    assert rows["torque-pass:bonnet_studs"] == 2


def test_an_assessment_counts_as_shown_and_one_under_way_tells_nothing(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    bench.show_everything(db, ama)
    before = _on_sheet(db, ama).due_again
    later = NOW + timedelta(days=5)
    number = bench.release(db, AMA, later)
    ama = bench.enter(db, AMA, later)
    position = sitting.begin(db, ama, number, now=later)
    assert position is not None
    skill = sitting.question(db, ama, number, position, now=later).question.skill
    position = bench.answer_open(db, ama, number, position, now=later)
    assert practise.my_sheet(db, ama, now=later).modules[0].due_again == before
    failed = ""
    while position:
        asked = sitting.question(db, ama, number, position, now=later).question.skill
        right = bool(failed) or asked == skill
        failed = failed or ("" if right else asked)
        position = bench.answer_open(db, ama, number, position, right=right, now=later)
    after = practise.my_sheet(db, ama, now=later).modules[0].due_again
    assert after[skill] == before[skill] + timedelta(days=5)


def test_own_refreshers_move_the_due_days(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    bench.show_everything(db, ama)
    skill = "what-now"
    first = _on_sheet(db, ama).due_again[skill] - NOW.date()
    for turn in range(4):
        later = NOW + timedelta(days=20 * (turn + 1))
        ama = bench.enter(db, AMA, later)
        for other in ("order:teardown", "order:rebuild", "torque-pass:bonnet_studs"):
            bench.practise_once(db, ama, other, right=turn % 2 == 1, now=later)
    bench.practise_once(db, ama, skill, now=later)
    line = practise.my_sheet(db, ama, now=later).modules[0]
    assert line.due_again[skill] - later.date() < first
    sheet = practise.short_sheet(db, ama, MODULE, now=later)
    assert sheet.refreshers == 7
    assert sheet.half_life_days < Policy().half_life_days
    found = pace.sheet(db, bench.enter(db, MIRA, later))
    (task,) = found.tasks
    assert (task.refreshers, task.right) == (7, 1)
    assert task.half_life_days < Policy().half_life_days
    assert [(one.name, one.refreshers) for one in task.people] == [(AMA.display_name, 7)]
    assert pace.sheet(db, bench.enter(db, KIT, later)).tasks[0].people == ()
    with pytest.raises(NotAllowed):
        pace.sheet(db, ama)


def test_what_is_right_today_is_predicted_by_both_models_once_there_are_sessions(db: Database) -> None:
    bench.give_module(db, AMA)
    for turn in range(4):
        at = NOW + timedelta(days=9 * turn)
        bench.practise_once(db, bench.enter(db, AMA, at), SKILL, now=at)
    at = NOW + timedelta(days=30)
    ama = bench.enter(db, AMA, at)
    rows = {row.skill_id: row for row in practise.short_sheet(db, ama, MODULE, now=at).skills}
    by_rule, by_spacing = rows[SKILL].right_today, rows[SKILL].right_by_spacing
    assert by_rule is not None
    assert by_spacing is not None
    assert 0.9 < by_rule < 0.95
    assert 0.5 < by_spacing <= 1
    assert (rows["what-now"].right_today, rows["what-now"].right_by_spacing) == (None, None)
    on_the_day = practise.short_sheet(db, ama, MODULE, now=NOW + timedelta(days=27)).skills
    assert next(row for row in on_the_day if row.skill_id == SKILL).right_by_spacing is None


def test_the_numbers_of_the_programme_move_the_guidance(db: Database) -> None:
    keeper = bench.enter(db, KIT)
    policy.change(
        db,
        keeper,
        {"sheet_minutes": "4", "clean_in_a_row": "1"},
        because="Shorter.",
        password=KIT.password,
        now=NOW,
    )
    ama = bench.enter(db, AMA)
    assert len(practise.short_sheet(db, ama, MODULE, now=NOW).drills) == 2
    bench.give_module(db, AMA)
    bench.practise_once(db, ama, SKILL)
    assert _on_sheet(db, ama).shown == 1


def test_only_who_practises_gets_a_short_sheet(db: Database) -> None:
    with pytest.raises(NotAllowed):
        practise.short_sheet(db, bench.enter(db, SOL), MODULE, now=NOW)
    with pytest.raises(NotFound):
        practise.short_sheet(db, bench.enter(db, AMA), "no-such-module", now=NOW)
    with pytest.raises(NotFound):
        practise.skill_titles(db, bench.enter(db, AMA), _next(db, bench.enter(db, AMA)).revision, ["none"])


# The answer


def test_an_answer_is_marked_kept_and_shown_again(db: Database) -> None:
    ama = bench.enter(db, AMA)
    address = _next(db, ama, SKILL)
    answer = bench.wrong_answer(db, address)
    result = bench.hand_in(db, ama, address, answer, "t-1")
    assert not result.mark.right
    assert result.counts
    view = practise.attempt(db, ama, result.attempt_id)
    assert (view.address, view.answer, view.mark, view.question) == (
        address,
        answer,
        result.mark,
        result.question,
    )
    assert (view.person_id, view.module_id, view.skill_id, view.is_current) == (AMA.id, MODULE, SKILL, True)
    assert (view.at, view.started) == (NOW, NOW - timedelta(minutes=2))


def test_the_same_ticket_again_gives_the_same_attempt_and_writes_nothing(db: Database) -> None:
    ama = bench.enter(db, AMA)
    address = _next(db, ama, SKILL)
    first = bench.hand_in(db, ama, address, bench.right_answer(db, address), "once")
    with db.reading() as unit:
        logged = len(list(events.since(unit)))
    again = bench.hand_in(db, ama, address, bench.wrong_answer(db, address), "once", NOW + timedelta(hours=1))
    assert again == first
    with db.reading() as unit:
        assert len(list(events.since(unit))) == logged
        assert summaries.of_person(unit, AMA.id)[address.revision, SKILL].attempts == 1


def test_a_ticket_used_for_another_question_gives_what_was_answered_with_it(db: Database) -> None:
    ama = bench.enter(db, AMA)
    first = bench.practise_once(db, ama, SKILL)
    with db.reading() as unit:
        kept = attempts.by_id(unit, first.attempt_id)
    assert kept is not None
    address = _next(db, ama, SKILL)
    again = bench.hand_in(db, ama, address, bench.right_answer(db, address), kept.ticket)
    assert (again.attempt_id, again.question) == (first.attempt_id, first.question)


def test_the_same_ticket_of_two_people_is_two_attempts(db: Database) -> None:
    ids = set()
    for someone in (AMA, BEN):
        actor = bench.enter(db, someone)
        address = _next(db, actor)
        ids.add(bench.hand_in(db, actor, address, bench.right_answer(db, address), "mine").attempt_id)
    assert len(ids) == 2


def test_only_the_first_answer_to_a_question_counts(db: Database) -> None:
    ama = bench.enter(db, AMA)
    address = _next(db, ama, SKILL)
    assert bench.hand_in(db, ama, address, bench.wrong_answer(db, address), "first").counts
    second = bench.hand_in(db, ama, address, bench.right_answer(db, address), "second")
    assert second.mark.right
    assert not second.counts
    with db.reading() as unit:
        kept = summaries.of_person(unit, AMA.id)[address.revision, SKILL]
    assert (kept.attempts, kept.clean, kept.in_a_row) == (1, 0, 0)


def test_one_ticket_handed_in_by_many_threads_is_one_attempt(db: Database) -> None:
    ama = bench.enter(db, AMA)
    address = _next(db, ama, SKILL)
    answer = bench.right_answer(db, address)
    with ThreadPoolExecutor(8) as pool:
        results = list(pool.map(lambda _: bench.hand_in(db, ama, address, answer, "once"), range(16)))
    assert len({result.attempt_id for result in results}) == 1


def test_one_question_answered_by_many_threads_counts_once(db: Database) -> None:
    ama = bench.enter(db, AMA)
    address = _next(db, ama, SKILL)
    answer = bench.right_answer(db, address)
    with ThreadPoolExecutor(8) as pool:
        results = list(pool.map(lambda n: bench.hand_in(db, ama, address, answer, f"t-{n}"), range(16)))
    assert [result.counts for result in results].count(True) == 1
    with db.reading() as unit:
        assert summaries.of_person(unit, AMA.id)[address.revision, SKILL].attempts == 1


def test_an_unreadable_answer_is_refused_and_not_kept(db: Database) -> None:
    ama = bench.enter(db, AMA)
    address = _next(db, ama, SKILL)
    with pytest.raises(AnswerUnreadable):
        bench.hand_in(db, ama, address, ["not a line"], "t")
    with pytest.raises(TicketUnfit):
        bench.hand_in(db, ama, address, bench.right_answer(db, address), "")
    with db.reading() as unit:
        assert attempts.newest_of(unit, AMA.id, limit=5) == ()


def test_a_clock_that_runs_ahead_on_the_device_is_not_believed(db: Database) -> None:
    ama = bench.enter(db, AMA)
    address = _next(db, ama)
    result = practise.answer(
        db,
        ama,
        address.revision,
        address.kind,
        address.size,
        address.seed,
        bench.right_answer(db, address),
        ticket="t",
        started=NOW + timedelta(minutes=5),
        now=NOW,
    )
    assert practise.attempt(db, ama, result.attempt_id).started is None


def test_an_old_revision_can_still_be_answered_and_says_that_it_is_old(db: Database) -> None:
    ama = bench.enter(db, AMA)
    address = _next(db, ama, SKILL)
    publish.publish(db, SYSTEM, REVISED, file="small-valve.yaml", now=NOW)
    result = bench.hand_in(db, ama, address, bench.right_answer(db, address), "late")
    assert not practise.attempt(db, ama, result.attempt_id).is_current


def test_the_log_holds_what_was_answered(db: Database) -> None:
    ama = bench.enter(db, AMA)
    result = bench.practise_once(db, ama, SKILL)
    with db.reading() as unit:
        (entry,) = [event for event in events.since(unit) if event.action == "practice:answer"]
    payload = json.loads(entry.payload)
    assert (entry.person_id, entry.at, payload["attempt"]) == (AMA.id, NOW, result.attempt_id)
    assert payload["answer"] == practise.attempt(db, ama, result.attempt_id).answer
    assert payload["credit_thousandths"] == 1000


def test_who_may_look_at_an_attempt(db: Database) -> None:
    number = bench.practise_once(db, bench.enter(db, AMA)).attempt_id
    for someone in (AMA, MIRA, SOL, INES):
        assert practise.attempt(db, bench.enter(db, someone), number).person_id == AMA.id
    for someone in (BEN, CLEO, KIT):
        with pytest.raises(NotFound):
            practise.attempt(db, bench.enter(db, someone), number)
    others = bench.practise_once(db, bench.enter(db, CLEO)).attempt_id
    with pytest.raises(NotFound):
        practise.attempt(db, bench.enter(db, MIRA), others)
    with pytest.raises(NotFound):
        practise.attempt(db, bench.enter(db, AMA), 999_999)


# The summary


def test_kept_summary_rebuilt_summary_and_the_rule_itself_agree(db: Database) -> None:
    ama, cleo = bench.enter(db, AMA), bench.enter(db, CLEO)
    for number, right in enumerate([True, False, True, True, True, False, False, True, True]):
        at = NOW + timedelta(minutes=number)
        bench.practise_once(db, ama, right=right, now=at)
        bench.practise_once(db, cleo, SKILL, right=not right, now=at)
    address = _next(db, ama, SKILL)
    for ticket in ("again", "and again"):
        bench.hand_in(db, ama, address, bench.wrong_answer(db, address), ticket)
    with db.reading() as unit:
        kept = summaries.every(unit)
        told = {
            (someone.id, shown.skill.id): (shown.attempts, shown.clean, shown.in_a_row, shown.last)
            for someone in (AMA, CLEO)
            for shown in _by_the_rule(db, unit, someone.id, address.revision)
            if shown.attempts
        }
    assert {
        (row.person_id, row.skill): (row.attempts, row.clean, row.in_a_row, row.last_at) for row in kept
    } == told
    assert upkeep.rebuild_summaries(db, SYSTEM, now=NOW) == len(kept)
    with db.reading() as unit:
        assert summaries.every(unit) == kept


def _by_the_rule(db: Database, unit: Unit, person_id: str, revision: str) -> tuple[Shown, ...]:
    module = publish.module_at(db, revision)
    every = [
        Attempt(a.skill, f"{a.address}", a.right, a.critical, a.at)
        for a in sorted(attempts.newest_of(unit, person_id, limit=1000), key=lambda a: a.id)
    ]
    return summarise(drills.skills(module), every, Policy())
