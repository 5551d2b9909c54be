"""What every kind of drill promises, walked over the register, the shipped procedures and a small module."""

from __future__ import annotations

import json
import pkgutil
import re
from typing import TYPE_CHECKING, Any

import pytest

import trainer.drills.kinds
from tests.modules import SMALL_VALVE
from trainer import drills
from trainer.drills.answer_forms import AnswerUnreadable, Arrange, Choose, NextStep, Number, Say
from trainer.procedure import library
from trainer.procedure.shared_tables import SharedTables
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.model import Module

SEEDS = range(30)


def _modules() -> list[Module]:
    small = library.read_module(SMALL_VALVE, "small.yaml", SharedTables())
    return [small, *(library.load(name) for name in library.shipped_procedures())]


MODULES = _modules()
CASES = [
    (module, kind)
    for module in MODULES
    for kind in drills.KINDS
    if drills.KINDS[kind].skills(prepare(module))
]
# Where each pick makes the next moment no key is sent that could be looked for.
ASKED_WHOLE = [(module, kind) for module, kind in CASES if kind not in drills.RUNS]
each_case = pytest.mark.parametrize(("module", "kind"), CASES, ids=[f"{m.id}-{k}" for m, k in CASES])


def _wrong(answer: Any, question: Any) -> list[Any]:
    """Return answers that are readable and differ from a right one."""
    if isinstance(question.form, NextStep):
        return list(_gone_wrong(answer, question))
    if isinstance(question.form, Say):
        marked = [said.id for said in question.form.fields if not said.detail]
        return [{**answer, name: words} for name in marked for words in ("I cannot say", "3 lbf·ft")]
    if isinstance(answer, list):
        return [answer[::-1], answer[1:] + answer[:1]]
    if isinstance(question.form, Choose):
        wrong = []
        for row in question.form.rows:
            others = [option.id for option in row.options if option.id != answer[row.id]]
            wrong += [{**answer, row.id: other} for other in others]
        return wrong
    return [
        {**answer, name: {"value": str(float(given["value"]) * 1.31), "unit": given["unit"]}}
        for name, given in answer.items()
    ]


def _gone_wrong(key: list[str], question: Any) -> Iterator[list[str]]:
    """Yield runs that go along the key and then wrong, from each of its moments."""
    module = next(m for m in MODULES if m.revision == question.revision)
    at = module, question.kind, question.size, question.seed
    moment: Any = question
    for number, right in enumerate(key):
        for option in moment.form.options:
            picks = [*key[:number], option.id]
            if drills.go_on(*at, picks) is None and not drills.mark(*at, picks).right:
                yield picks
        moment = drills.go_on(*at, [*key[:number], right])


def test_every_kind_is_in_the_list() -> None:
    files = {module.name for module in pkgutil.iter_modules(trainer.drills.kinds.__path__)}
    assert {str(kind.__name__).rpartition(".")[2] for kind in drills.KINDS.values()} == files  # type: ignore[attr-defined]


def test_the_shipped_main_module_gives_every_kind_but_that_of_stations() -> None:
    module = library.load("piston-valve-overhaul")
    assert [kind for kind in drills.KINDS if not drills.KINDS[kind].skills(prepare(module))] == ["line-up"]


def test_every_kind_is_given_by_what_is_shipped() -> None:
    assert {kind for _, kind in CASES} == set(drills.KINDS)


@each_case
def test_the_same_seed_gives_the_same_question(module: Module, kind: str) -> None:
    again = library.read_module(module.canonical and _text(module), module.file, None)
    for seed in SEEDS:
        assert drills.ask(module, kind, None, seed) == drills.ask(again, kind, None, seed)


def _text(module: Module) -> str:
    return SMALL_VALVE if module.id == "small-valve" else library.find(module.id).read_text(encoding="utf-8")


@each_case
def test_the_key_earns_full_marks(module: Module, kind: str) -> None:
    for seed in SEEDS:
        for size in module.sizes:
            mark = drills.mark(module, kind, size, seed, drills.key(module, kind, size, seed))
            assert (mark.right, mark.credit, mark.critical) == (True, 1.0, False)
            assert mark.incident is None
            assert mark.headline


@each_case
def test_every_wrong_answer_gets_a_reason(module: Module, kind: str) -> None:
    for seed in SEEDS:
        question = drills.ask(module, kind, None, seed)
        key = drills.key(module, kind, None, seed)
        for answer in _wrong(key, question):
            mark = drills.mark(module, kind, None, seed, answer)
            if mark.right:  # another order, or another place, may be as good as the key
                assert isinstance(question.form, Arrange) or kind in ("find-the-slip", "what-is-missing")
                continue
            assert mark.credit < 1
            reasons = [remark.text for remark in mark.remarks if not remark.right]
            assert reasons
            assert all(reason.endswith((".", "!", "?")) for reason in reasons), reasons


