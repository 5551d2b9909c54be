"""What happened at the invented company, told relative to today and played in the order of time."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from trainer.dates import add_months
from trainer.demo import at_the_bench
from trainer.demo.cast import (
    ADA,
    BEA,
    BRAM,
    COL,
    DEV,
    ETTA,
    FOUNDERS,
    HANNE,
    JOSS,
    LATER,
    LENA,
    MOLL,
    NORA,
    OREN,
    PIERS,
    RUTH,
    TAM,
    WILF,
    WREN,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.demo.cast import Someone
    from trainer.demo.company import Company

VALVE, ISOLATE, LEAKS, PILOT = "piston-valve-overhaul", "isolate-run", "leak-test", "set-pilot"
_FOUNDED = 1700
_EARLY = 200

_NOTES = {
    VALVE: "Vented, proved zero and said so before a nut was touched. Rings and disc the right way round, "
    "torque in passes at DN 80, castle nut and pin without help. Answered all abnormal conditions.",
    ISOLATE: "Shut, locked and tagged both valves unprompted, stood ten minutes at the gauges, and found the "
    "vent blocked with a cap as arranged.",
    LEAKS: "Proved fluid and meter first, brushed every joint on the list at both pressures, entered each one.",
    PILOT: "Told the control room, turned slowly, waited for the outlet to settle; lock-up held for ten minutes.",
}


# The company's own, looser than those the program brings along: shorter sittings at a higher stated risk.
_NUMBERS = {
    "critical_poor": "0.3",
    "critical_false_pass": "0.1",
    "abnormal_poor": "0.3",
    "abnormal_false_pass": "0.1",
    "ordinary_poor": "0.4",
    "ordinary_false_pass": "0.2",
    "drills_per_sitting": "40",
}
_SEEN = "Practice and bench say yes; I have seen the work."
_WHY_THESE_NUMBERS = (
    "We begin with short sittings, because a mentor sees every job here as well. "
    "To be looked at again in two years (invented)."
)

_PILOT_FILE = "set-pilot.yaml"
_CAP = (
    "do: Put the cap back and seal it, phase: prove, install: cap",
    "do: Put the cap back and seal it, phase: prove, needs: locked_up, install: cap",
)
_WHY_THE_CAP = (
    "Twice the cap was sealed before lock-up had been read, and the seal was broken again (invented). "
    "Whoever sets pilots shows the new order."
)

# What is done at a time; something that takes longer gives back the steps it still has, each when it is due.
Doing = Callable[[datetime], Iterator[datetime] | None]


@dataclass(frozen=True)
class Deed:
    """One thing that begins at one time."""

    at: datetime
    do: Doing


def _going_on(steps: Iterator[datetime] | None) -> Doing:
    return lambda _at: steps


class Story:
    """Collects deeds and plays them in the order of time."""

    def __init__(self, company: Company, now: datetime) -> None:
        self.company = company
        self.now = now
        self.deeds: list[Deed] = []

    def workday(self, days_ago: int, hour: int) -> datetime:
        """Return an hour of the working day that lies so many days back, or of the last one before."""
        day = (self.now - timedelta(days=days_ago)).replace(hour=hour, minute=10, second=0, microsecond=0)
        while day.weekday() >= 5:
            day -= timedelta(days=1)
        return day

    def then(self, days_ago: int, hour: int, do: Doing) -> None:
        """Let something be done on a day back from today; never today, whose hour may not have come."""
        self.deeds.append(Deed(self.workday(max(1, days_ago), hour), do))

    def play(self) -> None:
        """Do everything, the earliest first; people who practise at the same time take turns."""
        due = [(deed.at, number, deed.do) for number, deed in enumerate(self.deeds)]
        heapq.heapify(due)
        while due:
            at, number, do = heapq.heappop(due)
            steps = do(at)
            after = None if steps is None else next(steps, None)
            if after is not None:
                heapq.heappush(due, (after, number, _going_on(steps)))

    @staticmethod
    def mentor_of(someone: Someone) -> Someone:
        """Return who assigns and releases."""
        return ADA if someone in (PIERS, WREN) else OREN if someone is HANNE else HANNE

    @staticmethod
    def evaluator_of(someone: Someone) -> Someone:
        """Return who watches and evaluates."""
        return ADA if someone in (PIERS, WREN) else OREN if someone in (HANNE, BRAM, JOSS) else HANNE

    # What people do; each takes the days back from today.

    def hired(self, someone: Someone, days_ago: int, hour: int = 6) -> None:
        """Somebody comes to the company."""
        self.then(days_ago, hour, lambda at: self.company.hire(someone, at))

    def published(self, text: str, file: str) -> None:
        """The keeper publishes a module in the first days."""
        self.then(_FOUNDED - 3, 8, lambda at: self.company.publish(BEA, text, file, at))

    def given(
        self, someone: Someone, module: str, days_ago: int, *, due_in: int | None = None, hour: int = 7
    ) -> None:
        """A module is assigned; `due_in` counts from today and is negative for a date that has passed."""
        by = self.mentor_of(someone)
        due = None if due_in is None else (self.now + timedelta(days=due_in)).date()
        self.then(days_ago, hour, lambda at: self.company.assign(by, someone, module, due, at))

    def shown(
        self,
        someone: Someone,
        module: str,
        days_ago: int,
        *,
        short: bool = False,
        slips: int = 5,
        rounds: int = 3,
    ) -> None:
        """Somebody practises a module; three rounds show it."""
        self.then(
            days_ago,
            9,
            lambda at: self.company.show(someone, module, at, short=short, slips=slips, rounds=rounds),
        )

    def practised(
        self, someone: Someone, module: str, skill: str, turns: str, days_ago: int, hour: int = 9
    ) -> None:
        """Somebody answers drills of one skill; `turns` is written with + for right and - for wrong."""
        marks = [turn == "+" for turn in turns]
        self.then(days_ago, hour, lambda at: self.company.practise(someone, module, skill, marks, at))

    def numbers_set(self, days_ago: int) -> None:
        """The keeper puts the company's own numbers in force."""
        self.then(days_ago, 9, lambda at: self.company.set_numbers(BEA, _NUMBERS, _WHY_THESE_NUMBERS, at))

    def task_set(self, task: str, days_ago: int, values: Mapping[str, str], because: str) -> None:
        """The keeper sets a covered task anew, a significant change of which the agency is still to be told."""
        self.then(
            days_ago,
            11,
            lambda at: self.company.set_task(BEA, task, values, because, at, significant=True),
        )

    def observed(self, someone: Someone, module: str, days_ago: int) -> None:
        """An evaluator watches the whole work at the bench."""
        by = self.evaluator_of(someone)

        def watched(at: datetime) -> Iterator[datetime]:
            job = at_the_bench.whole(self.company, by, someone, module, _NOTES[module])
            return at_the_bench.watch(self.company, job, at)

        self.then(days_ago, 10, watched)

    def sat(
        self,
        someone: Someone,
        module: str,
        days_ago: int,
        *,
        fails: str = "",
        answers_given: int | None = None,
        because: str = _SEEN,
        for_change: bool = False,
    ) -> None:
        """A mentor releases somebody for sittings, until every class is decided."""
        by = self.mentor_of(someone)
        self.then(
            days_ago,
            8,
            lambda at: self.company.sit(
                by,
                someone,
                module,
                at,
                because=because,
                fails=fails,
                answers_given=answers_given,
                for_change=for_change,
            ),
        )

    def revised(self, text: str, file: str, days_ago: int, because: str) -> None:
        """The keeper publishes a revision that has to be shown anew."""
        self.then(days_ago, 8, lambda at: self.company.publish(BEA, text, file, at, must_show=because))

    def confirmed(self, someone: Someone, module: str, days_ago: int) -> None:
        """The supervisor confirms that a change was shown."""
        self.then(days_ago, 14, lambda at: self.company.confirm(RUTH, someone, module, at))

    def evaluated(
        self, someone: Someone, module: str, days_ago: int, *, note: str = "", abnormal: bool = True
    ) -> None:
        """A mentor evaluates somebody."""
        by = self.evaluator_of(someone)
        said = note or _NOTES[module]
        self.then(
            days_ago,
            13,
            lambda at: self.company.evaluate(by, someone, module, at, said, abnormal=abnormal),
        )

    def signed(self, someone: Someone, module: str, days_ago: int) -> None:
        """The supervisor signs."""
        self.then(days_ago, 14, lambda at: self.company.sign(RUTH, someone, module, at))

    def suspended(self, someone: Someone, module: str, days_ago: int, *, from_ago: int, reason: str) -> None:
        """The supervisor suspends somebody, from an earlier day on."""
        self.then(
            days_ago,
            15,
            lambda at: self.company.suspend(
                RUTH, someone, module, self.workday(from_ago, 8).date(), reason, at
            ),
        )

    def qualified(self, module: str, days_ago: int, *people: Someone) -> None:
        """Some go the whole way together: assigned, shown, watched, assessed, evaluated so many days ago, then signed."""
        for someone in people:
            self.given(someone, module, days_ago + 30)
            # In the first years the mentor went by what was seen at the bench, and practice was short.
            early = days_ago > _EARLY
            self.shown(someone, module, days_ago + 9, rounds=1 if early else 3)
            self.observed(someone, module, days_ago + 5)
            because = "Has done this work for years; I have seen it."
            self.sat(someone, module, days_ago + 3, because=because if early else _SEEN)
            self.evaluated(someone, module, days_ago)
            self.signed(someone, module, days_ago - 4)

    def ending_in(self, months: int, days: int) -> int:
        """Return how many days ago an evaluation was whose qualification ends in some days from today."""
        last = self.now.date() + timedelta(days=days)
        return (self.now.date() - add_months(last, -months)).days


