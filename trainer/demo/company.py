"""The invented company at work: each thing that somebody does there, done through the actions."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from trainer.actions import (
    accounts,
    assign,
    confirm_change,
    covered_tasks,
    evaluate,
    life,
    people,
    policy,
    practise,
    publish,
    qualify,
    sitting,
    sitting_release,
    sitting_sheets,
    task_form,
)
from trainer.actions.actor import SYSTEM, Actor
from trainer.actions.sitting_views import How
from trainer.actions.views import DrillAddress
from trainer.demo import answers
from trainer.records.methods import Method
from trainer.records.suspension import Cause

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from trainer.actions.opening import Database
    from trainer.demo.cast import Someone
    from trainer.records.qualification import CoveredTask

_DESK = "192.0.2.20"
_A_DRILL = timedelta(minutes=2)
_STAYS = timedelta(hours=3)


@dataclass
class Company:
    """The company; it remembers numbers of people and tasks of modules, and hands a ticket to each answer."""

    db: Database
    tasks: dict[str, CoveredTask]
    ids: dict[str, str] = field(default_factory=dict)
    task_of: dict[str, str] = field(default_factory=dict)
    inside: dict[str, tuple[Actor, datetime]] = field(default_factory=dict)

    def hire(self, someone: Someone, at: datetime) -> None:
        """Add somebody to the register."""
        added = people.add(
            self.db,
            SYSTEM,
            someone.sign_in_name,
            someone.name,
            someone.roles,
            someone.crew,
            grade=someone.grade,
            evaluator=someone.evaluator,
            password=someone.password,
            now=at,
        )
        self.ids[someone.sign_in_name] = added.person_id

    def publish(self, keeper: Someone, text: str, file: str, at: datetime, *, must_show: str = "") -> None:
        """Publish a module; `must_show` says why whoever is qualified already has to show what changed."""
        done = publish.publish(
            self.db,
            self.at_work(keeper),
            text,
            file=file,
            now=at,
            must_show=True if must_show else None,
            because=must_show,
        )
        self.task_of[done.module_id] = publish.module_at(self.db, done.revision).covered_task

    def enter(self, someone: Someone, at: datetime) -> Actor:
        """Sign somebody in, unless they are still signed in from a little earlier."""
        actor, since = self.inside.get(someone.sign_in_name, (None, at))
        if actor is None or at - since > _STAYS:
            actor = accounts.sign_in(
                self.db, someone.sign_in_name, someone.password, address=_DESK, now=at
            ).actor
            self.inside[someone.sign_in_name] = (actor, at)
        return actor

    def at_work(self, someone: Someone) -> Actor:
        """Return somebody at work; what asks for no password is done without the time of checking one."""
        return Actor(
            person_id=self.ids[someone.sign_in_name],
            name=someone.sign_in_name,
            display_name=someone.name,
            roles=frozenset(someone.roles),
            crew=someone.crew,
        )

    def assign(self, by: Someone, to: Someone, module: str, due: date | None, at: datetime) -> None:
        """Give somebody a module to practise."""
        assign.assign(self.db, self.at_work(by), self.ids[to.sign_in_name], module, due, now=at)

    def show(
        self,
        someone: Someone,
        module: str,
        at: datetime,
        *,
        short: bool = False,
        slips: int = 5,
        rounds: int = 3,
    ) -> Iterator[datetime]:
        """Let somebody practise every skill of a module, with some slips; three rounds show it.

        Args:
            someone: who practises.
            module: the module.
            at: when the first answer is handed in.
            short: the last skill stays one right answer short.
            slips: every how many skills begin with a wrong answer.
            rounds: how many right answers to each skill.

        Yields:
            After each answer when the next one is due.
        """
        actor = self.at_work(someone)
        skills = self._skills(actor, module, at)
        for number, skill in enumerate(skills):
            turns = [False] * (number % slips == 0) + [True] * (
                2 if short and skill == skills[-1] else rounds
            )
            for after in self._answers(actor, module, skill, turns, at):
                at = after
                yield after

    def practise(
        self, someone: Someone, module: str, skill: str, turns: Sequence[bool], at: datetime
    ) -> Iterator[datetime]:
        """Let somebody answer drills of one skill, right and wrong as told.

        Yields:
            After each answer when the next one is due.
        """
        yield from self._answers(self.at_work(someone), module, skill, turns, at)

    def _skills(self, actor: Actor, module: str, at: datetime) -> list[str]:
        sheet = practise.my_sheet(self.db, actor, now=at)
        (line,) = [line for line in sheet.modules if line.module_id == module]
        return [shown.skill.id for shown in line.skills]

    def _answers(
        self, actor: Actor, module: str, skill: str, turns: Sequence[bool], at: datetime
    ) -> Iterator[datetime]:
        for right in turns:
            address = practise.next_drill(self.db, actor, module, skill, None, now=at)
            asked_from = publish.module_at(self.db, address.revision)
            given = (answers.right if right else answers.wrong)(asked_from, address)
            practise.answer(
                self.db,
                actor,
                address.revision,
                address.kind,
                address.size,
                address.seed,
                given,
                ticket=f"demonstration {at:%Y%m%d%H%M}",
                started=at - _A_DRILL / 2,
                now=at,
            )
            at += _A_DRILL
            yield at

    def set_numbers(self, keeper: Someone, values: Mapping[str, str], because: str, at: datetime) -> None:
        """Let the keeper put the company's own numbers in force."""
        policy.change(
            self.db, self.enter(keeper, at), values, because=because, password=keeper.password, now=at
        )
        # The session has a new token; the numbers are set once, so nobody goes on with the old one.
        self.inside.pop(keeper.sign_in_name, None)

    def set_task(
        self,
        keeper: Someone,
        task_id: str,
        values: Mapping[str, str],
        because: str,
        at: datetime,
        *,
        significant: bool,
    ) -> None:
        """Let the keeper set fields of a covered task anew."""
        sheet = covered_tasks.sheet(self.db, self.at_work(keeper), task_id)
        covered_tasks.change(
            self.db,
            self.enter(keeper, at),
            task_id,
            {**task_form.as_typed(sheet.task), **values},
            seen=sheet.seen,
            because=because,
            significant=significant,
            told_on=None,
            password=keeper.password,
            now=at,
        )
        self.inside.pop(keeper.sign_in_name, None)

    def sit(
        self,
        by: Someone,
        someone: Someone,
        module: str,
        at: datetime,
        *,
        because: str,
        fails: str = "",
        answers_given: int | None = None,
        for_change: bool = False,
    ) -> Iterator[datetime]:
        """Let a mentor release somebody, and that one sit until every class is decided.

        Args:
            by: the mentor.
            someone: who sits.
            module: the module.
            at: when the sitting is released.
            because: why the mentor releases.
            fails: how the ids of skills begin that are answered wrong.
            answers_given: leave the sitting open after so many answers.
            for_change: only about what a change touches.

        Yields:
            After each answer when the next one is due.
        """
        actor = self.at_work(someone)
        ended = How.FULL
        while ended is How.FULL:
            number = sitting_release.release(
                self.db,
                self.at_work(by),
                actor.person_id,
                module,
                because=because,
                # Chance that is no secret: everything here is known to everybody.
                drawn_with=f"demonstration {actor.person_id} {module} {at:%Y%m%d%H%M}",
                now=at,
                for_change=for_change,
            )
            position = sitting.begin(self.db, actor, number, now=at)
            while position is not None:
                if answers_given is not None and position > answers_given:
                    return
                asked = sitting.question(self.db, actor, number, position, now=at).question
                address = DrillAddress(asked.module, asked.revision, asked.kind, asked.size, asked.seed)
                wrong = bool(fails) and asked.skill.startswith(fails)
                given = (answers.wrong if wrong else answers.right)(
                    publish.module_at(self.db, asked.revision), address
                )
                position = sitting.answer(
                    self.db, actor, number, position, given, ticket=f"{number} {position}", now=at
                )
                at += _A_DRILL / 2
                yield at
            ended = sitting_sheets.sheet(self.db, actor, number, now=at).how or How.DECIDED

    def evaluate(
        self, by: Someone, whom: Someone, module: str, at: datetime, note: str, *, abnormal: bool = True
    ) -> None:
        """Record an evaluation of that day; without `abnormal` the abnormal conditions were not passed."""
        task = self.tasks[self.task_of[module]]
        evaluate.record_evaluation(
            self.db,
            self.enter(by, at),
            self.ids[whom.sign_in_name],
            module,
            evaluated_on=at.date(),
            methods=(Method.DURING_TRAINING, Method.SIMULATION, Method.ORAL),
            aoc_discussed=task.abnormal_conditions,
            aoc_passed=abnormal,
            passed=True,
            note=note,
            password=by.password,
            now=at,
        )

    def sign(self, by: Someone, whom: Someone, module: str, at: datetime) -> None:
        """Sign somebody off for the task of a module."""
        qualify.sign(
            self.db,
            self.enter(by, at),
            self.ids[whom.sign_in_name],
            self.task_of[module],
            password=by.password,
            now=at,
        )

    def confirm(self, by: Someone, whom: Someone, module: str, at: datetime) -> None:
        """Confirm that somebody has shown a change."""
        confirm_change.confirm(
            self.db,
            self.enter(by, at),
            self.ids[whom.sign_in_name],
            module,
            password=by.password,
            now=at,
        )

    def suspend(
        self, by: Someone, whom: Someone, module: str, from_day: date, reason: str, at: datetime
    ) -> None:
        """Suspend somebody for the task of a module, for reasonable cause, from a day on."""
        life.suspend(
            self.db,
            self.enter(by, at),
            self.ids[whom.sign_in_name],
            self.task_of[module],
            cause=Cause.REASONABLE_CAUSE,
            from_day=from_day,
            reason=reason,
            password=by.password,
            now=at,
        )
