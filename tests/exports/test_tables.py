"""Tables for a spreadsheet, read back by programs that did not write them."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date, datetime
from typing import Any

import openpyxl
import pytest

from tests.exports import reading, samples
from trainer.exports import EXPORTS
from trainer.exports.table_file import BOM, Table, as_csv, as_xlsx

ON = date(2027, 3, 18)
# OWASP, 'CSV Injection': the signs with which a cell must not begin; full-width ones are read alike.
FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1", "＋1", "－1", "＠1"]
HARMLESS = ["Dagny Hollowell", "T-31", "–", "1-2", "a=b", "'quoted'", 'with "marks", and commas', "Gött", ""]


def _csv(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def _book(data: bytes) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data))


@pytest.mark.parametrize("text", FORMULAS)
def test_a_text_that_looks_like_a_formula_stays_a_text(text: str) -> None:
    table = Table("Names", ("Name",), ((text,),))
    assert _csv(as_csv(table))[1] == [f"'{text}"]
    cell = _book(as_xlsx([table], title="N", company="C", on=ON))["Names"]["A2"]
    assert cell.data_type == "s"
    assert cell.quotePrefix
    # XML folds a carriage return into a line feed; openpyxl gives back what stands there.
    assert cell.value.replace("_x000D_", "\r") in (text, text.replace("\r", "\n"))


def test_a_head_is_no_formula_either() -> None:
    assert _csv(as_csv(Table("T", ("=1",), ())))[0] == ["'=1"]


@pytest.mark.parametrize("text", HARMLESS)
def test_other_texts_come_back_as_they_were(text: str) -> None:
    table = Table("Names", ("Name", "Day"), ((text, ON),))
    assert _csv(as_csv(table))[1] == [text, "2027-03-18"]
    sheet = _book(as_xlsx([table], title="N", company="C", on=ON))["Names"]
    assert sheet["A2"].value == (text or None)
    assert sheet["B2"].value == datetime(2027, 3, 18)  # a day of the calendar
    assert sheet["B2"].number_format == "yyyy-mm-dd"


def test_numbers_stay_numbers_below_zero_too() -> None:
    table = Table("N", ("n",), ((-4,), (0,), (None,)))
    assert _csv(as_csv(table)) == [["n"], ["-4"], ["0"], [""]]
    sheet = _book(as_xlsx([table], title="N", company="C", on=ON))["N"]
    assert [row[0].value for row in sheet.iter_rows(min_row=2, max_row=3)] == [-4, 0]


def test_a_csv_begins_with_the_mark_of_its_letters_and_has_whole_lines() -> None:
    # RFC 4180, 2: lines end with CRLF, a field with a comma or a mark stands in marks.
    data = as_csv(Table("T", ("a", "b"), (("x,y", 'say "so"'),)))
    assert data == BOM + b'a,b\r\n"x,y","say ""so"""\r\n'


def test_a_sheet_may_have_any_name() -> None:
    name = "A/B: a very long name of a crew [south] and more"
    book = _book(as_xlsx([Table(name, ("a",), ())], title="t", company="c", on=ON))
    assert book.sheetnames == ["A-B- a very long name of a crew"]


def test_the_crew_stands_in_both_forms() -> None:
    crew = samples.crew()
    rows = _csv(EXPORTS["crew_csv"].write(crew, paper="a4"))
    assert len(rows) == 1 + 12 * 14
    where = {head: index for index, head in enumerate(rows[0])}
    signed = [row for row in rows[1:] if row[where["Alone"]] == "yes"]
    assert len(signed) == sum(row.signed for row in crew.rows)
    lapsed = next(row for row in rows[1:] if row[where["Letter"]] == "L")
    assert (lapsed[where["Standing"]], lapsed[where["Last day"]]) == ("lapsed", "2026-11-30")
    book = _book(EXPORTS["crew_xlsx"].write(crew, paper="a4"))
    assert book.sheetnames == ["Crew", "Standings"]
    crossed = list(book["Crew"].iter_rows(values_only=True))
    assert len(crossed) == 1 + 12
    assert crossed[1][1:4] == ("Jonty Brackenfold", "III", "S")
    assert crossed[1][-2] == crew.rows[0].signed
    assert book["Standings"].max_row == len(rows)
    assert book.properties.created == datetime(2027, 3, 18)  # as the file has it


@pytest.mark.parametrize("lines", [0, 3])
def test_lapses_have_a_line_each(lines: int) -> None:
    packet = samples.lapse_list(lines)
    rows = _csv(EXPORTS["lapse_csv"].write(packet, paper="a4"))
    assert len(rows) == 1 + lines
    book = _book(EXPORTS["lapse_xlsx"].write(packet, paper="a4"))
    assert book["Lapses"].max_row == 1 + lines
    if lines:
        assert rows[1][:2] == ["2027-03-28", "-4"]
        assert book["Lapses"]["B2"].value == -4


def test_the_crew_stands_beside_the_name_where_there_are_several() -> None:
    packet = samples.lapse_list()
    first, *rest = packet.lines
    several = replace(
        packet, lines=(replace(first, crew="North"), *(replace(one, crew="South") for one in rest))
    )
    assert _csv(EXPORTS["lapse_csv"].write(several, paper="a4"))[1][2:4] == [first.person, "North"]
    assert f"{first.person},North".replace(" ", "") in "".join(
        reading.pages(EXPORTS["lapse_list"].write(several, paper="a4"))
    ).replace(" ", "")
    assert "North" not in "".join(reading.pages(EXPORTS["lapse_list"].write(packet, paper="a4")))
