from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tests.exports import reading, samples
from trainer.exports.kinds import parts_kit
from trainer.procedure.model import Renewal

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.exports.packets import JobCardPacket


def halves(packet: JobCardPacket) -> tuple[str, str]:
    """Return what is renewed as a rule and what on condition, as printed."""
    said = reading.text(parts_kit.write(packet, paper="a4"))
    start = said.index("Renew on this job")
    always, on_condition = said[start:].split("Have at hand", 1)
    return always, on_condition


def test_lists_item_part_quantity_and_kit_line() -> None:
    always, on_condition = halves(samples.job())
    assert "2 Seat gasket 1 Seat gasket 1.5 mm" in always
    assert "12 Piston O-ring 1 O-ring 82 x 5.3" in always
    assert "3 Seat ring 1 Seat ring" in on_condition
    assert "Seat ring 1" not in always


def test_what_the_job_does_not_reach_is_not_on_its_kit() -> None:
    always, _ = halves(samples.job())
    assert "Pilot filter" not in always
    assert samples.main_valve().parts["pilot_filter"].renew is Renewal.ALWAYS


def test_a_shorter_job_needs_a_smaller_kit() -> None:
    always, on_condition = halves(samples.job(order=("shut", "vent", "gland")))
    assert "Gland O-ring" in always
    assert "Cover gasket" not in always
    assert "Nothing is renewed on condition." in on_condition


def test_a_seal_under_what_is_taken_off_is_on_the_kit_though_no_step_names_it() -> None:
    module = samples.main_valve()
    lift = replace(module.steps["lift"], acts={**module.steps["lift"].acts}, along=())
    bare = {verb: tuple(name for name in names if name == "cover") for verb, names in lift.acts.items()}
    packet = samples.job(replace(module, steps={"lift": replace(lift, acts=bare)}))
    always, _ = halves(packet)
    assert "Cover gasket" in always


def test_quantities_are_those_of_the_size() -> None:
    module = samples.main_valve()
    nuts = replace(module.fasteners["cover_nuts"], renew=Renewal.ALWAYS, kit="Nut, grade as fitted")
    renewed = replace(module, fasteners={**module.fasteners, "cover_nuts": nuts})
    assert "25 Cover nuts 12 Nut, grade as fitted" in halves(samples.job(renewed, size="DN 100"))[0]
    assert "25 Cover nuts 8 Nut, grade as fitted" in halves(samples.job(renewed, size="DN 50"))[0]


def test_nothing_to_renew_is_said() -> None:
    always, _ = halves(samples.job(order=("shut",)))
    assert "Nothing that this job disturbs is renewed as a rule." in always


def test_a_long_kit_takes_further_sheets_with_heads(tmp_path: Path) -> None:
    module = samples.main_valve()
    gasket = module.parts["seat_gasket"]
    parts = {
        f"g{i}": replace(gasket, name=f"Gasket {i} of a long list with a long name", kit="Kit " * 30)
        for i in range(60)
    }
    step = replace(module.steps["seat_out"], along=tuple(parts))
    packet = samples.job(replace(module, parts={**module.parts, **parts}, steps={"seat_out": step}))
    pdf = parts_kit.write(packet, paper="us-letter")
    pages = reading.pages(pdf)
    assert len(pages) > 2
    assert all("Item Part Qty Kit line" in page for page in pages)
    assert reading.words_outside_frame(pdf, tmp_path) == []
