from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench as company
from tests.actions.bench import MODULE, NOW, enter
from tests.people import AMA, BEN, CLEO, INES, KIT, MIRA, SOL, Someone
from trainer.actions import accounts, bench, evaluate, observe
from trainer.actions import people as register
from trainer.actions.accounts import PasswordWrong
from trainer.actions.actor import Actor, NotAllowed, NotFound
from trainer.actions.bench import ObservationUnfit
from trainer.actions.evaluate import EvaluationUnfit
from trainer.actions.observe import ObservationEnded
from trainer.procedure import library
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.store import evaluations, events
from trainer.store.observations import Entry

if TYPE_CHECKING:
    from trainer.actions.observation_views import ObservationView
    from trainer.actions.opening import Database

from tests.modules import SMALL_VALVE

ALL = list(library.read_module(SMALL_VALVE, "small-valve.yaml", library.tables()).steps)
SIZE = "DN 80"


@pytest.fixture(autouse=True)
def _on_their_sheets(db: Database) -> None:
    """What is evaluated or watched has been assigned before."""
    for someone in (AMA, BEN, MIRA):
        company.give_module(db, someone)


def begin(db: Database, actor: Actor, someone: Someone = AMA, ticket: str = "t", **more: int) -> int:
    beside = more.get("beside")
    return observe.begin(db, actor, someone.id, MODULE, SIZE, ticket=ticket, beside=beside, now=NOW)


def entries(steps: list[str], at: datetime = NOW, **marks: StepMark | None) -> list[Entry]:
    return [
        Entry(
            f"{step} {at:%H%M}",
            StepSeen(step, marks.get(step, StepMark.UNAIDED), "", at + timedelta(seconds=n)),
        )
        for n, step in enumerate(steps)
    ]


def close(
    db: Database, actor: Actor, number: int, order: tuple[str, ...] = (), **changed: str
) -> ObservationView:
    values = {"result": "DN 80, at the bench.", "password": f"bench vice of {actor.name}"} | changed
    return observe.close(
        db,
        actor,
        number,
        order=order,
        result=values["result"],
        password=values["password"],
        now=NOW + timedelta(minutes=30),
    )


def actions_logged(db: Database) -> list[str]:
    with db.reading() as unit:
        return [event.action for event in events.since(unit)]


