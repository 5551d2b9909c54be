"""The record of a qualification that somebody brings on paper from before: transcribed, and held against the paper.

It is never evidence of our own. It names what 49 CFR 192.807(a)(1)-(4) asks for as the paper has it, and who put it
down here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from trainer.records.methods import Method
from trainer.records.qualification import Signature

if TYPE_CHECKING:
    from collections.abc import Mapping

MEANING_TRANSCRIBED = "I put this record down as the paper named here has it."
MEANING_CHECKED = "I have held this record against the paper named here, and the paper says the same."
MEANING_TURNED_DOWN = "I have held this record against the paper named here, and it does not stand."


@dataclass(frozen=True)
class EarlierRecord:
    """What a transcribed record says; names of evaluator and supervisor stand as on the paper.

    `until_on_paper` is the last day the paper names; `valid_until` is no later than the interval of the register
    allows after the evaluation (49 CFR 192.805(g)).
    """

    number: str
    company: str
    person: str
    person_id: str
    task: str
    task_title: str
    paper: str
    issued_by: str
    evaluated_on: date
    methods: tuple[Method, ...]
    valid_from: date
    valid_until: date
    until_on_paper: date
    interval_months: int
    evaluator: str
    supervisor: str
    transcribed: Signature

    def as_data(self) -> dict[str, Any]:
        """Return the record as plain JSON values without floats."""
        data: dict[str, Any] = dict(self.__dict__)
        for name in _DATES:
            data[name] = data[name].isoformat()
        data["methods"] = [
            {"method": m.value, "words": m.words, "paragraph": m.paragraph} for m in self.methods
        ]
        data["transcribed"] = {
            **self.transcribed.__dict__,
            "at": self.transcribed.at.isoformat(timespec="seconds"),
        }
        return {"record": "earlier qualification, transcribed", "form": 1, **data}


_DATES = ("evaluated_on", "valid_from", "valid_until", "until_on_paper")


def restored(data: Mapping[str, Any]) -> EarlierRecord:
    """Return the record that `EarlierRecord.as_data` wrote."""
    values = {name: value for name, value in data.items() if name not in ("record", "form")}
    for name in _DATES:
        values[name] = date.fromisoformat(values[name])
    values["methods"] = tuple(Method(item["method"]) for item in data["methods"])
    signed = data["transcribed"]
    values["transcribed"] = Signature(
        signed["name"], signed["person"], datetime.fromisoformat(signed["at"]), signed["meaning"]
    )
    return EarlierRecord(**values)
