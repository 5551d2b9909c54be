"""Pictures in questions, walked over the register: each can be drawn, and none tells by a name what its lines must tell."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import pytest

from tests.web.sketched import all_sketches, moments
from trainer import drills
from trainer.drawing import VIEWS
from trainer.drills.answer_forms import Arrange, Choose, Point
from trainer.procedure import library
from trainer.procedure.window import prepare
from trainer.web import sketches

if TYPE_CHECKING:
    from trainer.drills.question import Question
    from trainer.drills.sketch import Sketch
    from trainer.procedure.model import Module

SHIPPED = [library.load(name) for name in library.shipped_procedures()]
CASES = [(m, kind) for m in SHIPPED for kind in drills.KINDS if drills.KINDS[kind].skills(prepare(m))]
SEEDS = range(6)
each_case = pytest.mark.parametrize(("module", "kind"), CASES, ids=[f"{m.id}-{k}" for m, k in CASES])


def _asked(module: Module, kind: str) -> list[Question]:
    return [moment for seed in SEEDS for moment in moments(module, kind, seed)]


@each_case
def test_every_picture_of_a_question_can_be_drawn(module: Module, kind: str) -> None:
    for question in _asked(module, kind):
        for asked in all_sketches(question):
            svg = VIEWS[asked.view].draw(module, question.size, 140, prefix="s1", **asked.keywords)
            assert ET.fromstring(svg).tag.endswith("svg"), asked  # noqa: S314  # our own
            assert hash(asked)


@each_case
def test_a_picture_says_nothing_beside_its_lines(module: Module, kind: str) -> None:
    """No word that the question does not say, no name of a part, and no id but its own, counted through."""
    for question in _asked(module, kind):
        for place, drawn in sketches.sketches(question, module).items():
            for svg in filter(None, (drawn.phone, drawn.desk)):
                root = ET.fromstring(str(svg))  # noqa: S314  # our own
                _says_nothing(root, module, place, _said(question))


# What stands in the key of a bolt circle and in the sketch of a lift, whatever is asked.
_CAPTIONS = re.compile(
    r"n|\?|place|on|the|joint|turn|first|to|last|legs?|each|carries|out|up|twist|from", re.ASCII
)


# What stands in every drawing of a station, in whatever line-up: letters of instruments, ends, and the key.
_STATION = {
    *(
        "pi",
        "s",
        "n₂",
        "inlet",
        "outlet",
        "not",
        "fed",
        "pressure",
        "vented",
        "to",
        "air",
        "shut",
        "in",
        "may",
        "hold",
    ),
    *("nitrogen", "blowing", "open", "closed", "regulating", "locked"),
}


def _in_a_station(module: Module) -> set[str]:
    if module.station is None:
        return set()
    return _STATION | {element.tag.casefold() for element in module.station.elements.values()}


def _said(question: Question) -> set[str]:
    form = question.form
    texts = [question.ask, question.given]
    if isinstance(form, Choose):
        texts += [row.text for row in form.rows]
    if isinstance(form, Point):
        texts += [place.id for place in form.places]
    if isinstance(form, Arrange):
        texts += [line.text for line in form.lines]
    return {word.strip(".,?").casefold() for text in texts for word in text.replace("\u202f", " ").split()}


def _says_nothing(root: ET.Element, module: Module, place: str, said: set[str]) -> None:
    things = {*module.parts, *module.fasteners, *module.lines, *module.steps}
    said = said | _in_a_station(module)
    for element in root.iter():
        for word in (element.text or "").replace("\u202f", " ").split():
            assert _CAPTIONS.fullmatch(word.strip(",")) or word.strip(",").casefold() in said, (place, word)
        for name, value in element.attrib.items():
            assert name not in ("data-part", "aria-label", "tabindex"), place
            assert not things & set(re.findall(r"\w+", value)), (place, name)
            if name == "id":
                assert re.fullmatch(r"s\d+[pd]-[a-z0-9-]+", value), value


@each_case
def test_pictures_of_right_and_wrong_options_differ_in_their_lines_alone(module: Module, kind: str) -> None:
    for seed in SEEDS:
        question = drills.ask(module, kind, None, seed)
        if not isinstance(question.form, Choose):
            return
        drawn = sketches.sketches(question, module)
        for row in question.form.rows:
            pictures = [drawn[f"option {row.id} {o.id}"] for o in row.options if o.picture is not None]
            told = {_without_lines(str(picture.phone)) for picture in pictures}
            assert len(told) <= 1, (row.text, told)


def _without_lines(svg: str) -> str:
    """Return what a picture holds beside its lines: how it begins, its ids and its names, counters taken out."""
    root = ET.fromstring(svg)  # noqa: S314  # our own
    ids = sorted(re.sub(r"^s\d+", "s", e.get("id", "")) for e in root.iter() if e.get("id"))
    head = {name: value for name, value in root.attrib.items() if name != "viewBox"}
    words = [e.text for e in root.iter() if (e.text or "").strip()]
    return repr((sorted(head.items()), ids, words))


@each_case
def test_a_question_as_data_holds_no_picture(module: Module, kind: str) -> None:
    for question in _asked(module, kind):
        assert "picture" not in repr(_keys(question.as_data()))


def _keys(data: Any) -> list[str]:
    if isinstance(data, dict):
        return [*data, *(key for value in data.values() for key in _keys(value))]
    return [key for value in data for key in _keys(value)] if isinstance(data, list) else []


def test_way_round_shows_the_part_both_ways_and_the_words_stay_for_who_cannot_see() -> None:
    module = library.load("piston-valve-overhaul")
    question = drills.ask(module, "way-round", "DN 80", 1)
    assert isinstance(question.form, Choose)
    drawn = sketches.sketches(question, module)
    for row in question.form.rows:
        with_picture = [option for option in row.options if option.picture is not None]
        assert len(with_picture) == 2, row.text
        one, other = (_spots(drawn[f"option {row.id} {o.id}"].phone) for o in with_picture)
        alike = any("printed side" in option.text for option in row.options)
        same = len(one) == len(other) and max(abs(a - b) for a, b in zip(one, other, strict=True)) < 4
        assert same is alike, row.text


def _spots(svg: str) -> list[float]:
    """Return the numbers of a picture; a part with two equal faces that is turned has its outline drawn backwards."""
    written = re.sub(r"s\d+p", "", svg)
    return sorted(float(found) for found in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", written))


def test_a_picture_that_cannot_be_drawn_is_left_out() -> None:
    module = library.load("piston-valve-overhaul")
    asked: Sketch = next(iter(all_sketches(drills.ask(module, "way-round", "DN 80", 1))))
    assert sketches.drawn_for(asked, module, "DN 80", "option", "s1") is not None
    broken = replace(asked, options=(("part", "no_such_part"),))
    assert sketches.drawn_for(broken, module, "DN 80", "option", "s1") is None
