from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest

from tests.exports import reading, samples
from trainer.exports.job import INVENTED
from trainer.exports.kinds import job_card
from trainer.exports.kinds.job_card import record_blanks
from trainer.procedure.model import Hazard

if TYPE_CHECKING:
    from pathlib import Path


def printed(**changes: Any) -> str:
    """Return all text of the sample job's card with some of its fields changed."""
    return reading.text(job_card.write(samples.job(**changes), paper="a4")) if changes else as_it_is()


@cache
def as_it_is() -> str:
    """Return all text of the sample job's card."""
    return reading.text(job_card.write(samples.job(), paper="a4"))


def test_parts_stand_with_item_number_quantity_and_renewal() -> None:
    pdf = job_card.write(samples.job(), paper="a4")
    said = reading.text(pdf)
    assert "2 Seat gasket 1" in said
    assert "25 Cover nuts 8" in said
    spoken = [alt for kind, alt in reading.elements(pdf) if kind == "/Figure"]
    assert spoken.count("renew whenever disturbed") == 9
    assert spoken.count("renew when the inspection says so") == 2


def test_quantities_and_torques_are_those_of_the_size() -> None:
    small, large = printed(size="DN 50"), printed(size="DN 100")
    assert "25 Cover nuts 8 M12 60 N·m 44.3 lbf·ft" in small
    # 140 N·m / 1.3558179483 = 103.26 lbf·ft (NIST SP 811, B.8: 1 lbf·ft = 1.355 818 N·m).
    assert "25 Cover nuts 12 M20 140 N·m 103 lbf·ft" in large


def test_passes_come_with_their_values_and_the_order_of_the_nuts() -> None:
    said = printed()
    assert "Passes: 30 % 28.5 N·m, then 60 % 57 N·m, then 100 % 95 N·m, then round and round" in said
    assert "Order: 1-5-3-7-2-6-4-8" in said


def test_castle_nut_and_adapter_are_told_in_words() -> None:
    said = printed()
    assert "when hole and slot do not meet, on to the next slot, never above 52 N·m" in said
    # 40 N·m x 400 / (400 + 50) = 35.56 N·m (US Army TM 1-1500-204-23-9, figure 8-16).
    assert "Adapter 50 mm on wrench 400 mm: set the wrench to 35.6 N·m" in said
    assert "28 Vent collar 1 – hand tight" in said


def test_steps_stand_in_order_under_their_phase() -> None:
    packet = samples.job()
    said = printed()
    places = [said.index(step.do) for step in packet.steps]
    assert places == sorted(places)
    phases = [said.index(phase.title) for phase in packet.module.phases.values()]
    assert phases == sorted(phases)


def test_items_of_a_step_are_those_it_touches_and_those_that_come_along() -> None:
    said = printed()
    assert "3 23, 28 Open the vent plug one turn" in said
    assert "9 5 to 14 Draw the piston assembly" in said


def test_every_caution_stands_before_its_step_with_its_signal_word() -> None:
    packet = samples.job()
    said = printed()
    for step in packet.steps:
        before = said[: said.index(step.do)]
        for name in step.cautions:
            caution = packet.module.cautions[name]
            bar = f"{caution.signal.value.upper()} {caution.text}"
            assert bar in before[-400:], step.id


def test_worst_caution_comes_first() -> None:
    said = printed()
    place = said.index("27 25 Tighten the cover nuts in passes")
    assert said.rindex("WARNING", 0, place) < said.rindex("NOTICE", 0, place)


def test_a_caution_never_parts_from_its_step() -> None:
    module = samples.main_valve()
    steps = list(module.steps.values())
    # Sheets break at other places as the first step grows by a line each time.
    for lines in range(0, 30, 5):
        grown = replace(steps[0], do="Shut the run. " + "Look at the tag again. " * 4 * lines)
        packet = samples.job(replace(module, steps={**module.steps, grown.id: grown}))
        for page in reading.pages(job_card.write(packet, paper="a4")):
            for step in steps[1:]:
                text = [module.cautions[name].text for name in step.cautions]
                assert all((step.do in page) <= (words in page) for words in text)
            assert not page.endswith(tuple(phase.title for phase in module.phases.values()))


def test_a_phase_that_goes_on_says_so_on_the_next_sheet() -> None:
    first, second = reading.pages(job_card.write(samples.job(), paper="a4"))
    assert "Strip down to the bare body, continued" in second
    assert "continued" not in first
    for page in (first, second):
        assert "Step Item Operation Record Done Initials" in page


def test_sign_boxes_stand_on_every_sheet() -> None:
    pages = reading.pages(job_card.write(samples.job(), paper="a4"))
    assert "Sheet 2 may begin" in pages[0]
    assert "Plant handed back" in pages[-1]
    for page in pages:
        assert "Work done" in page
        assert "Checked by a second person" in page