def test_a_job_is_observed_marked_and_signed(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    assert observe.mark(db, mira, number, entries(ALL, seat_in=StepMark.WORD), now=NOW) == len(ALL)
    closed = close(db, mira, number)
    assert closed.token is not None
    assert closed.signature is not None
    assert closed.signature.person == MIRA.id
    assert closed.basis == "appointed as evaluator"
    assert [item.step for item in closed.seen] == ALL
    said = {item.skill: item.right for item in closed.witnessed}
    assert said["order:teardown"]
    assert not said["order:rebuild"]
    assert accounts.actor_for(db, closed.token, now=NOW) is not None
    logged = [name for name in actions_logged(db) if name.startswith("observation")]
    assert logged == ["observation:begin", "observation:mark", "observation:close"]
    with db.reading() as unit:
        revision = closed.revision
        seen = bench.witnessed_of(unit, AMA.id, MODULE, revision)
    assert {item.skill: item.right for item in seen} == said


def test_the_same_tickets_again_change_nothing(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    assert begin(db, mira) == number
    made = entries(ALL[:5])
    assert observe.mark(db, mira, number, made, now=NOW) == 5
    assert observe.mark(db, mira, number, made, now=NOW) == 0
    assert observe.mark(db, mira, number, [*made, *entries(ALL[5:6])], now=NOW) == 1
    assert len(bench.observation(db, mira, number).seen) == 6


def test_the_order_as_carried_out_is_judged_and_what_would_have_happened_is_told(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    observe.mark(db, mira, number, entries(["shut", "studs", "vent", "relax"]), now=NOW)
    view = bench.observation(db, mira, number)
    assert view.order is not None
    assert view.order.incident is not None
    assert "bonnet is thrown" in view.order.incident.text
    # The mentor had marked late and puts the order right before signing.
    closed = close(db, mira, number, ("shut", "vent", "studs", "relax"))
    assert closed.order is not None
    assert closed.order.legal
    assert [item.step for item in closed.seen] == ["shut", "vent", "studs", "relax"]


def test_a_device_with_a_wrong_clock_is_not_believed(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    behind = entries(["vent", "shut"], NOW - timedelta(days=200))
    observe.mark(db, mira, number, behind, now=NOW)
    assert [(item.step, item.at) for item in bench.observation(db, mira, number).seen] == [
        ("vent", NOW),
        ("shut", NOW),
    ]
    number = begin(db, mira, ticket="another")
    ahead = NOW + timedelta(hours=3)
    observe.mark(db, mira, number, [Entry("x", StepSeen("shut", StepMark.UNAIDED, "", ahead))], now=NOW)
    assert bench.observation(db, mira, number).seen[0].at == NOW


def test_what_comes_after_the_signature_is_told_and_not_kept(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    observe.mark(db, mira, number, entries(ALL[:2]), now=NOW)
    close(db, mira, number)
    with pytest.raises(ObservationEnded, match="signed on 2027-03-17 at 10:00 UTC"):
        observe.mark(db, mira, number, entries(ALL[2:3]), now=NOW)
    with pytest.raises(ObservationEnded):
        close(db, mira, number)
    assert len(bench.observation(db, mira, number).seen) == 2


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"result": "  "}, "Write down what you saw"),
        ({"result": "x" * 2001}, "2,000 characters"),
        ({"order": ("shut",)}, "each marked step once"),
    ],
)
def test_what_cannot_be_signed_is_told_in_one_sentence(
    db: Database, changed: dict[str, str], sentence: str
) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    observe.mark(db, mira, number, entries(ALL[:3]), now=NOW)
    with pytest.raises(ObservationUnfit, match=sentence):
        close(db, mira, number, **changed)  # type: ignore[arg-type]


def test_nothing_marked_is_nothing_to_sign_for(db: Database) -> None:
    mira = enter(db, MIRA)
    with pytest.raises(ObservationUnfit, match="Nothing is marked"):
        close(db, mira, begin(db, mira))


def test_a_wrong_password_signs_nothing(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    observe.mark(db, mira, number, entries(ALL[:3]), now=NOW)
    with pytest.raises(PasswordWrong):
        close(db, mira, number, password="guessed")
    assert bench.observation(db, mira, number).is_open


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (Entry("", StepSeen("shut", None, "", NOW)), "ticket"),
        (Entry("t", StepSeen("dance", None, "", NOW)), "no step 'dance'"),
        (Entry("t", StepSeen("shut", None, "x" * 501, NOW)), "500 characters"),
    ],
)
def test_a_mark_that_cannot_be_kept_is_refused_whole(db: Database, wrong: Entry, sentence: str) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    with pytest.raises(ObservationUnfit, match=sentence):
        observe.mark(db, mira, number, [*entries(ALL[:1]), wrong], now=NOW)
    assert bench.observation(db, mira, number).seen == ()


def test_who_is_neither_appointed_nor_qualified_does_not_observe_nor_oneself(db: Database) -> None:
    sol = enter(db, SOL)
    with pytest.raises(NotAllowed, match="must be qualified for it that day"):
        begin(db, sol)
    company.qualify_supervisor(db)
    assert begin(db, enter(db, SOL)) > 0
    with pytest.raises(NotAllowed, match="Nobody evaluates themselves"):
        begin(db, enter(db, MIRA), MIRA)


@pytest.mark.parametrize("someone", [AMA, CLEO, INES, KIT])
def test_other_roles_do_not_observe(db: Database, someone: Someone) -> None:
    with pytest.raises(NotAllowed):
        begin(db, enter(db, someone), BEN)


def test_a_mentor_observes_the_own_crew_alone(db: Database) -> None:
    with pytest.raises(NotFound):
        begin(db, enter(db, MIRA), CLEO)
    with pytest.raises(NotFound, match="size"):
        observe.begin(db, enter(db, MIRA), AMA.id, MODULE, "DN 7", ticket="t", now=NOW)


