"""Taking over people from a table: every bad line is told, all lines or none, and twice is once."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW
from tests.people import AMA, BEN, CREW, KIT
from trainer.actions import accounts, people_in
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.actions.passwords import PasswordUnfit
from trainer.actions.permissions import Permission, Role
from trainer.actions.table_in import LinesRefused, TableUnreadable
from trainer.store import events

if TYPE_CHECKING:
    from trainer.actions.opening import Database

GOOD = """\
sign_in_name,name,roles,crew,grade,evaluator
dora,Dora Pellmark,technician,Sedge Lane,I,
Evan,"Pellmark, Evan",mentor technician,Sedge Lane,III,yes

fen,=HYPERLINK(1),keeper,,,no
"""


def test_all_lines_are_added_and_each_person_is_in_the_log(db: Database) -> None:
    given = people_in.take_over(db, bench.enter(db, KIT), GOOD.encode(), now=NOW)
    assert [(one.person_id, one.sign_in_name) for one in given] == [
        ("P-0008", "dora"),
        ("P-0009", "evan"),
        ("P-0010", "fen"),
    ]
    people = {person.sign_in_name: person for person in register.list_people(db, SYSTEM)}
    assert people["evan"].roles == (Role.MENTOR, Role.TECHNICIAN)
    assert (people["evan"].name, people["evan"].evaluator) == ("Pellmark, Evan", True)
    assert people["fen"].name == "=HYPERLINK(1)"
    with db.reading() as unit:
        logged = [json.loads(e.payload) for e in events.since(unit) if e.action == "people:add"][-3:]
    assert [entry["line"] for entry in logged] == [2, 3, 5]
    assert len({entry["file"] for entry in logged}) == 1
    assert not any(one.password in json.dumps(logged) for one in given)


def test_the_same_file_again_changes_nothing(db: Database) -> None:
    people_in.take_over(db, SYSTEM, GOOD.encode(), now=NOW)
    with db.reading() as unit:
        before = len(list(events.since(unit)))
    assert people_in.plan(db, SYSTEM, GOOD.encode()).new == ()
    assert people_in.take_over(db, SYSTEM, GOOD.encode(), now=NOW) == ()
    with db.reading() as unit:
        assert len(list(events.since(unit))) == before


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_semicolons_and_a_byte_order_mark_are_read(db: Database, mark: bytes, ends: str) -> None:
    text = ends.join(["Name;Sign in name;Roles", "Åsa, die Große;åsa;technician, mentor"])
    planned = people_in.plan(db, SYSTEM, mark + text.encode())
    assert planned.faults == ()
    assert planned.lines[0].name == "Åsa, die Große"
    assert planned.lines[0].roles == (Role.MENTOR, Role.TECHNICIAN)


def test_every_bad_line_is_told_and_nothing_is_added(db: Database) -> None:
    register.retire(db, SYSTEM, BEN.id, now=NOW)
    text = f"""\
sign_in_name,name,roles,crew,evaluator
dora,Dora Pellmark,technician,Sedge Lane,
,Nobody,technician,,
evan,Evan,foreman,,
fen,Fen,,,
gus,Gus,technician,,perhaps
dora,Dora Again,technician,,
ben,{BEN.display_name},technician,{CREW},
ama,{AMA.display_name},technician,Tallow Quay,
hal,Hal
"""
    with pytest.raises(LinesRefused) as told:
        people_in.take_over(db, SYSTEM, text.encode(), now=NOW)
    assert [(fault.line, fault.column) for fault in told.value.faults] == [
        (3, "sign_in_name"),
        (4, "roles"),
        (5, "roles"),
        (6, "evaluator"),
        (7, "sign_in_name"),
        (8, "sign_in_name"),
        (9, "crew"),
        (10, ""),
    ]
    sentences = [fault.sentence for fault in told.value.faults]
    assert "'foreman' is no role" in sentences[1]
    assert "stands on line 2 already" in sentences[4]
    assert "is retired" in sentences[5]
    assert "The register says 'Sedge Lane' of ama, the file 'Tallow Quay'" in sentences[6]
    assert sentences[7] == "It has 2 cells, the header has 5."
    assert "dora" not in {person.sign_in_name for person in register.list_people(db, SYSTEM)}


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "it is empty"),
        (b"sign_in_name,name,roles\n", "no line below the header"),
        (b"sign_in_name,name\ndora,Dora", "lacks roles"),
        (b"sign_in_name,name,roles,salary\n", "names 'salary'"),
        (b"sign_in_name,name,roles,name\n", "names 'name' twice"),
        (b"sign_in_name,name,roles\ndora,D\xf6ra,technician", "line 2 is not UTF-8"),
        ("sign_in_name,name,roles\n".encode("utf-16"), "line 1 is not UTF-8"),
        (b"sign_in_name,name,roles\ndora,D\0ra,technician", "characters that are no text"),
        (b'sign_in_name,name,roles\ndora,"Dora,technician\n', "quotes of line 2"),
        (b"x" * (128 * 1024 + 1), "larger than 128 KiB"),
        (b"sign_in_name,name,roles\n" + b"a,b,mentor\n" * 501, "more than 500 lines"),
    ],
)
def test_a_file_that_is_no_table_is_told_in_one_sentence(db: Database, data: bytes, sentence: str) -> None:
    with pytest.raises(TableUnreadable, match="cannot be read as a table") as told:
        people_in.plan(db, SYSTEM, data)
    assert sentence in str(told.value)


def test_a_first_password_serves_for_choosing_another_and_nothing_else(db: Database) -> None:
    given = people_in.take_over(db, SYSTEM, GOOD.encode(), now=NOW)[0]
    entered = accounts.sign_in(db, "dora", given.password, address="192.0.2.1", now=NOW)
    assert entered.actor.first_password
    assert [permission for permission in Permission if entered.actor.may(permission)] == [
        Permission.ACCOUNT_OWN
    ]
    with pytest.raises(PasswordUnfit, match="the one you have"):
        accounts.change_password(db, entered.actor, given.password, given.password, now=NOW)
    token = accounts.change_password(db, entered.actor, given.password, "a sentence of her own", now=NOW)
    after = accounts.actor_for(db, token, now=NOW)
    assert after is not None
    assert not after.first_password
    assert after.may(Permission.PRACTICE_DO)


def test_only_the_keeper_takes_people_over(db: Database) -> None:
    for take in (people_in.plan, lambda *given: people_in.take_over(*given, now=NOW)):
        with pytest.raises(NotAllowed):
            take(db, bench.enter(db, AMA), GOOD.encode())
