from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW
from tests.people import AMA, BEN, CLEO, INES, KIT, MIRA, SOL
from trainer import drills
from trainer.actions import analysis, practise, publish
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.actions.analysis_views import ModuleAnalysis
    from trainer.actions.opening import Database
    from trainer.procedure.model import Module

TEARDOWN = "order:teardown"


def _of(db: Database) -> ModuleAnalysis:
    return analysis.of_module(db, bench.enter(db, SOL), MODULE, now=NOW)


def _module(db: Database) -> Module:
    return publish.module_at(db, publish.current_modules(db, SYSTEM)[0].revision)


def _turn_round(db: Database, actor: Actor, ticket: str) -> None:
    """Answer an order wholly the wrong way round: everything that can be broken is."""
    address = practise.next_drill(db, actor, MODULE, TEARDOWN, None, now=NOW)
    bench.hand_in(db, actor, address, bench.right_answer(db, address)[::-1], ticket)


def test_who_may_look(db: Database) -> None:
    for someone in (MIRA, SOL, INES, KIT):
        assert analysis.of_module(db, bench.enter(db, someone), MODULE, now=NOW).answers == 0
    with pytest.raises(NotAllowed):
        analysis.of_module(db, bench.enter(db, AMA), MODULE, now=NOW)
    with pytest.raises(NotFound):
        analysis.of_module(db, bench.enter(db, SOL), "nothing", now=NOW)


def test_broken_relations_are_those_of_the_procedure(db: Database) -> None:
    for someone in (AMA, BEN):
        for turn in range(2):
            _turn_round(db, bench.enter(db, someone), str(turn))
    bench.practise_once(db, bench.enter(db, CLEO), TEARDOWN)
    found = _of(db)
    relations = prepare(_module(db)).precedence.relations
    assert found.broken
    worst = found.broken[0]
    assert worst.times == 4
    assert worst.people == 2
    assert worst.of == 5
    for one in found.broken:
        reasons = relations[one.before.id, one.after.id]
        assert (one.text, one.signal) in {(reason.text, reason.signal) for reason in reasons}
        assert one.times <= one.of
    assert [one.times for one in found.broken] == sorted((one.times for one in found.broken), reverse=True)
    steps = [step for phase in found.phases for step in phase.steps]
    assert [step.id for step in steps] == list(_module(db).steps)


def test_few_people_give_counts_and_a_sentence(db: Database) -> None:
    for right in (False, True, True):
        bench.practise_once(db, bench.enter(db, AMA), TEARDOWN, right=right)
    found = _of(db)
    (line,) = found.skills
    assert (line.rate.times, line.rate.right, line.people) == (3, 2, 1)
    assert line.rate.low < line.rate.share < line.rate.high
    assert line.with_rest is None
    assert line.place is None
    assert found.together.reliability is None
    assert "below 20 people" in found.together.why_not
    assert found.together.why_no_places.startswith("It takes at least 3 skills")
    assert found.tries == ()
    assert found.gaps == ()


def test_curves_have_points_where_enough_answered(db: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(analysis, "FEWEST_ANSWERS", 2)
    for someone in (AMA, BEN):
        bench.practise_once(db, bench.enter(db, someone), TEARDOWN, right=False, now=NOW - timedelta(days=40))
        for _ in range(3):
            bench.practise_once(db, bench.enter(db, someone), TEARDOWN, now=NOW - timedelta(days=40))
        bench.practise_once(db, bench.enter(db, someone), TEARDOWN, now=NOW)
    found = _of(db)
    assert [(point.number, point.rate.right, point.rate.times) for point in found.tries] == [
        (1, 0, 2),
        (2, 2, 2),
        (3, 2, 2),
        (4, 2, 2),
        (5, 2, 2),
    ]
    (gap,) = found.gaps
    assert (gap.first, gap.last, gap.rate.times, gap.rate.right) == (31, 91, 2, 2)
    # The policy's .95 halves in 198 days: 40 days later .95 · 2^(-40/198).
    assert gap.predicted == pytest.approx(0.95 * 2 ** (-40 / 198), abs=1e-3)


def test_enough_people_give_items_and_places(db: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    skills = [skill.id for skill in drills.skills(_module(db))]
    assert len(skills) >= 3
    people = [f"P-{number:04}" for number in range(300)]
    # The harder the skill, the fewer have it right: a scale without chance, but for one person of ten.
    firsts = tuple(
        (person, skill, number % (len(skills) + 1) > place or number % 10 == 3)
        for number, person in enumerate(people)
        for place, skill in enumerate(skills)
    )
    bench.practise_once(db, bench.enter(db, AMA), skills[0])
    monkeypatch.setattr(
        "trainer.store.analysis.first_answers",
        lambda _unit, _revision, people: firsts[: people * len(skills)],
    )
    found = _of(db)
    assert (found.together.complete, found.together.why_not, found.together.why_no_places) == (300, "", "")
    assert found.together.reliability is not None
    assert found.together.reliability > 0.5
    assert found.skills[0].with_rest is not None
    assert found.skills[0].place is not None


def test_choices_are_told_by_their_words(db: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(analysis, "FEWEST_ANSWERS", 1)
    module = _module(db)
    chosen = next(skill for skill in drills.skills(module) if _form(module, skill.id) == "choose")
    bench.practise_once(db, bench.enter(db, AMA), chosen.id)
    bench.practise_once(db, bench.enter(db, BEN), chosen.id, right=False)
    found = analysis.of_skill(db, bench.enter(db, SOL), MODULE, chosen.id)
    assert found.looked_at == 2
    assert found.why_no_choices == ""
    assert found.rows
    for row in found.rows:
        assert sum(choice.times for choice in row.choices) == row.times
        assert any(choice.right for choice in row.choices)
    assert any(choice.times and not choice.right for row in found.rows for choice in row.choices)


def test_where_nothing_is_chosen_it_says_so(db: Database) -> None:
    bench.practise_once(db, bench.enter(db, AMA), TEARDOWN)
    found = analysis.of_skill(db, bench.enter(db, SOL), MODULE, TEARDOWN)
    assert found.rows == ()
    assert "put in order" in found.why_no_choices
    with pytest.raises(NotFound):
        analysis.of_skill(db, bench.enter(db, SOL), MODULE, "order:nothing")


def _form(module: Module, skill: str) -> str:
    kind = next(item.kind for item in drills.skills(module) if item.id == skill)
    return drills.ask(module, kind, None, drills.seed_for(module, skill, 1)).form.NAME


def test_what_is_left_out_for_its_number_is_said(db: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    for someone in (AMA, BEN):
        bench.practise_once(db, bench.enter(db, someone), TEARDOWN, right=False)
    assert _of(db).bounded == ""
    monkeypatch.setattr(analysis, "NEWEST_ORDERS", 1)
    monkeypatch.setattr(analysis, "MOST_PEOPLE", 1)
    found = _of(db)
    assert "newest 1 answers" in found.bounded
    assert "1 people who practised last" in found.bounded
    assert max(one.times for one in found.broken) == 1