def test_another_evaluators_observation_is_not_to_be_marked_or_closed(db: Database) -> None:
    number = begin(db, enter(db, MIRA))
    company.qualify_supervisor(db)
    sol = enter(db, SOL)
    with pytest.raises(NotFound):
        observe.mark(db, sol, number, entries(ALL[:1]), now=NOW)
    with pytest.raises(NotFound):
        close(db, sol, number)


def test_who_reads_an_observation(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    observe.mark(db, mira, number, entries(ALL[:3]), now=NOW)
    for someone in (AMA, SOL, INES):
        with pytest.raises(NotFound):
            bench.observation(db, enter(db, someone), number)
    close(db, mira, number)
    for someone in (AMA, SOL, INES):
        assert bench.observation(db, enter(db, someone), number).signature is not None
    for someone in (BEN, CLEO, KIT):
        with pytest.raises(NotFound):
            bench.observation(db, enter(db, someone), number)
    assert [line.observation_id for line in bench.of_person(db, mira, AMA.id)] == [number]


def test_what_comes_to_nothing_is_given_up_with_a_reason(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    with pytest.raises(ObservationUnfit, match="why it is given up"):
        observe.give_up(db, mira, number, " ", now=NOW)
    observe.give_up(db, mira, number, "Called to a leak.", now=NOW)
    with pytest.raises(ObservationEnded, match="given up"):
        observe.mark(db, mira, number, entries(ALL[:1]), now=NOW)
    assert bench.my_bench(db, mira).open == ()


def test_two_evaluators_observe_one_job(db: Database) -> None:
    company.qualify_supervisor(db)
    mira, sol = enter(db, MIRA), enter(db, SOL)
    first = begin(db, mira)
    sheet = bench.before_begin(db, sol, AMA.id, MODULE, now=NOW)
    assert [line.observation_id for line in sheet.beside] == [first]
    second = begin(db, sol, beside=first)
    assert bench.observation(db, sol, second).job == first
    with pytest.raises(ObservationUnfit, match="You observe this job already"):
        begin(db, mira, ticket="another", beside=second)
    with pytest.raises(ObservationUnfit, match="another job"):
        observe.begin(db, sol, AMA.id, MODULE, "DN 50", ticket="x", beside=first, now=NOW)
    with pytest.raises(NotFound):
        begin(db, sol, BEN, ticket="y", beside=first)


def test_an_evaluation_rests_on_an_observation(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    observe.mark(db, mira, number, entries(ALL), now=NOW)
    with pytest.raises(EvaluationUnfit, match=f"no signed observation {number}"):
        company.evaluate_by(db, mira, AMA, observation=number)
    close(db, mira, number)
    with pytest.raises(EvaluationUnfit, match="no signed observation"):
        company.evaluate_by(db, enter(db, MIRA), BEN, observation=number)
    with pytest.raises(EvaluationUnfit, match="among the methods"):
        company.evaluate_by(db, enter(db, MIRA), AMA, observation=number, methods=(Method.ORAL,))
    done = company.evaluate_by(
        db, enter(db, MIRA), AMA, observation=number, methods=(Method.ON_THE_JOB, Method.ORAL)
    )
    assert done.observation == number
    assert company.evaluate_by(db, enter(db, MIRA), BEN).observation is None
    company.evaluate_by(db, enter(db, MIRA), AMA)
    with db.reading() as unit:
        for someone in (AMA, BEN, CLEO):
            kept = evaluations.of_person(unit, someone.id)
            one_by_one = tuple(evaluate.shown_as(unit, one) for one in kept)
            assert evaluate.of_person(unit, register.found(unit, someone.id)) == one_by_one
        assert [one.observation for one in evaluate.of_person(unit, register.found(unit, AMA.id))] == [
            None,
            number,
        ]


def test_the_session_in_the_tokens_hand_is_renewed(db: Database) -> None:
    mira = enter(db, MIRA)
    number = begin(db, mira)
    observe.mark(db, mira, number, entries(ALL[:3]), now=NOW)
    stranger = replace(mira, session=None)
    with pytest.raises(accounts.SessionOver):
        close(db, stranger, number)
