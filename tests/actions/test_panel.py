from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING

import pytest
from sqlalchemy.exc import IntegrityError

from tests.actions import bench
from tests.actions.bench import MODULE, NOW
from tests.people import AMA, KIT, MIRA, SOL
from trainer.actions import panel
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.panel import EstimateUnreadable, JudgesUnfit, PanelRoom, SheetMoved
from trainer.competency.angoff import PanelUnfit
from trainer.competency.skill_classes import SkillClass, class_of
from trainer.store import events

if TYPE_CHECKING:
    from trainer.actions.opening import Database


def _room(db: Database) -> PanelRoom:
    return panel.room(db, bench.enter(db, KIT), MODULE)


def _keep(db: Database, judges: list[str], estimates: list[list[str]], revision: str = "") -> int:
    found = _room(db)
    return panel.keep(
        db, bench.enter(db, KIT), MODULE, revision or found.revision, judges, estimates, now=NOW
    )


def test_only_what_can_be_made_up_for_is_asked(db: Database) -> None:
    found = _room(db)
    assert found.items
    assert {class_of(skill) for skill in found.items} == {SkillClass.ORDINARY}
    assert found.kept == ()


def test_a_sheet_is_kept_with_its_cut_and_logged(db: Database) -> None:
    count = len(_room(db).items)
    judges = ["Una Gatewood", "  Rolf   Tarn ", ""]
    estimates = [["80"] * count, ["60 %"] * count, [" "] * count]
    number = _keep(db, judges, estimates)
    (line,) = _room(db).kept
    assert (line.panel_id, line.judges, line.items, line.is_in_force) == (number, 2, count, True)
    assert line.kept_by == KIT.display_name
    # Angoff: the mean of 0.8 n and 0.6 n; their standard deviation is 0.2 n / √2.
    assert line.cut == pytest.approx(0.7 * count, abs=5e-4)
    assert line.share == pytest.approx(0.7, abs=5e-4)
    assert line.spread == pytest.approx(0.2 * count / 2**0.5, abs=5e-4)
    kept = panel.sheet(db, bench.enter(db, MIRA), MODULE, number)
    assert kept.judges == ("Una Gatewood", "Rolf Tarn")
    assert {estimates for _, estimates in kept.items} == {(80, 60)}
    assert kept.cut.share == pytest.approx(0.7)
    with db.reading() as unit:
        logged = [event for event in events.since(unit) if event.action == "panel:keep"]
    assert [json.loads(event.payload)["panel"] for event in logged] == [number]


def test_a_kept_sheet_cannot_be_changed(db: Database) -> None:
    count = len(_room(db).items)
    _keep(db, ["A", "B"], [["80"] * count, ["60"] * count])
    for change in ("UPDATE panels SET cut_thousandths = 1", "DELETE FROM panels"):
        with pytest.raises(IntegrityError, match="kept as written"), db.writing() as unit:
            unit.exec_driver_sql(change)


@pytest.mark.parametrize(
    ("judges", "first", "second", "why"),
    [
        (["A", "B"], "80", "", "B has no estimate from 0 to 100 % for"),
        (["A", "B"], "80", "101", "B has no estimate"),
        (["A", "B"], "80", "-1", "B has no estimate"),
        (["A", "B"], "80", "half", "B has no estimate"),
        (["A", ""], "80", "70", "Every judge needs a name"),
        (["A", "A"], "80", "70", "'A' stands twice"),
        (["A" * 81, "B"], "80", "70", "at most 80 characters"),
    ],
)
def test_what_gives_no_cut_is_told_and_nothing_is_kept(
    db: Database, judges: list[str], first: str, second: str, why: str
) -> None:
    count = len(_room(db).items)
    with pytest.raises((EstimateUnreadable, JudgesUnfit), match=why):
        _keep(db, judges, [[first] * count, [second] * count])
    assert _room(db).kept == ()


def test_a_single_judge_is_no_panel(db: Database) -> None:
    count = len(_room(db).items)
    with pytest.raises(PanelUnfit, match="at least 2 judges"):
        _keep(db, ["A", ""], [["80"] * count, [""] * count])


def test_a_sheet_of_another_revision_is_not_kept(db: Database) -> None:
    with pytest.raises(SheetMoved, match="another revision"):
        _keep(db, ["A", "B"], [["80"], ["60"]], revision="c" * 64)


def test_who_may(db: Database) -> None:
    found = _room(db)
    for someone in (AMA, MIRA):
        with pytest.raises(NotAllowed):
            panel.keep(db, bench.enter(db, someone), MODULE, found.revision, [], [], now=NOW)
    with pytest.raises(NotAllowed):
        panel.room(db, bench.enter(db, AMA), MODULE)
    with pytest.raises(NotFound):
        panel.sheet(db, bench.enter(db, SOL), MODULE, 9)


def test_the_cut_is_held_against_what_people_do(db: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    skills = [skill.id for skill in _room(db).items]
    count = len(skills)
    number = _keep(db, ["A", "B"], [["80"] * count, ["60"] * count])
    few = panel.sheet(db, bench.enter(db, KIT), MODULE, number)
    assert few.seen is None
    assert "below 20 people" in few.why_not
    # Of forty people ten have nothing right and thirty everything; one who left an item out does not count.
    firsts = [(f"P-{n}", skill, n >= 10) for n in range(40) for skill in skills] + [
        ("P-40", skills[0], True)
    ] * (count > 1)
    monkeypatch.setattr(
        "trainer.store.analysis.first_answers", lambda _unit, _revision, people: firsts[: people * 99]
    )
    found = panel.sheet(db, bench.enter(db, KIT), MODULE, number)
    assert found.why_not == ""
    assert found.seen is not None
    assert (found.seen.people, found.seen.passed) == (40, 30)
    assert found.seen.needed == math.ceil(0.7 * count)
    assert set(found.seen.shares) == {0.75}
    assert set(found.seen.parts) == {1.0}
    assert 0.5 < found.seen.again <= 1
