from __future__ import annotations

from functools import cache
from typing import Any

from tests.exports import reading, samples
from trainer.drills.observed import critical_steps
from trainer.exports.kinds import bench_card
from trainer.procedure.window import prepare
from trainer.records.observation import MEANING_OBSERVED, StepMark


@cache
def card(size: str = "DN 80", paper: str = "a4") -> bytes:
    return bench_card.write(samples.job(size=size), paper=paper)


def test_every_step_stands_once_with_its_number_and_the_four_marks_head_the_boxes() -> None:
    said = reading.text(card())
    module = samples.main_valve()
    for number, step in enumerate(module.steps.values(), start=1):
        assert f"{number} " in said
        # A word with a hyphen may be broken at it.
        assert step.do.replace(" ", "") in said.replace(" ", "")
    for mark in StepMark:
        assert mark.short in said
    assert "Done as" in said


def test_each_step_has_four_boxes() -> None:
    # 4.2 mm = 11.905512 pt.
    drawn = b""
    for sheet in reading.reader(card()).pages:
        contents = sheet.get_contents()
        assert contents is not None
        drawn += contents.get_data()
    boxes = drawn.count(b"0 0 m 11.905512 0 l 11.905512 11.905512 l")
    assert boxes == 4 * len(samples.main_valve().steps)


def test_critical_steps_are_marked_with_what_makes_them_so() -> None:
    said = reading.text(card())
    critical = critical_steps(prepare(samples.main_valve(), "DN 80"))
    assert len(critical) > 3
    for why in set(critical.values()):
        assert said.count(f"critical: {why}") >= sum(one == why for one in critical.values())


def test_a_caution_stands_before_the_step_it_belongs_to() -> None:
    said = reading.text(card())
    module = samples.main_valve()
    step = next(step for step in module.steps.values() if step.cautions)
    caution = reading.squeezed(module.cautions[step.cautions[0]].text)
    assert said.index(caution) < said.index(reading.squeezed(step.do))


def test_who_watched_signs_and_is_told_what_it_means() -> None:
    said = reading.text(card())
    for words in (
        "Work done by",
        "Watched by",
        "Entered by",
        MEANING_OBSERVED,
        "critical: an order that can kill",
    ):
        assert reading.squeezed(words) in said


def test_the_card_is_of_its_revision_and_size() -> None:
    module: Any = samples.main_valve()
    assert module.revision[:12] in reading.text(card())
    assert "DN\u00a0100".replace("\u00a0", " ") in reading.text(card("DN 100"))
    assert reading.text(card(paper="us-letter"))
