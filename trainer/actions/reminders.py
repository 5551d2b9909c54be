"""Reminders by e-mail: who is told what, each thing once, in as few words as it takes.

A technician is told what of their own ends and which refreshers come due, a mentor what ends in the crew, a supervisor
once a week what falls short. What somebody answered or how an evaluation went stands in no mail.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import timedelta
from email.message import EmailMessage
from typing import TYPE_CHECKING

from trainer.actions import changes, cover, journal, mail_server, policy, sheets
from trainer.actions.actor import SYSTEM, NotFound
from trainer.actions.mail_server import NotSent, PerhapsSent
from trainer.actions.permissions import Permission, Role
from trainer.store import held, mails, people

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date, datetime

    from trainer.actions.changes import ChangeDue
    from trainer.actions.mail_server import Post
    from trainer.competency.policy import Policy
    from trainer.store.people import Person
    from trainer.store.qualifications import Term
    from trainer.store.session import Database, Unit

_FORECAST_WEEKS = 13
# A run that takes longer than this has died while it was sending.
_A_RUN = timedelta(hours=6)
# A server that is busy is asked once more in the same run; the next run asks again.
_TRIES = 2
_FOOT = "This is a note to plan by. What counts is the signed record."


@dataclass(frozen=True)
class Item:
    """One thing to tell: the key under which it is told once, and its line."""

    key: str
    line: str


@dataclass(frozen=True)
class Reminder:
    """One message to one person."""

    person_id: str
    name: str
    address: str
    subject: str
    items: tuple[Item, ...]

    @property
    def message(self) -> str:
        """The number of the message: the same things make the same one."""
        told = "\n".join([self.person_id, *(item.key for item in self.items)])
        return hashlib.sha256(told.encode()).hexdigest()

    @property
    def text(self) -> str:
        """What is told, without greeting and without the foot."""
        return "\n".join(item.line for item in self.items)


@dataclass(frozen=True)
class Sent:
    """What became of a reminder: `problem` is "" when it was sent; `unsure` when that is not known."""

    reminder: Reminder
    problem: str = ""
    unsure: bool = False


def due(db: Database, *, now: datetime) -> tuple[Reminder, ...]:
    """Return what is to be told now to those who have an address, want reminders and were not told before."""
    SYSTEM.must(Permission.PEOPLE_MANAGE)
    today = now.date()
    with db.reading() as unit:
        addresses = mails.reachable(unit)
        known = mails.told(unit)
        everybody = people.everybody(unit)
        numbers = policy.in_force(unit).policy
        ending = _Ending(unit, everybody, numbers, today)
        found: list[Reminder] = []
        for person in everybody:
            if person.id in addresses:
                found += _for(unit, person, addresses[person.id], ending, numbers, today)
    left = (_untold(reminder, known) for reminder in found)
    return tuple(reminder for reminder in left if reminder.items)


def _untold(reminder: Reminder, known: frozenset[tuple[str, str]]) -> Reminder:
    items = tuple(item for item in reminder.items if (reminder.person_id, item.key) not in known)
    return Reminder(reminder.person_id, reminder.name, reminder.address, reminder.subject, items)


class _Ending:
    """What ends soon or has just ended, of everybody, read once."""

    def __init__(self, unit: Unit, everybody: Iterable[Person], numbers: Policy, today: date) -> None:
        within = timedelta(days=numbers.remind_days)
        self.today = today
        self.tasks = sheets.read_register(unit).tasks
        self.names = {person.id: person.display_name for person in everybody}
        self.crews = {person.id: person.crew for person in everybody}
        self.terms = sorted(
            (term for term in held.ending(unit, until=today + within) if term.last_day >= today - within),
            key=lambda term: (term.last_day, term.number),
        )
        # Told as soon as it is asked for: a sitting has to be released and sat before the day.
        self.changes = [one for one in changes.everybody(unit) if one.to_be_shown]

    def own(self, person_id: str) -> Iterator[Item]:
        for term in self.terms:
            if term.person_id == person_id:
                yield Item(self._key(term), f"{self._task(term)}: {self._end(term)}.")
        for change in self.changes:
            if change.person_id == person_id:
                yield Item(self._change_key(change), f"{self._change(change)}.")

    def of_crew(self, mentor: Person) -> Iterator[Item]:
        for term in self.terms:
            if term.person_id != mentor.id and mentor.crew and self.crews[term.person_id] == mentor.crew:
                yield Item(
                    f"crew {self._key(term)}",
                    f"{self.names[term.person_id]}, {self._task(term)}: {self._end(term)}.",
                )
        for change in self.changes:
            if change.person_id != mentor.id and mentor.crew and change.crew == mentor.crew:
                yield Item(
                    f"crew {self._change_key(change)}",
                    f"{change.person_name}, {self._change(change)}.",
                )

    @staticmethod
    def _change_key(change: ChangeDue) -> str:
        return f"change {change.demands[-1].id}"

    @staticmethod
    def _change(change: ChangeDue) -> str:
        return f"{change.module_title}: a change is to be shown in a sitting by {change.due.isoformat()}"

    def _key(self, term: Term) -> str:
        return f"{'ends' if term.last_day >= self.today else 'ended'} {term.number}"

    def _task(self, term: Term) -> str:
        return f"{term.task_id} {self.tasks[term.task_id].title}"

    def _end(self, term: Term) -> str:
        if term.last_day >= self.today:
            return f"last day {term.last_day.isoformat()}"
        span = self.tasks[term.task_id].conditions.span
        return f"ended on {term.last_day.isoformat()}, until it is renewed {span.words}"


def _for(
    unit: Unit, person: Person, address: str, ending: _Ending, numbers: Policy, today: date
) -> Iterator[Reminder]:
    def reminder(subject: str, items: Iterable[Item]) -> Reminder:
        return Reminder(person.id, person.display_name, address, subject, tuple(items))

    if Role.TECHNICIAN.value in person.roles:
        own = (*ending.own(person.id), *_refreshers(unit, person, numbers, today))
        yield reminder("What of yours ends or comes due", own)
    if Role.MENTOR.value in person.roles:
        yield reminder(f"What ends in {person.crew or 'your crew'}", ending.of_crew(person))
    if Role.SUPERVISOR.value in person.roles:
        year, week, _ = today.isocalendar()
        lines = "\n".join(_forecasts(unit, ending.crews.values(), today))
        yield reminder("What falls short", [Item(f"forecast {year}-W{week:02d}", lines)] if lines else [])


def _refreshers(unit: Unit, person: Person, numbers: Policy, today: date) -> Iterator[Item]:
    until = today + timedelta(days=numbers.remind_refresher_days)
    for module in sheets.modules_of(unit, person.id, today):
        first = min(module.due_again.values(), default=None)
        if first is not None and first <= until:
            yield Item(
                f"refresher {module.module_id} {first.isoformat()}",
                f"{module.title}: skills to be shown again, the first by {first.isoformat()}.",
            )


def _forecasts(unit: Unit, crews: Iterable[str], today: date) -> Iterator[str]:
    """Yield for each crew what is short or falls short; tasks and days, no names."""
    for crew in sorted({name for name in crews if name}):
        try:
            found, _, _ = cover.read(unit, SYSTEM, crew, today)
        except NotFound:
            continue
        told = cover.forecast_of(found, _FORECAST_WEEKS)
        lines = [f"  Today {short.words}." for short in told.already]
        lines += [
            f"  From {fall.day.isoformat()} {short.words}." for fall in told.falls for short in fall.short
        ]
        if lines:
            yield "\n".join([f"{crew}, the next {_FORECAST_WEEKS} weeks:", *lines])


def written(reminder: Reminder, *, sender: str, site: str, company: str, now: datetime) -> EmailMessage:
    """Return a reminder as a message in plain text.

    Args:
        reminder: what is told to whom.
        sender: address it comes from.
        site: address of the installation, "" when there is none to link to.
        company: the legal owner.
        now: the time.
    """
    mail = EmailMessage()
    mail["From"] = sender
    mail["To"] = reminder.address
    mail["Subject"] = f"{reminder.subject} ({company})"
    mail["Date"] = now
    # The same things sent twice by chance are one message to whoever reads them.
    mail["Message-ID"] = f"<{reminder.message[:40]}@{sender.rpartition('@')[2]}>"
    mail["Auto-Submitted"] = "auto-generated"
    foot = _FOOT
    if site:
        account = f"{site.rstrip('/')}/account"
        mail["List-Unsubscribe"] = f"<{account}>"
        foot += f"\nYour sheets: {site.rstrip('/')}/\nNo more of these notes: {account}"
    mail.set_content(f"{reminder.name},\n\n{reminder.text}\n\n{foot}\n")
    return mail


def send(db: Database, post: Post, *, site: str = "", now: datetime) -> tuple[Sent, ...]:
    """Send what is due, each thing once, and return what became of it.

    What was surely not sent is given back and sent by the next run. What may have been sent is not sent again.
    """
    return tuple(
        sent
        for reminder in due(db, now=now)
        if (sent := _send(db, post, reminder, site=site, now=now)) is not None
    )


def left_behind(db: Database, *, now: datetime) -> tuple[str, ...]:
    """Return the numbers of people whose message an earlier run was sending when it died; it is not sent again."""
    SYSTEM.must(Permission.PEOPLE_MANAGE)
    with db.writing() as unit:
        return mails.left_behind(unit, now - _A_RUN)


class _TakenElsewhere(Exception):
    """Another run is sending one of these things."""


def _send(db: Database, post: Post, reminder: Reminder, *, site: str, now: datetime) -> Sent | None:
    try:
        with db.writing() as unit:
            keys = [item.key for item in reminder.items]
            if not mails.claim(unit, reminder.person_id, keys, reminder.message, now):
                raise _TakenElsewhere
    except _TakenElsewhere:
        return None
    mail = written(reminder, sender=post.sender, site=site, company=db.company, now=now)
    problem = ""
    for _ in range(_TRIES):
        try:
            mail_server.send(post, mail, reminder.address)
        except NotSent as refused:
            problem = str(refused)
        except PerhapsSent as broken:
            _settled(db, reminder, sure=False, now=now)
            return Sent(reminder, str(broken), unsure=True)
        else:
            _settled(db, reminder, sure=True, now=now)
            return Sent(reminder)
    with db.writing() as unit:
        mails.release(unit, reminder.message)
    return Sent(reminder, problem)


def _settled(db: Database, reminder: Reminder, *, sure: bool, now: datetime) -> None:
    with db.writing() as unit:
        mails.settle(unit, reminder.message, sure=sure)
        journal.note(
            unit,
            SYSTEM,
            "reminder:send",
            at=now,
            person=reminder.person_id,
            items=[item.key for item in reminder.items],
            sure=sure,
        )
