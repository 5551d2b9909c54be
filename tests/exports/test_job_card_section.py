"""The section on the job card: beside the parts list, read aloud, as lines, the same bytes again."""

from __future__ import annotations

import pytest

from tests.exports import reading, samples
from trainer.exports.kinds import job_card
from trainer.procedure import library

VALVE = library.load("piston-valve-overhaul")
NOTE = "Section, DN 80. Not to scale."


def many(count: int) -> str:
    """A procedure of so many washers on one another."""
    names = [f"w{n}" for n in range(count)]
    parts = "".join(f"  {name}: {{name: Washer {n}}}\n" for n, name in enumerate(names))
    shapes = "".join(
        f"  {name}: {{at: {3 * n}, profile: [[5, 0], [20, 0], [20, 2], [5, 2]]}}\n"
        for n, name in enumerate(names)
    )
    head = "module: m\ntitle: A stack\nsummary: Invented.\nsizes: [S]\n"
    return f"{head}parts:\n{parts}shapes:\n{shapes}steps:\n  - {{id: s, do: Look}}\n"


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_section_stands_on_the_first_sheet_with_every_item_number(paper: str) -> None:
    pdf = job_card.write(samples.job(VALVE, size="DN 80"), paper=paper)
    assert pdf == job_card.write(samples.job(VALVE, size="DN 80"), paper=paper)
    first, *others = reading.pages(pdf)
    assert NOTE in first
    assert all("Not to scale" not in page for page in others)
    spoken = [alt for kind, alt in reading.elements(pdf) if kind == "/Figure"]
    (told,) = [alt for alt in spoken if alt and alt.startswith("Section with item numbers.")]
    for thing, number in VALVE.item_numbers().items():
        assert f"{number} {VALVE.name(thing)}" in told
        assert f"{number} {VALVE.name(thing)}" in first


def test_the_section_is_that_of_the_size() -> None:
    small, large = (job_card.write(samples.job(VALVE, size=size), paper="a4") for size in ("DN 50", "DN 100"))
    assert "Section, DN 50." in reading.pages(small)[0]
    assert "Section, DN 100." in reading.pages(large)[0]


def test_it_is_drawn_in_lines_and_not_as_a_bitmap() -> None:
    page = reading.reader(job_card.write(samples.job(VALVE, size="DN 80"), paper="a4")).pages[0]
    assert not page.images


def test_a_procedure_without_shapes_has_its_parts_list_alone() -> None:
    pdf = job_card.write(samples.job(), paper="a4")
    assert "Not to scale" not in reading.text(pdf)


@pytest.mark.parametrize("count", [1, 24, 90])
def test_a_list_longer_than_the_section_goes_on_below_it(count: int) -> None:
    packet = samples.job(library.read_module(many(count), "m.yaml"), size="S")
    said = reading.text(job_card.write(packet, paper="a4"))
    places = [said.index(f"{n + 1} Washer {n} 1") for n in range(count)]
    assert len(set(places)) == count
