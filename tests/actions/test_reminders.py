"""Reminders: who is told what, once, through refusals and broken connections, and nothing of anybody's answers."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW, TASK
from tests.mail_server import MailServer, mail_server
from tests.people import AMA, BEN, KIT, MIRA, SOL, Someone
from trainer.actions import addresses, reminders
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.addresses import AddressUnfit
from trainer.actions.mail_server import Post, send
from trainer.store import events, mails

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.actions.opening import Database

END = date(2030, 3, 17)
SOON = datetime(2030, 3, 1, 7, tzinfo=UTC)


@pytest.fixture
def post_office() -> Iterator[MailServer]:
    with mail_server() as running:
        yield running


def _post(post_office: MailServer) -> Post:
    return Post("127.0.0.1", post_office.port, "none", "trainer@invented.example")


def _address(db: Database, *whom: Someone, now: datetime = NOW) -> None:
    for someone in whom:
        addresses.put(db, SYSTEM, someone.id, f"{someone.sign_in_name}@invented.example", now=now)


def _signed(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.show_everything(db, bench.enter(db, AMA))
    bench.sign_by(db, bench.enter(db, SOL), AMA)


def _due(db: Database, now: datetime = SOON) -> dict[str, reminders.Reminder]:
    return {one.person_id: one for one in reminders.due(db, now=now)}


def test_each_is_told_what_is_theirs(db: Database) -> None:
    _signed(db)
    _address(db, AMA, MIRA, SOL)
    told = _due(db)
    assert set(told) == {AMA.id, MIRA.id, SOL.id}
    assert f"{TASK.id} {TASK.title}: last day 2030-03-17." in told[AMA.id].text
    assert "skills to be shown again" in told[AMA.id].text
    assert told[MIRA.id].text == f"Ama Fenwright, {TASK.id} {TASK.title}: last day 2030-03-17."
    # The register asks for two and one is there; nobody is named.
    assert f"Today only 1 of the 2 needed may do {TASK.id}" in told[SOL.id].text
    assert f"From 2030-03-18 nobody may do {TASK.id}" in told[SOL.id].text
    assert "Ama" not in told[SOL.id].text


@pytest.mark.parametrize(
    ("day", "line"),
    [
        (END - timedelta(days=31), None),
        (END - timedelta(days=30), "last day 2030-03-17"),
        (END, "last day 2030-03-17"),
        (END + timedelta(days=1), "ended on 2030-03-17"),
        (END + timedelta(days=31), None),
    ],
)
def test_a_last_day_is_told_as_many_days_before_as_the_programme_says(
    db: Database, day: date, line: str | None
) -> None:
    _signed(db)
    _address(db, MIRA)
    told = _due(db, datetime(day.year, day.month, day.day, 7, tzinfo=UTC))
    assert (MIRA.id in told) is (line is not None)
    if line:
        assert line in told[MIRA.id].text


def test_without_an_address_or_after_a_pause_nobody_is_told(db: Database) -> None:
    _signed(db)
    assert _due(db) == {}
    _address(db, AMA)
    ama = bench.enter(db, AMA, SOON)
    addresses.want(db, ama, reminders=False, now=SOON)
    assert _due(db) == {}
    # Another address entered by the keeper does not bring back what she switched off.
    _address(db, AMA, now=SOON)
    assert _due(db) == {}
    addresses.want(db, ama, reminders=True, now=SOON)
    assert set(_due(db)) == {AMA.id}
    with pytest.raises(NotFound):
        addresses.want(db, bench.enter(db, BEN, SOON), reminders=False, now=SOON)


def test_each_thing_is_told_once_and_the_forecast_once_a_week(db: Database, post_office: MailServer) -> None:
    _signed(db)
    _address(db, AMA, SOL)
    first = reminders.send(db, _post(post_office), site="https://trainer.invented.example/", now=SOON)
    assert [sent.problem for sent in first] == ["", ""]
    assert reminders.send(db, _post(post_office), now=SOON + timedelta(hours=1)) == ()
    later = SOON + timedelta(days=7)
    assert [sent.reminder.person_id for sent in reminders.send(db, _post(post_office), now=later)] == [SOL.id]
    assert [str(mail["To"]) for mail in post_office.messages] == [
        "ama@invented.example",
        "sol@invented.example",
        "sol@invented.example",
    ]
    mail = post_office.messages[0]
    assert mail["List-Unsubscribe"] == "<https://trainer.invented.example/account>"
    assert mail.get_content_type() == "text/plain"
    assert "What counts is the signed record." in mail.get_content()
    assert post_office.messages[2]["List-Unsubscribe"] is None
    assert len({str(mail["Message-ID"]) for mail in post_office.messages}) == 3
    with db.reading() as unit:
        logged = [json.loads(e.payload) for e in events.since(unit) if e.action == "reminder:send"]
    assert [entry["person"] for entry in logged] == [AMA.id, SOL.id, SOL.id]
    assert "@" not in json.dumps(logged)


@pytest.mark.parametrize(
    ("command", "answer"),
    [
        ("MAIL", "451 try later"),
        ("RCPT", "550 nobody of that name"),
        ("DATA", "554 no"),
        ("message", "452 no room"),
    ],
)
def test_what_is_refused_is_told_and_sent_by_the_next_run(
    db: Database, post_office: MailServer, command: str, answer: str
) -> None:
    _signed(db)
    _address(db, MIRA)
    post_office.answers[command] = [answer, answer]
    (sent,) = reminders.send(db, _post(post_office), now=SOON)
    assert sent.problem == f"Not sent: the server answered {answer}."
    assert post_office.taken == []
    (again,) = reminders.send(db, _post(post_office), now=SOON)
    assert (again.problem, len(post_office.taken)) == ("", 1)


@pytest.mark.parametrize("place", ["connect", "MAIL", "DATA"])
def test_a_connection_that_breaks_before_the_message_is_tried_again_at_once(
    db: Database, post_office: MailServer, place: str
) -> None:
    _signed(db)
    _address(db, MIRA)
    post_office.breaks = [place]
    (sent,) = reminders.send(db, _post(post_office), now=SOON)
    assert (sent.problem, len(post_office.taken), post_office.connections) == ("", 1, 2)


def test_a_connection_that_breaks_after_the_message_doubles_nothing(
    db: Database, post_office: MailServer
) -> None:
    _signed(db)
    _address(db, MIRA)
    post_office.breaks = ["after"]
    (sent,) = reminders.send(db, _post(post_office), now=SOON)
    assert sent.unsure
    assert sent.problem.startswith("Perhaps sent:")
    assert reminders.send(db, _post(post_office), now=SOON) == ()
    assert post_office.connections == 1


def test_what_another_run_is_sending_is_left_to_it(db: Database, post_office: MailServer) -> None:
    _signed(db)
    _address(db, MIRA)
    waiting = _due(db)[MIRA.id]
    with db.writing() as unit:
        assert mails.claim(unit, MIRA.id, [waiting.items[0].key], "of another run", SOON)
    assert reminders._send(db, _post(post_office), waiting, site="", now=SOON) is None
    assert post_office.connections == 0


def test_what_a_dead_run_was_sending_is_told_once_and_not_sent_again(
    db: Database, post_office: MailServer
) -> None:
    _signed(db)
    _address(db, MIRA)
    keys = [item.key for item in _due(db)[MIRA.id].items]
    with db.writing() as unit:
        assert mails.claim(unit, MIRA.id, keys, "of a dead run", SOON)
    assert reminders.left_behind(db, now=SOON + timedelta(hours=5)) == ()
    assert reminders.left_behind(db, now=SOON + timedelta(hours=7)) == (MIRA.id,)
    assert reminders.left_behind(db, now=SOON + timedelta(hours=7)) == ()
    assert reminders.send(db, _post(post_office), now=SOON + timedelta(hours=7)) == ()


def test_no_server_and_no_encryption_are_told_and_nothing_is_noted(
    db: Database, post_office: MailServer
) -> None:
    _signed(db)
    _address(db, MIRA)
    (sent,) = reminders.send(db, Post("127.0.0.1", 1, "none", "t@invented.example"), now=SOON)
    assert sent.problem.startswith("Not sent: ")
    bare = Post("127.0.0.1", post_office.port, "starttls", "t@invented.example", password="hidden")
    (sent,) = reminders.send(db, bare, now=SOON)
    assert "STARTTLS" in sent.problem
    assert "hidden" not in repr(bare)
    assert set(_due(db)) == {MIRA.id}


def test_a_line_of_dots_arrives_as_it_was_written(post_office: MailServer) -> None:
    one = reminders.Reminder(AMA.id, "Ama", "ama@invented.example", "Dots", (reminders.Item("k", ".\n..x"),))
    mail = reminders.written(one, sender="t@invented.example", site="", company="Invented", now=NOW)
    send(_post(post_office), mail, one.address)
    assert post_office.messages[0].get_content().splitlines()[2:4] == [".", "..x"]


@pytest.mark.parametrize(
    "typed",
    [
        "ama",
        "a@b",
        "a b@c.example",
        "a@b.example\nBcc: c@d.example",
        "<a@b.example>",
        "a@b@c.example",
        "é@b.example",
        f"{'a' * 250}@b.example",
    ],
)
def test_what_is_no_address_is_refused(db: Database, typed: str) -> None:
    with pytest.raises(AddressUnfit):
        addresses.put(db, SYSTEM, AMA.id, typed, now=NOW)


def test_an_address_is_the_keepers_and_its_owners_alone_and_leaves_with_its_owner(db: Database) -> None:
    kit = bench.enter(db, KIT)
    addresses.put(db, kit, AMA.id, " ama@invented.example ", now=NOW)
    found = addresses.own(db, bench.enter(db, AMA))
    assert (found.address if found else "", addresses.of_person(db, kit, AMA.id)) == (
        "ama@invented.example",
        found,
    )
    for someone in (AMA, MIRA, SOL):
        with pytest.raises(NotAllowed):
            addresses.of_person(db, bench.enter(db, someone), AMA.id)
        with pytest.raises(NotAllowed):
            addresses.put(db, bench.enter(db, someone), AMA.id, "x@invented.example", now=NOW)
    with db.reading() as unit:
        assert "invented.example" not in "".join(event.payload for event in events.since(unit))
    addresses.put(db, kit, AMA.id, "", now=NOW)
    assert addresses.of_person(db, kit, AMA.id) is None
    _address(db, AMA)
    register.retire(db, kit, AMA.id, now=NOW)
    assert addresses.of_person(db, kit, AMA.id) is None
    with pytest.raises(NotFound):
        addresses.put(db, kit, AMA.id, "ama@invented.example", now=NOW)
