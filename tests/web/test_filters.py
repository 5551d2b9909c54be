"""How values are printed."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest

from tests import people
from trainer.web import filters

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask

    from tests.web.visitor import Visitor


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Gas at 8 bar pushes with 7 kN", "Gas at 8\xa0bar pushes with 7\xa0kN"),
        ("60\u202fN·m", "60\xa0N·m"),
        ("passes 30 %, 60 %", "passes 30\xa0%, 60\xa0%"),
        ("DN 80 and NPS 3", "DN\xa080 and NPS\xa03"),
        ("8 barrels, 3 nuts, 2 minutes", "8 barrels, 3 nuts, 2 minutes"),
    ],
)
def test_number_and_unit_stay_together(text: str, shown: str) -> None:
    assert filters.units_close(text) == shown


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("The cover lifts. Gas stands over it.", "<b>The cover lifts.</b> Gas stands over it."),
        ("One sentence", "<b>One sentence</b>"),
        ("Wait 1.5 min. Then open.", "<b>Wait 1.5\xa0min.</b> Then open."),
        ("<i>No markup. None.", "<b>&lt;i&gt;No markup.</b> None."),
    ],
)
def test_the_first_sentence_stands_out(text: str, shown: str) -> None:
    assert filters.first_sentence_bold(text) == shown


def test_days_and_times() -> None:
    assert filters.day(date(2027, 3, 22)) == "2027-03-22"
    assert filters.day(datetime(2027, 3, 22, 14, 32, tzinfo=UTC)) == "2027-03-22"
    assert filters.month_day(date(2027, 3, 22)) == "03-22"
    assert (filters.day(None), filters.month_day(None), filters.moment_in(UTC, None)) == ("", "", "")


@pytest.mark.parametrize(
    ("zone", "at", "told"),
    [
        ("UTC", "2027-03-22T14:32", "2027-03-22 14:32 UTC"),
        # Summer time ends at 01:00 UTC on the last Sunday of October (Directive 2000/84/EC, article 3): the hour comes twice.
        ("Europe/Oslo", "2027-10-31T00:30", "2027-10-31 02:30 CEST"),
        ("Europe/Oslo", "2027-10-31T01:30", "2027-10-31 02:30 CET"),
        # Another day there, half an hour off, and a zone that the tz database calls by its offset alone.
        ("America/St_Johns", "2027-03-22T01:15", "2027-03-21 22:45 NDT"),
        ("America/Sao_Paulo", "2027-03-22T14:32", "2027-03-22 11:32 UTC-03"),
    ],
)
def test_a_moment_carries_the_name_of_its_zone(zone: str, at: str, told: str) -> None:
    moment = datetime.fromisoformat(at).replace(tzinfo=UTC)
    assert filters.moment_in(ZoneInfo(zone), moment) == told


def test_counts_and_line_breaks() -> None:
    assert filters.count(1, "module") == "1 module"
    assert filters.count(2, "module") == "2 modules"
    assert filters.count(0, "person", "people") == "0 people"
    assert filters.with_breaks("a <b>\nb") == "a &lt;b&gt;<br>b"


def test_every_page_tells_moments_in_the_zone_of_the_settings(
    app: Flask, visit: Callable[..., Visitor]
) -> None:
    before = app.extensions["trainer"]
    visitor = visit(people.MIRA)
    there = f"/people/{people.AMA.id}"
    assert " UTC" in visitor.get(there).words()
    app.extensions["trainer"] = replace(before, settings=replace(before.settings, time_zone="Asia/Tokyo"))
    words = visitor.get(there).words()
    app.extensions["trainer"] = before
    assert " JST" in words
    assert " UTC" not in words


def test_no_template_names_a_zone_of_its_own() -> None:
    pages = Path(filters.__file__).parent / "templates"
    assert [page.name for page in pages.rglob("*.html") if "UTC" in page.read_text(encoding="utf-8")] == []
