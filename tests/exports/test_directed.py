"""How somebody works who is not qualified for a task stands on every paper that names such people, or the job."""

from __future__ import annotations

from dataclasses import replace

from tests.exports import reading, samples
from trainer.exports.kinds import crew_sheet, job_card, lapse_list, qualification_record, sign_in_sheet
from trainer.exports.packets import RecordPacket
from trainer.records.conditions import Conditions, Evaluators, Methods, Span
from trainer.records.methods import Method

ONE = Span(1, "Two hands are seen from beside the bench.")
NOBODY = Span(0, "Nobody learns on a live station.")


def test_the_job_card_says_it_with_the_reason() -> None:
    packet = samples.job()
    said = reading.text(job_card.write(replace(packet, directed=ONE.sentence), paper="a4"))
    assert f"Unqualified at {packet.module.covered_task}: {ONE.sentence}" in said
    assert "Unqualified at" not in reading.text(job_card.write(packet, paper="a4"))


def test_the_lapse_list_says_it_once_for_each_task_of_which_something_is_over() -> None:
    packet = samples.lapse_list(6)
    told = (ONE, ONE, NOBODY, NOBODY, NOBODY, NOBODY)
    tasks = ("T-31 Overhaul", "T-31 Overhaul", "T-42 Set", "T-42 Set", "T-43 Find", "T-43 Find")
    lines = tuple(
        replace(line, task=task, directed=span.sentence)
        for line, task, span in zip(packet.lines, tasks, told, strict=True)
    )
    # Four of the six are over; nothing of T-43 is.
    said = reading.text(lapse_list.write(replace(packet, lines=lines), paper="a4"))
    assert said.count(f"T-31 Overhaul: {ONE.sentence}") == 1
    assert said.count(f"T-42 Set: {NOBODY.sentence}") == 1
    assert "T-43 Find:" not in said


def test_the_sign_in_sheet_says_it() -> None:
    packet = samples.bench_day()
    said = reading.text(sign_in_sheet.write(replace(packet, directed=NOBODY.sentence), paper="a4"))
    assert f"Unqualified at {packet.task}: {NOBODY.sentence}" in said


def test_the_crew_sheet_has_a_number_for_each_task() -> None:
    sheet = samples.crew()
    spans = [ONE, NOBODY, Span(3, "Invented.")]
    tasks = tuple(
        replace(task, conditions=Conditions(span=spans[number % 3]))
        for number, task in enumerate(sheet.tasks)
    )
    said = reading.text(crew_sheet.write(replace(sheet, tasks=tasks), paper="a4"))
    numbers = said.split("Unqualified, directed by one at most")[1].split()[:3]
    assert numbers == ["1", "nobody", "3"]


def test_the_record_carries_what_was_set_for_its_task() -> None:
    asked = Conditions(
        Methods(always=(Method.ORAL,)), ONE, Evaluators(other_crew=True, because="Two pairs of eyes.")
    )
    record = samples.record(conditions=asked)
    said = reading.text(qualification_record.write([RecordPacket(record)], paper="a4"))
    for words in ("Every evaluation uses: oral examination.", ONE.sentence, "Two pairs of eyes."):
        assert words in said
    earlier = reading.text(qualification_record.write([RecordPacket(samples.record())], paper="a4"))
    assert "Unqualified at it" not in earlier