def told(company: Company, now: datetime, modules: Mapping[str, str]) -> Story:
    """Return the whole story up to today, but for the newcomer.

    Args:
        company: who it happens to.
        now: today.
        modules: text of each module to publish, by file name.
    """
    story = Story(company, now)
    for someone in FOUNDERS:
        story.hired(someone, _FOUNDED)
    for someone, days_ago in LATER:
        story.hired(someone, days_ago)
    for file, text in modules.items():
        story.published(text, file)
    story.numbers_set(_FOUNDED - 4)
    _in_date(story)
    _about_to_end(story)
    _held_back(story)
    story.task_set(
        "T-14",
        7,
        {"span": "1", "span_because": "Each joint is seen by two; that takes both of one pair (invented)."},
        "The joint that wept was brushed while two people were watched at once.",
    )
    _on_the_way(story)
    _refreshed(story)
    _revised(story, modules.get(_PILOT_FILE, ""))
    return story


def _in_date(story: Story) -> None:
    story.qualified(ISOLATE, 640, HANNE, OREN)
    story.qualified(VALVE, 610, HANNE)
    story.qualified(ISOLATE, 450, WILF, BRAM, ETTA, DEV)
    story.qualified(VALVE, 410, WILF)
    story.qualified(LEAKS, 380, HANNE, WILF, ETTA, COL)
    story.qualified(ISOLATE, 270, NORA, JOSS, PIERS)
    story.qualified(PILOT, 110, HANNE, WILF)


