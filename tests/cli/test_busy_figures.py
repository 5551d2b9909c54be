"""The figures of a busy company: its pages, its lists and its answers, floors and ours on the same rows."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from itertools import islice
from typing import TYPE_CHECKING

import pytest

from trainer.actions import accounts, crew
from trainer.actions.opening import open_database
from trainer.actions.permissions import Role
from trainer.cli.figures import (
    answering,
    appending,
    crew_sheets,
    drill_page,
    keeping_summaries,
    listing,
    pages_by_size,
    submitting,
)
from trainer.cli.figures.answering_served import handing_in, path_of
from trainer.cli.measuring import large_company, served
from trainer.cli.measuring.bare_site import site
from trainer.cli.measuring.invented_answers import given
from trainer.cli.measuring.large_company import CREW_SIZE, NOW, PASSWORD, Company
from trainer.cli.measuring.timing import Effort, Goal
from trainer.cli.measuring.visiting import PageRefused, Visit, links_in, token_in

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database
    from trainer.settings import Settings

ONCE = Effort(rounds=1, sample=0)
EACH = 3


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    return large_company.make(tmp_path_factory.mktemp("large"), Company(2 * CREW_SIZE, EACH))


@pytest.fixture
def db(large: Settings, tmp_path: Path) -> Iterator[Database]:
    """A copy of the large company."""
    settings = type(large)(instance=tmp_path)
    shutil.copytree(large.instance, tmp_path, dirs_exist_ok=True)
    with open_database(settings) as database:
        yield database


def someone(db: Database, role: Role) -> Actor:
    return accounts.sign_in(db, role.value, PASSWORD, address="192.0.2.1", now=NOW).actor


def test_a_crew_of_the_large_company_has_the_promised_sheet(db: Database) -> None:
    sheet = crew.crew_sheet(db, someone(db, Role.SUPERVISOR), large_company.crew_name(1), now=NOW)
    assert len(sheet.rows) == CREW_SIZE
    assert len(sheet.tasks) == large_company.COLUMNS
    filled = sum(cell.until is not None for row in sheet.rows for cell in row.cells)
    assert filled > CREW_SIZE * large_company.COLUMNS / 2


def test_its_summaries_follow_from_its_attempts(db: Database) -> None:
    with closing(sqlite3.connect(str(db.url.database))) as bare:
        assert bare.execute("SELECT count(*) FROM attempts").fetchone()[0] == 2 * CREW_SIZE * EACH
        assert bare.execute("SELECT sum(attempts) FROM skill_summaries").fetchone()[0] == 2 * CREW_SIZE * EACH


def test_a_visit_signs_in_and_a_wrong_password_is_told(large: Settings) -> None:
    visit = pages_by_size.visit_as(Role.KEEPER, large)
    assert b"Register" in visit.get("/register")
    with pytest.raises(PageRefused, match="404"):
        visit.get("/nowhere")
    stranger = Visit(visit.application)
    with pytest.raises(PageRefused):
        stranger.sign_in("keeper", "not the password")


def test_links_and_the_token_are_found_in_a_page() -> None:
    page = b'<a class="go" href="/a?b=1&amp;c=2">A</a> <a href="https://x.invalid/">X</a> <input name="csrf_token" value="t">'
    assert links_in(page) == ["/a?b=1&c=2"]
    assert token_in(page) == "t"
    assert token_in(b"") == ""


def test_the_plain_page_has_thirty_kilobytes_and_its_form_keeps_a_row(tmp_path: Path) -> None:
    visit = Visit(site(str(tmp_path / "bare.sqlite3")).wsgi_app)
    assert 27_000 < len(visit.get("/page")) < 33_000
    assert visit.post("/answer", [("text", "a row")]) == b"kept"
    with closing(sqlite3.connect(tmp_path / "bare.sqlite3")) as bare:
        assert bare.execute("SELECT text FROM answers").fetchall() == [("a row",)]


def test_pages_are_visited_once_a_kind(large: Settings) -> None:
    paths = pages_by_size.pages_of(pages_by_size.visit_as(Role.SUPERVISOR, large))
    assert "/crew" in paths
    assert sum(path.startswith("/people/P-") and path.count("/") == 2 for path in paths) == 1
    reading = pages_by_size.slowest(Role.KEEPER, large, large, "the same", ONCE)
    assert reading.goal == Goal("at most", 1.3)
    assert "/register" in reading.note or "pages" in reading.note


def test_the_floor_of_an_answer_writes_the_rows_that_ours_writes(db: Database, tmp_path: Path) -> None:
    before = tmp_path / "before.sqlite3"
    with closing(sqlite3.connect(str(db.url.database))) as file, closing(sqlite3.connect(before)) as copied:
        file.backup(copied)
    ours = answering.handing_in(db, someone(db, Role.TECHNICIAN))
    ours()
    with closing(sqlite3.connect(before, isolation_level=None)) as bare:
        counted = {table: _rows(bare, table) for table in answering._TABLES}
        floor = answering.writing(bare, str(db.url.database))
        floor()
        floor()
        for table, number in counted.items():
            assert _rows(bare, table) == number + 2
    with closing(sqlite3.connect(str(db.url.database))) as made:
        assert _rows(made, "attempts") == counted["attempts"] + 1


def _rows(file: sqlite3.Connection, table: str) -> int:
    number: int = file.execute(f"SELECT count(*) FROM {table}").fetchone()[0]  # noqa: S608  # our own names
    return number


def test_answers_are_to_different_questions_and_right(db: Database) -> None:
    actor = someone(db, Role.TECHNICIAN)
    two = list(islice(given(db, actor), 2))
    assert two[0].address != two[1].address
    two[0].hand_in(db, actor, "invented")
    with closing(sqlite3.connect(str(db.url.database))) as bare:
        newest = bare.execute("SELECT is_right, counts FROM attempts ORDER BY id DESC LIMIT 1").fetchone()
    assert newest == (1, 1)


def test_lists_are_held_to_their_own_statements(db: Database) -> None:
    for what, ask in listing.lists(db):
        statements = listing.statements_of(db, ask)
        assert statements, what
        assert all("?" not in statement for statement in statements)


def test_making_summaries_anew_gives_what_was_kept(db: Database) -> None:
    reading = keeping_summaries._anew(db, 2 * CREW_SIZE * EACH, ONCE)
    assert reading.goal == Goal("at most", 1.5)
    assert reading.ratio is not None


def test_small_figures_name_their_goals(monkeypatch: pytest.MonkeyPatch) -> None:
    (appended,) = appending.measure(ONCE)
    assert appended.goal == Goal("at least", 0.4)
    monkeypatch.setattr(crew_sheets, "FEW_PEOPLE", 2 * CREW_SIZE)
    monkeypatch.setattr(crew_sheets, "MANY", 4)
    page, growth = crew_sheets.measure(ONCE)
    assert (page.goal, growth.goal) == (Goal("at most", 2.0), Goal("at most", 1.1))


def test_a_served_answer_is_kept_and_what_is_refused_is_counted(db: Database, large: Settings) -> None:
    settings = type(large)(instance=db.keys.parent)
    with served.trainer_at(settings.instance) as port:
        hand_in = handing_in(settings, port)
        before = submitting.kept(settings)
        load = served.busy(port, 3, 0.1, hand_in)
        answered = sum(map(len, load.waits))
        assert answered >= 3
        assert load.refused == 0
        assert submitting.kept(settings) == before + answered
        assert 0 < load.middle <= load.part(0.99)
        unknown = served.busy(port, 1, 0.0, lambda _: served.request("/nowhere"))
        assert unknown.refused == 1
        path = path_of(next(given(db, someone(db, Role.TECHNICIAN))))
        with served.Client(port) as client:
            sizes = list(drill_page._bytes(client, path, served.signed_in(port, "technician", PASSWORD)))
        assert [reading.goal for reading in sizes] == [Goal("at most", 1)] * 2
        assert sizes[1].ratio is not None
        assert sizes[1].ratio > 0
    with pytest.raises(served.NotServed):
        served._wait_for(port, _Gone())  # type: ignore[arg-type]


class _Gone:
    """A server that has ended."""

    def poll(self) -> int:
        return 1


def test_without_a_compiler_the_slow_disk_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(submitting, "SLOWER", (1,))
    monkeypatch.setattr(shutil, "which", lambda _: None)
    (reading,) = submitting.measure(ONCE)
    assert reading.note == "a compiler (cc), which makes the disk slow, is not installed."


def test_without_chromium_the_drill_page_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda _: None)
    (reading,) = drill_page._in_a_browser("http://127.0.0.1", "/", "a=b", 1)
    assert reading.note == "Chromium with playwright is not installed."
    assert reading.reached is None