@each_case
def test_every_wrong_option_has_a_reason_of_its_own(module: Module, kind: str) -> None:
    """Two wrong options of one row are not told the same."""
    for seed in SEEDS:
        form = drills.ask(module, kind, None, seed).form
        key = drills.key(module, kind, None, seed)
        if not isinstance(form, Choose) or not isinstance(key, dict):
            return
        for row in form.rows:
            told = [
                remark.text
                for option in row.options
                for remark in drills.mark(module, kind, None, seed, {**key, row.id: option.id}).remarks
                if remark.about == row.id and not remark.right
            ]
            assert len(set(told)) == len(told), (row.text, told)


@each_case
def test_nothing_that_marking_says_is_sent_before(module: Module, kind: str) -> None:
    """No reason, verdict or right figure of the mark stands in what is sent with the question."""
    for seed in SEEDS:
        question = drills.ask(module, kind, None, seed)
        key = drills.key(module, kind, None, seed)
        sent = json.dumps(question.as_data(), ensure_ascii=False)
        assert not {"right", "key", "verdicts", "guess", "critical"} & set(_names(question.as_data()))
        for answer in (key, *_wrong(key, question)):
            mark = drills.mark(module, kind, None, seed, answer)
            for text in (mark.headline, mark.instead, *(remark.text for remark in mark.remarks)):
                assert not text or text not in sent, text


def _names(data: Any) -> list[str]:
    if isinstance(data, dict):
        return [*data, *(name for value in data.values() for name in _names(value))]
    return [name for value in data for name in _names(value)] if isinstance(data, list) else []


@each_case
def test_question_and_mark_survive_json(module: Module, kind: str) -> None:
    question = drills.ask(module, kind, None, 5)
    assert json.loads(json.dumps(question.as_data())) == question.as_data()
    key = json.loads(json.dumps(drills.key(module, kind, None, 5)))
    mark = drills.mark(module, kind, None, 5, key)
    assert json.loads(json.dumps(mark.as_data())) == mark.as_data()


@pytest.mark.parametrize(("module", "kind"), ASKED_WHOLE, ids=[f"{m.id}-{k}" for m, k in ASKED_WHOLE])
def test_the_question_does_not_hold_its_key(module: Module, kind: str) -> None:
    """The lines are not shown in a right order, options stand in no fixed order, no figure of the key is sent."""
    firsts = set()
    for seed in range(150):
        question = drills.ask(module, kind, None, seed)
        key = drills.key(module, kind, None, seed)
        if isinstance(question.form, Arrange):
            shown = [line.id for line in question.form.lines]
            assert not drills.mark(module, kind, None, seed, shown).right
        elif isinstance(question.form, Choose) and isinstance(key, dict):
            firsts |= {key[row.id] == row.options[0].id for row in question.form.rows}
        elif isinstance(question.form, Say) and isinstance(key, dict):
            sent = json.dumps(question.as_data(), ensure_ascii=False)
            assert not any(str(words) in sent for words in key.values())
        elif isinstance(question.form, Number) and isinstance(key, dict):
            for field in question.form.fields:
                given = key[field.id]
                assert isinstance(given, dict)
                figure = rf"(?<![\d.]){re.escape(given['value'])}[ \u202f]?{re.escape(given['unit'])}"
                assert re.search(figure, f"{question.given} {field.text} {field.detail}") is None
    assert firsts in (set(), {True, False})


@each_case
def test_every_skill_can_be_asked_for(module: Module, kind: str) -> None:
    for skill in drills.KINDS[kind].skills(prepare(module)):
        for start in (0, 7, 1000):
            seed = drills.seed_for(module, skill.id, start)
            assert start <= seed < start + 100
            assert drills.ask(module, kind, None, seed).skill == skill.id


@each_case
def test_unreadable_answers_are_refused_with_a_sentence(module: Module, kind: str) -> None:
    key = drills.key(module, kind, None, 3)
    bad: list[object] = [None, "a", 7, [], {}, ["nonsense"], {"nonsense": "a"}, [["a"]], {"a": ["b"]}]
    if isinstance(drills.ask(module, kind, None, 3).form, Arrange) and isinstance(key, list):
        bad += [key[:-1], [*key, key[0]], [*key[:-1], key[0]]]
    elif isinstance(key, list):
        bad += [key[:-1], [*key, key[0]], [*key[:-1], "z"]]
    for answer in bad:
        with pytest.raises(AnswerUnreadable, match=r"\S"):
            drills.mark(module, kind, None, 3, answer)


@each_case
def test_the_chance_of_a_blind_guess_is_told(module: Module, kind: str) -> None:
    for seed in SEEDS:
        assert 0 <= drills.ask(module, kind, None, seed).guess <= 0.5


def test_unknown_kinds_sizes_and_skills_are_told() -> None:
    small = MODULES[0]
    with pytest.raises(drills.UnknownKind, match=r"no kind of drill 'juggling'"):
        drills.ask(small, "juggling", None, 1)
    with pytest.raises(drills.UnknownSize, match=r"does not cover DN 65; it covers DN 50, DN 80, DN 100"):
        drills.ask(small, "order", "DN 65", 1)
    with pytest.raises(drills.UnknownSkill, match=r"no skill 'juggling'"):
        drills.seed_for(small, "juggling", 0)
    with pytest.raises(drills.NothingToAsk, match=r"Give at least two parts `faces`"):
        drills.ask(small, "way-round", None, 1)