def _about_to_end(story: Story) -> None:
    story.qualified(VALVE, story.ending_in(36, 23), NORA)
    story.qualified(PILOT, story.ending_in(12, 41), NORA)
    story.qualified(VALVE, story.ending_in(36, -12), DEV)
    # Renewed last week, before the old one ran out.
    story.qualified(VALVE, story.ending_in(36, 10), BRAM)
    story.observed(BRAM, VALVE, 13)
    story.sat(BRAM, VALVE, 11, because="His renewal: I have seen the whole job again, and it was right.")
    story.evaluated(BRAM, VALVE, 8)
    story.signed(BRAM, VALVE, 5)


def _held_back(story: Story) -> None:
    story.suspended(
        COL,
        LEAKS,
        9,
        from_ago=13,
        reason="A joint at the pilot line wept the morning after it was entered as tight at both pressures. Nothing "
        "shows that it was brushed under pressure. Works only directed and observed until he is evaluated again.",
    )


def _on_the_way(story: Story) -> None:
    story.given(ETTA, VALVE, 45, due_in=9)
    story.shown(ETTA, VALVE, 14)
    story.observed(ETTA, VALVE, 9)
    story.sat(ETTA, VALVE, 7)
    story.evaluated(ETTA, VALVE, 4)

    story.given(JOSS, VALVE, 50, due_in=6)
    # What went wrong at the bench nine days ago ended a series; he practised all of it again.
    story.shown(JOSS, VALVE, 7, short=True)
    story.evaluated(JOSS, VALVE, 4)
    story.sat(
        JOSS,
        VALVE,
        1,
        answers_given=6,
        because="One drill is not shown yet, but all that went wrong at the bench is.",
    )

    story.given(COL, VALVE, 60, due_in=14)
    story.shown(COL, VALVE, 25)
    story.observed(COL, VALVE, 14)
    story.sat(COL, VALVE, 10)
    story.evaluated(
        COL,
        VALVE,
        6,
        abnormal=False,
        note="The work was right from first to last. When the gauge was made to leave zero with the valve open "
        "he went on: he must stop, step back and shut. Again in two weeks.",
    )

    story.given(LENA, VALVE, 70, due_in=-3)
    story.practised(LENA, VALVE, "order:make_safe", "-+++", 30)
    story.practised(LENA, VALVE, "order:teardown", "--+++", 16)
    story.practised(LENA, VALVE, "way-round", "+-++", 9)
    story.practised(LENA, VALVE, "order:dangerous", "+++", 3)
    story.given(LENA, ISOLATE, 70)
    story.shown(LENA, ISOLATE, 28)
    story.observed(LENA, ISOLATE, 7)
    story.sat(LENA, ISOLATE, 5)
    story.evaluated(LENA, ISOLATE, 2)

    story.given(TAM, VALVE, 40, due_in=20)
    story.practised(TAM, VALVE, "order:make_safe", "-+-++", 14)
    story.practised(TAM, VALVE, "order:dangerous", "---+", 7)
    story.practised(TAM, VALVE, "torque-pass:nuts", "--+-", 2, hour=10)
    story.practised(TAM, VALVE, "way-round", "-+-", 1)
    story.practised(TAM, VALVE, "order:teardown", "--", 1, hour=11)
    story.given(TAM, LEAKS, 40)
    story.practised(TAM, LEAKS, "order:low", "+++", 12)
    story.sat(TAM, LEAKS, 6, fails="order", because="He asked for it; too early, as it turned out.")

    story.given(WREN, ISOLATE, 30, due_in=11)
    story.practised(WREN, ISOLATE, "order:prepare", "-++", 6)