def test_invented_values_are_called_so_on_every_sheet_when_the_procedure_says_so() -> None:
    module = samples.main_valve()
    assert all(
        INVENTED in page for page in reading.pages(job_card.write(samples.job(module), paper="us-letter"))
    )
    assert INVENTED not in printed(module=replace(module, summary="A main valve."))


def test_title_block_carries_the_fields_of_a_drawing() -> None:
    said = printed()
    for label, value in (
        ("Legal owner", samples.COMPANY),
        ("Title", "Overhaul the angle main valve, DN 80"),
        ("Document number", "FG-JC-0412"),
        ("Revision", samples.main_valve().revision[:12]),
        ("Issued by", "Hesper Nettlecombe"),
        ("Approved by", "Osbert Fallowmere"),
        ("Document type", "Job card"),
        ("Plant item", "MV-14, Hollow Tarn station"),
        ("Date of issue", "2027-03-18"),
    ):
        assert f"{label} {value}" in said
    assert "Job number" in said


def test_the_order_of_work_may_be_another_or_a_part() -> None:
    said = printed(order=("vent", "shut"))
    assert said.index("Vent the run") < said.index("Shut HV-11")
    assert "Lift the cover" not in said


@pytest.mark.parametrize(
    ("record", "parts"),
    [
        ("", []),
        ("PG-31 ____ bar", [{"text": "PG-31"}, {"blank": 8}, {"text": "bar"}]),
        ("mm ______", [{"text": "mm"}, {"blank": 12}]),
        ("land sound [ ]", [{"text": "land sound"}, {"box": True}]),
        ("[] yes [ ] no", [{"box": True}, {"text": "yes"}, {"box": True}, {"text": "no"}]),
        ("free length, mm", [{"text": "free length, mm"}, {"blank": 16}]),
        ("_" * 80, [{"blank": 30}]),
    ],
)
def test_record_blanks(record: str, parts: list[dict[str, Any]]) -> None:
    assert record_blanks(record) == parts


def test_unknown_cautions_are_passed_over() -> None:
    module = samples.main_valve()
    step = replace(module.steps["shut"], cautions=("nowhere",))
    assert "Shut HV-11" in printed(module=replace(module, steps={"shut": step}))


def test_notice_carries_no_hazard_triangle_and_danger_does() -> None:
    # ANSI Z535.4-2007, 4.14, as quoted on a sign maker's public page: the alert sign stands for personal injury only.
    module = samples.main_valve()

    def strokes(signal: Hazard) -> int:
        caution = replace(module.cautions["threads"], signal=signal)
        step = replace(module.steps["shut"], cautions=("threads",))
        packet = samples.job(replace(module, steps={"shut": step}, cautions={"threads": caution}))
        (page,) = reading.reader(job_card.write(packet, paper="a4")).pages
        contents = page.get_contents()
        assert contents is not None
        return contents.get_data().count(b"\nS")

    plain = strokes(Hazard.NOTICE)
    assert all(strokes(signal) > plain for signal in (Hazard.CAUTION, Hazard.WARNING, Hazard.DANGER))


def test_no_parts_no_fasteners_no_steps() -> None:
    module = replace(samples.main_valve(), parts={}, fasteners={}, steps={}, summary="")
    pdf = job_card.write(samples.job(module), paper="a4")
    assert "No steps are listed." in reading.text(pdf)
    assert len(reading.pages(pdf)) == 1


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_long_texts_and_long_lists_stay_inside_the_frame(paper: str, tmp_path: Path) -> None:
    module = samples.main_valve()
    long = "Bartholomew Featherstonehaugh of the Northern Distribution Pressure Control Team "
    word = "Druckregelanlagenwartungsabteilung"
    steps = {
        name: replace(step, do=step.do + " and again" * (12 * (i % 5)))
        for i, (name, step) in enumerate(module.steps.items())
    }
    steps["shut"] = replace(steps["shut"], do="Look. " * 900, note="Mind. " * 60, record="a ____ [ ] " * 60)
    cautions = {
        name: replace(caution, text=caution.text + " Mind." * 90) for name, caution in module.cautions.items()
    }
    parts = {f"part_{i}": replace(module.parts["piston"], name=f"Part {i} of {word}") for i in range(130)}
    packet = samples.job(
        replace(module, title=long * 3, steps=steps, cautions=cautions, parts={**module.parts, **parts}),
        plant_item=long * 2,
        company=samples.COMPANY + long,
    )
    pdf = job_card.write(packet, paper=paper)
    said = reading.text(pdf)
    assert said.count("Look.") == 900
    assert all(f"Part {number} of" in said for number in range(130))
    assert reading.words_outside_frame(pdf, tmp_path) == []
