"""A qualification record read back from its data: what was signed, whatever the register says today."""

from __future__ import annotations

from dataclasses import fields
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from trainer.records.conditions import Conditions
from trainer.records.methods import Method
from trainer.records.qualification import ClassShown, QualificationRecord, Signature, SkillShown

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping


def _signature(data: Mapping[str, Any]) -> Signature:
    return Signature(data["name"], data["person"], datetime.fromisoformat(data["at"]), data["meaning"])


def _skills(data: list[dict[str, Any]]) -> tuple[SkillShown, ...]:
    return tuple(
        SkillShown(
            item["title"],
            item["clean"],
            item["attempts"],
            date.fromisoformat(item["last"]) if item["last"] else None,
        )
        for item in data
    )


def _classes(data: list[dict[str, Any]]) -> tuple[ClassShown, ...]:
    return tuple(
        ClassShown(
            **{
                **item,
                "decided_on": date.fromisoformat(item["decided_on"]) if item["decided_on"] else None,
            }
        )
        for item in data
    )


_READ: Mapping[str, Callable[[Any], Any]] = {
    "sizes": tuple,
    "evaluated_on": date.fromisoformat,
    "valid_from": date.fromisoformat,
    "valid_until": date.fromisoformat,
    "methods": lambda listed: tuple(Method(item["method"]) for item in listed),
    "abnormal_conditions": tuple,
    "evaluator": _signature,
    "supervisor": _signature,
    "skills": _skills,
    "classes": _classes,
    "conditions": Conditions.read,
}


def restored(data: Mapping[str, Any]) -> QualificationRecord:
    """Return the record that `QualificationRecord.as_data` wrote."""
    values = {
        field.name: _READ.get(field.name, lambda value: value)(data[field.name])
        for field in fields(QualificationRecord)
        if field.name in data
    }
    return QualificationRecord(**values)