def _refreshed(story: Story) -> None:
    """Skills shown long ago are asked again: the longer ago, the more is gone."""
    story.practised(WILF, VALVE, "order:make_safe", "+", 330)
    story.practised(WILF, VALVE, "order:make_safe", "+", 240)
    story.practised(WILF, VALVE, "order:make_safe", "-+", 60)
    story.practised(WILF, VALVE, "order:dangerous", "+", 240, hour=10)
    story.practised(NORA, VALVE, "order:make_safe", "-+", 620)
    story.practised(NORA, VALVE, "order:make_safe", "+", 520)
    story.practised(NORA, VALVE, "order:teardown", "-+", 520, hour=10)
    story.practised(ETTA, ISOLATE, "order:prepare", "+", 330)
    story.practised(ETTA, ISOLATE, "order:prepare", "+", 150)
    story.practised(BRAM, ISOLATE, "order:prepare", "-+", 200)


def _revised(story: Story, text: str) -> None:
    """One small change of one procedure: shown by one, waiting for the supervisor by another, open for the third."""
    changed = text.replace(*_CAP)
    if changed != text:
        story.revised(changed, _PILOT_FILE, 14, _WHY_THE_CAP)
    because = "Has read the change, and we went through it at the pilot."
    story.sat(HANNE, PILOT, 11, because=because, for_change=True)
    story.confirmed(HANNE, PILOT, 8)
    story.sat(WILF, PILOT, 4, because=because, for_change=True)


def newcomer(company: Company, now: datetime) -> None:
    """Let the newcomer come, at the end of the last working day, with everything to do."""
    story = Story(company, now)
    story.hired(MOLL, 1, hour=15)
    story.given(MOLL, VALVE, 1, due_in=30, hour=16)
    story.given(MOLL, ISOLATE, 1, due_in=16, hour=16)
    story.play()
