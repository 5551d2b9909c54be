"""Who may have the questions as data, and how they are named in one line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW
from tests.people import AMA, INES, KIT, MIRA, SOL
from trainer import drills
from trainer.actions import people as register
from trainer.actions import printing, question_bank, sitting
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.permissions import Role
from trainer.actions.unaided import SittingUnderWay

if TYPE_CHECKING:
    from trainer.actions.opening import Database


def test_the_keeper_has_all_kinds_and_the_first_ten_seeds(db: Database) -> None:
    kit = bench.enter(db, KIT)
    packet = question_bank.wanted(db, kit, MODULE)
    assert packet.seeds == tuple(range(1, 11))
    assert packet.kinds == tuple(kind for kind, _ in question_bank.kinds(db, kit, MODULE))
    assert "order" in packet.kinds
    printed = printing.print_sheet(
        db, kit, "question_bank", f"{MODULE} kinds=order seeds=3", paper="a4", now=NOW
    )
    assert printed.name == "question-bank-small-valve-kinds-order-seeds-3.json"
    [asked] = json.loads(printed.data)["questions"]
    assert (asked["kind"], asked["seed"]) == ("order", 3)


@pytest.mark.parametrize(
    ("said", "kinds", "size", "seeds"),
    [
        ("kinds=order seeds=1-3", ("order",), "", (1, 2, 3)),
        ("seeds=7, 3,3,10-11 kinds=way_round,order", ("way-round", "order"), "", (7, 3, 10, 11)),
        ("size=DN 50 kinds=order,order seeds=0", ("order",), "DN 50", (0,)),
    ],
)
def test_one_line_says_what_is_wanted(
    db: Database, said: str, kinds: tuple[str, ...], size: str, seeds: tuple[int, ...]
) -> None:
    packet = question_bank.wanted(db, SYSTEM, f" {MODULE}  {said} ")
    assert (packet.kinds, packet.size, packet.seeds) == (kinds, size, seeds)


@pytest.mark.parametrize(
    ("said", "error", "sentence"),
    [
        ("seeds=", question_bank.SeedsUnreadable, "whole numbers and ranges"),
        ("seeds=-3", question_bank.SeedsUnreadable, "'-3'"),
        ("seeds=9-3", question_bank.SeedsUnreadable, "9-3"),
        ("seeds=1.5", question_bank.SeedsUnreadable, "1.5"),
        ("seeds=1-999999999999", question_bank.TooManyQuestions, "one file holds 400"),
        ("seeds=1-400", question_bank.TooManyQuestions, "Name fewer"),
        ("kinds=essay", drills.UnknownKind, "essay"),
        ("kinds=", drills.UnknownKind, "no kind"),
        ("size=DN 900", drills.UnknownSize, "DN 900"),
    ],
)
def test_what_is_not_understood_is_one_sentence(
    db: Database, said: str, error: type[Exception], sentence: str
) -> None:
    with pytest.raises(error, match=sentence):
        question_bank.wanted(db, SYSTEM, f"{MODULE} {said}")


def test_a_kind_that_the_module_does_not_give_says_what_to_add(db: Database) -> None:
    given = {kind for kind, _ in question_bank.kinds(db, SYSTEM, MODULE)}
    missing = next(kind for kind in drills.KINDS if kind not in given)
    with pytest.raises(drills.NothingToAsk):
        printing.print_sheet(db, SYSTEM, "question_bank", f"{MODULE} kinds={missing}", paper="a4", now=NOW)


def test_keys_are_for_the_keeper_alone_and_not_while_sitting(db: Database) -> None:
    for someone in (AMA, MIRA, SOL, INES):
        actor = bench.enter(db, someone)
        assert question_bank.kinds(db, actor, MODULE) == ()
        with pytest.raises(NotAllowed):
            question_bank.wanted(db, actor, MODULE)
    with pytest.raises(NotFound):
        question_bank.wanted(db, SYSTEM, "no-such-module")
    register.change(db, SYSTEM, AMA.id, roles=[Role.TECHNICIAN, Role.KEEPER], now=NOW)
    bench.give_module(db, AMA)
    number = bench.release(db, AMA)
    ama = bench.enter(db, AMA)
    assert question_bank.wanted(db, ama, MODULE).kinds
    sitting.begin(db, ama, number, now=NOW)
    with pytest.raises(SittingUnderWay):
        question_bank.wanted(db, ama, MODULE)
