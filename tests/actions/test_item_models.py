"""What models say of a procedure: invented answers of known skills, and the same numbers worked out another way."""

from __future__ import annotations

import random
import subprocess
import sys
from math import exp
from statistics import fmean, pvariance
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE
from tests.people import AMA, SOL
from trainer import drills
from trainer.actions import item_models, publish
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound

if TYPE_CHECKING:
    from trainer.actions.analysis_views import ModelSheet
    from trainer.actions.opening import Database

Firsts = tuple[tuple[str, str, bool], ...]


def _skills(db: Database) -> list[str]:
    module = publish.module_at(db, publish.current_modules(db, SYSTEM)[0].revision)
    return [skill.id for skill in drills.skills(module)]


def _truth(skills: list[str]) -> dict[str, tuple[float, float]]:
    """Return slope and difficulty of each skill: every other one tells people apart three times as well."""
    return {
        skill: (0.7 if place % 2 else 2.1, -1.4 + 1.8 * place / (len(skills) - 1))
        for place, skill in enumerate(skills)
    }


def _answers(truth: dict[str, tuple[float, float]], people: int) -> Firsts:
    chance = random.Random(7)  # noqa: S311  # invented answers
    rows: list[tuple[str, str, bool]] = []
    for number in range(people):
        able = chance.gauss(0, 1)
        rows += [
            (f"P-{number:04}", skill, chance.random() < 1 / (1 + exp(-slope * (able - hard))))
            for skill, (slope, hard) in truth.items()
        ]
    return tuple(rows)


def _put(monkeypatch: pytest.MonkeyPatch, firsts: Firsts) -> None:
    monkeypatch.setattr(
        "trainer.store.analysis.first_answers", lambda _unit, _revision, people: firsts[: people * 99]
    )


def _of(db: Database) -> ModelSheet:
    return item_models.of_module(db, bench.enter(db, SOL), MODULE)


def test_who_may_look(db: Database) -> None:
    with pytest.raises(NotAllowed):
        item_models.of_module(db, bench.enter(db, AMA), MODULE)
    with pytest.raises(NotFound):
        item_models.of_module(db, bench.enter(db, SOL), "nothing")


def test_below_the_number_a_sentence_says_what_is_missing(
    db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = _of(db)
    assert found.models is None
    assert "3 skills that 200 people each have answered" in found.why_not
    assert {line.people for line in found.waiting} == {0}
    skills = _skills(db)
    _put(monkeypatch, _answers(_truth(skills), 199))
    nearly = _of(db)
    assert nearly.models is None
    assert {(line.people, line.why) for line in nearly.waiting} == {(199, "1 person is missing")}


def test_slopes_and_difficulties_come_back(db: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    truth = _truth(_skills(db))
    _put(monkeypatch, _answers(truth, 1000))
    models = _of(db).models
    assert models is not None
    assert models.people == 1000
    for line in models.skills:
        slope, hard = truth[line.skill.id]
        assert line.free.slope_error is not None
        assert line.free.difficulty_error is not None
        # Four standard errors: one in 15,000 lies beyond (normal distribution).
        assert abs(line.free.slope - slope) < 4 * line.free.slope_error
        assert abs(line.free.difficulty - hard) < 4 * line.free.difficulty_error
    assert models.freedom == len(truth) - 1
    assert models.by_chance < 0.001
    assert models.bic[1] < models.bic[0]


def test_at_the_cut_the_curves_have_its_share_and_the_information_is_theirs(
    db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    _put(monkeypatch, _answers(_truth(_skills(db)), 600))
    models = _of(db).models
    assert models is not None
    # Below standard for ordinary skills: 30 % wrong, by the numbers that the program brings along.
    assert models.cut.share == pytest.approx(0.7)
    for placed, at, told in (
        ([line.rasch for line in models.skills], models.skill_at_cut[0], models.information_at_cut[0]),
        ([line.free for line in models.skills], models.skill_at_cut[1], models.information_at_cut[1]),
    ):
        chances = [1 / (1 + exp(-one.slope * (at - one.difficulty))) for one in placed]
        assert fmean(chances) == pytest.approx(0.7, abs=1e-9)
        # Birnbaum in Lord and Novick, Statistical Theories of Mental Test Scores, 1968: a² P (1 - P), from memory.
        each = [one.slope**2 * p * (1 - p) for one, p in zip(placed, chances, strict=True)]
        assert told == pytest.approx(sum(each))
        assert [one.information for one in placed] == pytest.approx(each)
    assert [point.skill for point in models.curve] == [step / 4 for step in range(-16, 17)]


def test_decisions_are_those_of_who_answered_everything(
    db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    skills = _skills(db)
    firsts = _answers(_truth(skills), 400)
    # The last hundred leave the last skill out.
    short = tuple(row for row in firsts if row[1] != skills[-1] or row[0] < "P-0300")
    _put(monkeypatch, short)
    models = _of(db).models
    assert models is not None
    found = models.decisions
    assert not isinstance(found, str)
    sums = [sum(right for person, _, right in firsts if person == f"P-{n:04}") for n in range(300)]
    count = len(skills)
    assert (found.people, found.needed) == (300, -(-7 * count // 10))
    assert found.passed == sum(one >= found.needed for one in sums)
    shares = [
        fmean(right for person, s, right in firsts if s == skill and person < "P-0300") for skill in skills
    ]
    kr_20 = count / (count - 1) * (1 - sum(p * (1 - p) for p in shares) / pvariance(sums))
    assert found.reliability == pytest.approx(kr_20)
    off = (fmean(sums) - 0.7 * count) ** 2
    assert found.about_cut == pytest.approx((kr_20 * pvariance(sums) + off) / (pvariance(sums) + off))
    assert found.reliability <= found.about_cut <= 1
    assert 0.5 < found.again <= 1
    assert abs(found.again - found.again_normal) < 0.1
    assert found.alike <= found.reliability + 1e-9


def test_what_everybody_answers_alike_is_left_out_and_named(
    db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    skills = _skills(db)
    firsts = _answers(_truth(skills), 250)
    _put(monkeypatch, tuple((p, s, right or s == skills[0]) for p, s, right in firsts))
    found = _of(db)
    assert found.models is not None
    assert skills[0] not in {line.skill.id for line in found.models.skills}
    assert [(line.skill.id, line.why) for line in found.waiting] == [(skills[0], "everybody answered alike")]


def test_the_numbers_are_loaded_with_the_page_alone() -> None:
    code = (
        "import sys, trainer.actions.item_models, trainer.web.analysis.routes; print('numpy' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603  # our own
    assert said.stdout.strip() == "False"
