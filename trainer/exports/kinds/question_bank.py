"""The questions of a module as plain data, with their keys and the marks of likely wrong answers.

For whoever owns a programme and wants to read through what is asked. It holds the keys, so it is for nobody who sits.
"""

from __future__ import annotations

import json
from itertools import islice
from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.drills.slips import slips

if TYPE_CHECKING:
    from trainer.drills.mark import Mark
    from trainer.exports.packets import QuestionBankPacket
    from trainer.procedure.model import Module

NAME = "question_bank"
TITLE = "Questions as data"
MEDIA_TYPE = "application/json"
ENDING = "json"
PERMISSION = "module:publish"
SUBJECT = "the id of the module, and behind it `kinds=order,name-it`, `size=DN 80`, `seeds=1-20` where wanted"

_MOST_WRONG = 8


def write(packet: QuestionBankPacket, *, paper: str) -> bytes:  # noqa: ARG001  # data has no paper
    """Return the questions as JSON: the same module, kinds, size and seeds, the same bytes.

    Raises:
        UnknownKind, NothingToAsk, UnknownSize, NoOrder: as for `drills.ask`.
    """
    module = packet.module
    data = {
        "form": 1,
        "company": packet.company,
        "module": module.id,
        "title": module.title,
        "document": module.document,
        "revision": module.revision,
        "questions": [
            _question(module, kind, packet.size or None, seed)
            for kind in packet.kinds
            for seed in packet.seeds
        ],
    }
    return json.dumps(data, ensure_ascii=False, sort_keys=True, indent=1).encode() + b"\n"


def _question(module: Module, kind: str, size: str | None, seed: int) -> dict[str, Any]:
    key = drills.key(module, kind, size, seed)
    wrong = islice(slips(module, kind, size, seed), _MOST_WRONG)
    return {
        **drills.ask(module, kind, size, seed).as_data(),
        "key": _marked(module, kind, size, seed, key),
        "wrong": [_marked(module, kind, size, seed, slip) for slip in wrong],
    }


def _marked(module: Module, kind: str, size: str | None, seed: int, answer: Any) -> dict[str, Any]:
    return {"answer": answer, "mark": _mark(drills.mark(module, kind, size, seed, answer))}


def _mark(mark: Mark) -> dict[str, Any]:
    told = mark.as_data()
    # As a decimal text: no reader rounds it.
    credit = f"{mark.credit:.6f}".rstrip("0").rstrip(".")
    return {
        **{name: told[name] for name in ("right", "critical", "headline", "instead", "incident")},
        "credit": credit,
        "remarks": [
            {name: remark[name] for name in ("about", "text", "signal", "right", "marked")}
            for remark in told["remarks"]
        ],
    }
