"""Which questions of a module somebody wants as data, said in one line."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from trainer import drills
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.actions.unaided import must_not_sit
from trainer.errors import TrainerError
from trainer.exports.packets import QuestionBankPacket

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.actions.published import Prepared
    from trainer.store.session import Database

_PARTS = re.compile(r"\s+(?=(?:kinds|size|seeds)=)")
_SEEDS = re.compile(r"(\d{1,15})(?:-(\d{1,15}))?")
_FIRST_SEEDS = range(1, 11)
MOST = 400


class SeedsUnreadable(TrainerError):
    """The seeds are no whole numbers or ranges of them."""

    def __init__(self, text: str) -> None:
        super().__init__(f"'{text}' are no seeds; write whole numbers and ranges, as in 1-20 or 3,7,10-12.")


class TooManyQuestions(TrainerError):
    """More questions are wanted than go into one file."""

    def __init__(self, wanted: int) -> None:
        super().__init__(
            f"These are {wanted} questions; one file holds {MOST}. Name fewer kinds or fewer seeds."
        )


def wanted(db: Database, actor: Actor, subject: str) -> QuestionBankPacket:
    """Return which questions are wanted: a module, and behind it `kinds=…`, `size=…` and `seeds=…`.

    Without kinds all that the module gives, without seeds the first ten.

    Raises:
        NotAllowed: the actor does not keep the modules.
        NotFound: there is no such module.
        SittingUnderWay: the actor sits.
        SeedsUnreadable, TooManyQuestions, UnknownKind, UnknownSize: nothing can be made of it.
    """
    actor.must(Permission.MODULE_PUBLISH)
    module_id, *parts = _PARTS.split(subject.strip())
    said = dict(part.split("=", 1) for part in parts)
    seeds = _seeds(said["seeds"]) if "seeds" in said else tuple(_FIRST_SEEDS)
    with db.reading() as unit:
        must_not_sit(unit, actor)
        published = prepared(unit, in_force(unit, module_id).revision)
    module, size = published.module, said.get("size", "").strip()
    if size and size not in module.sizes:
        raise drills.UnknownSize(module, size)
    chosen = _kinds(said["kinds"]) if "kinds" in said else _given(published)
    if len(chosen) * len(seeds) > MOST:
        raise TooManyQuestions(len(chosen) * len(seeds))
    return QuestionBankPacket(db.company, module, chosen, size, seeds)


def kinds(db: Database, actor: Actor, module_id: str) -> tuple[tuple[str, str], ...]:
    """Return the kinds of drill that a module gives, as (kind, title); none for who may not have the questions."""
    if not actor.may(Permission.MODULE_PUBLISH):
        return ()
    with db.reading() as unit:
        published = prepared(unit, in_force(unit, module_id).revision)
    return tuple((kind, drills.KINDS[kind].TITLE) for kind in _given(published))


def _given(published: Prepared) -> tuple[str, ...]:
    return tuple(dict.fromkeys(skill.kind for skill in published.skills))


def _kinds(text: str) -> tuple[str, ...]:
    named = tuple(dict.fromkeys(name.strip() for name in text.split(",")))
    known = {key.replace("_", "-"): key for key in drills.KINDS}
    for name in named:
        if name.replace("_", "-") not in known:
            raise drills.UnknownKind(name)
    return tuple(known[name.replace("_", "-")] for name in named)


def _seeds(text: str) -> tuple[int, ...]:
    found: dict[int, None] = {}
    for part in text.split(","):
        read = _SEEDS.fullmatch(part.strip())
        if read is None:
            raise SeedsUnreadable(text)
        first, last = int(read[1]), int(read[2] or read[1])
        if last < first:
            raise SeedsUnreadable(text)
        if last - first >= MOST:
            raise TooManyQuestions(last - first + 1)
        found.update(dict.fromkeys(range(first, last + 1)))
    return tuple(found)
