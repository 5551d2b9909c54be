from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import pytest

from tests.exports import reading, samples
from trainer.exports.kinds import crew_sheet
from trainer.records.qualification import Standing

if TYPE_CHECKING:
    from pathlib import Path


def test_every_person_and_task_is_on_it() -> None:
    crew = samples.crew()
    said = reading.text(crew_sheet.write(crew, paper="a4"))
    assert all(row.name in said for row in crew.rows)
    assert all(task.id in said for task in crew.tasks)


def test_every_cell_says_its_standing_aloud() -> None:
    crew = samples.crew()
    spoken = [alt for kind, alt in reading.elements(crew_sheet.write(crew, paper="a4")) if kind == "/Figure"]
    cells = [cell for row in crew.rows for cell in row.cells]
    assert len(spoken) == len(cells)
    for words, cell in zip(spoken, cells, strict=True):
        assert words.startswith(cell.standing.words)
    assert spoken[0] == "signed, in date until 2029-06-30"
    assert "lapsed after 2026-11-30" in spoken


def test_the_key_names_every_standing() -> None:
    said = reading.text(crew_sheet.write(samples.crew(), paper="a4"))
    key = said[said.index("Key") :]
    for standing in Standing:
        assert f"{standing.letter} {standing.words}" in key


def test_ends_stand_where_they_matter_with_the_year_when_it_is_another() -> None:
    said = reading.text(crew_sheet.write(samples.crew(changes=()), paper="a4"))
    assert "E 05-14" in said
    assert "L 2026-11-30" in said
    assert "S 2029-06-30" not in said


def test_signed_of_needed_counts_the_crew_and_words_the_shortage() -> None:
    crew = samples.crew()
    said = reading.text(crew_sheet.write(crew, paper="a4"))
    assert "Signed, of needed 10 of 6 7 of 4 8 of 4" in said
    assert "4 of 8 short 4" in said
    assert "1 of 2 short 1" in said
    short = sum(needed > signed for signed, needed in crew.signed_of_needed())
    assert said.count("short ") == short == 2


def test_changes_stand_newest_last_and_the_rest_is_counted() -> None:
    few = samples.crew()
    said = reading.text(crew_sheet.write(few, paper="a4"))
    assert "2027-03-02 Fenna Lanternby T-08 A S" in said
    many = replace(
        few,
        changes=tuple(
            replace(few.changes[0], on=date(2027, 3, day), name=f"Person {day}") for day in range(1, 10)
        ),
    )
    said = reading.text(crew_sheet.write(many, paper="a4"))
    assert "Person 9" in said
    assert "Person 4" not in said
    assert "And 4 earlier." in said
    assert "Changes None." in reading.text(crew_sheet.write(samples.crew(changes=()), paper="a4"))


def test_fourteen_tasks_and_twelve_people_fit_one_sheet() -> None:
    assert len(reading.pages(crew_sheet.write(samples.crew(12, 14), paper="a4"))) == 1


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_a_large_crew_takes_further_sheets_in_even_shares(paper: str, tmp_path: Path) -> None:
    crew = samples.crew(30, 17)
    pdf = crew_sheet.write(crew, paper=paper)
    pages = reading.pages(pdf)
    assert len(pages) == 6
    assert "People 1 to 10 of 30, tasks 1 to 9 of 17" in pages[0]
    assert "People 21 to 30 of 30, tasks 10 to 17 of 17" in pages[5]
    # Each sheet counts the whole crew, not its own share of it.
    signed, needed = crew.signed_of_needed()[0]
    assert all(f"{signed} of {needed}" in page for page in pages[:3])
    assert all("signed, in date" in page for page in pages)
    assert reading.words_outside_frame(pdf, tmp_path) == []


@pytest.mark.parametrize(("people", "tasks"), [(0, 0), (0, 3), (3, 0), (1, 1), (2, 5)])
def test_small_and_empty_crews_print_too(people: int, tasks: int, tmp_path: Path) -> None:
    pdf = crew_sheet.write(samples.crew(people, tasks), paper="a4")
    said = reading.text(pdf)
    assert ("Nobody is on this crew." in said) == (people == 0)
    assert ("No covered task is on this sheet." in said) == (tasks == 0)
    assert reading.words_outside_frame(pdf, tmp_path) == []


def test_long_names_shrink_into_their_field(tmp_path: Path) -> None:
    long = "Bartholomew Featherstonehaugh of the Northern Distribution Pressure Control Team"
    crew = samples.crew(
        3, 16, title=long * 2, issued_by="Druckregelanlagenwartungsabteilung", document="D" * 60
    )
    crew = replace(
        crew,
        tasks=tuple(replace(task, title=long, id="T-1234567890", group=long) for task in crew.tasks),
        rows=tuple(replace(row, name=long, grade="Senior IV") for row in crew.rows),
    )
    pdf = crew_sheet.write(crew, paper="us-letter")
    assert reading.words_outside_frame(pdf, tmp_path) == []
    assert reading.text(pdf).count(long) >= 3
