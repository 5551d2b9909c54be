"""What is different between two revisions of a module: told in terms of the work, with the competencies it touches.

A skill is touched when one of its drills asks something else, or takes another answer as right, than before. That is
found by making the same drills from both revisions, so it needs no list of what depends on what.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.drills.element_classes import element_classes
from trainer.drills.kind import Setting
from trainer.errors import TrainerError
from trainer.procedure import window
from trainer.procedure.model import BySize

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from trainer.competency.evidence import Skill
    from trainer.drills.kind import Kind
    from trainer.procedure.model import Module
    from trainer.procedure.window import Window

# How many drills of each skill and size are made from both revisions (own choice).
SEEDS = 12
_TABLES = {
    "phases": "Phase",
    "steps": "Step",
    "parts": "Part",
    "fasteners": "Fastener",
    "lines": "Line",
    "energies": "Energy",
    "facts": "Fact",
    "cautions": "Caution",
    "sights": "Sight",
    "faults": "Fault",
    "tooling": "Tool",
    "figures": "Figure",
    "sayings": "Saying",
}
# These stand in questions alone; what changes in them changes no work.
_ASKED_ONLY = ("figures", "sayings")
# What a thing is called in a sentence, the first of these that it has.
_NAMES = ("do", "name", "title", "text", "sight", "ask")
_HEAD = ("title", "document", "covered_task", "sizes", "summary")


class NotOneModule(TrainerError):
    """Two different modules are compared."""

    def __init__(self, old: str, new: str) -> None:
        super().__init__(f"'{old}' and '{new}' are two modules, not two revisions of one.")


@dataclass(frozen=True)
class Change:
    """One thing that is different, in a sentence; `table` and `id` say where."""

    table: str
    id: str
    text: str


@dataclass(frozen=True)
class TouchedSkill:
    """A skill that is new, gone, or asked or judged otherwise."""

    id: str
    title: str
    critical: bool
    how: str


@dataclass(frozen=True)
class Difference:
    """What is different between two revisions; `classes` are (id, title) of the element classes touched."""

    module: str
    old: str
    new: str
    changes: tuple[Change, ...]
    skills: tuple[TouchedSkill, ...]
    classes: tuple[tuple[str, str], ...]

    def as_data(self) -> dict[str, Any]:
        """Return the difference as plain JSON values."""
        return {
            "module": self.module,
            "old": self.old,
            "new": self.new,
            "changes": [{"table": one.table, "id": one.id, "text": one.text} for one in self.changes],
            "competencies": [
                {"skill": one.id, "title": one.title, "critical": one.critical, "how": one.how}
                for one in self.skills
            ],
            "element_classes": [{"id": name, "title": title} for name, title in self.classes],
        }


def difference(old: Module, new: Module) -> Difference:
    """Return what is different between two revisions of a module, both without errors.

    Raises:
        NotOneModule: they are two modules.
        NoOrder: one of them has faults.
    """
    if old.id != new.id:
        raise NotOneModule(old.id, new.id)
    if old.revision == new.revision:
        return Difference(new.id, old.revision, new.revision, (), (), ())
    touched = tuple(_touched(old, new))
    names = {skill.id for skill in touched}
    classes = {
        element.id: element.title
        for module in (old, new)
        for element in element_classes(module, drills.skills(module))
        if names & set(element.skills)
    }
    changes = (*_head(old, new), *_tables(old, new), *_orders(old, new))
    return Difference(new.id, old.revision, new.revision, changes, touched, tuple(classes.items()))


def _head(old: Module, new: Module) -> Iterator[Change]:
    for name in _HEAD:
        was, now = getattr(old, name), getattr(new, name)
        if was != now:
            label = name.replace("_", " ").capitalize()
            yield Change("module", name, f"{label}: {_said(was)}, now {_said(now)}.")


def _tables(old: Module, new: Module) -> Iterator[Change]:
    for table, noun in _TABLES.items():
        was, now = getattr(old, table), getattr(new, table)
        for name in was:
            if name not in now:
                yield Change(table, name, f"{noun} '{_name(was[name], name)}' is gone.")
        for name, item in now.items():
            if name not in was:
                yield Change(table, name, f"{noun} '{_name(item, name)}' is new.")
            elif was[name] != item and table in _ASKED_ONLY:
                yield Change(table, name, f"{noun} '{_name(item, name)}' is asked otherwise.")
            elif was[name] != item:
                yield from _fields(table, noun, name, was[name], item)


def _fields(table: str, noun: str, name: str, was: Any, now: Any) -> Iterator[Change]:
    for field in fields(now):
        before, after = getattr(was, field.name), getattr(now, field.name)
        if before != after:
            label = field.name.replace("_", " ")
            before, after = _where_they_differ(before, after)
            text = f"{noun} '{_name(now, name)}', {label}: {_said(before)}, now {_said(after)}."
            yield Change(table, name, text)


def _where_they_differ(before: Any, after: Any) -> tuple[Any, Any]:
    """Leave out the sizes for which nothing changed."""
    if not (isinstance(before, BySize) and isinstance(after, BySize) and before.each and after.each):
        return before, after
    sizes = [size for size in {**before.each, **after.each} if before.at(size) != after.at(size)]
    was, now = ({s: one.each[s] for s in sizes if s in one.each} for one in (before, after))
    return was, now


def _orders(old: Module, new: Module) -> Iterator[Change]:
    """Tell which steps have to come one before the other now, and which no longer; what follows by others is left out."""
    was, now = (window.whole(window.prepare(module)) for module in (old, new))
    both = set(old.steps) & set(new.steps)
    for pair, reasons in now.relations.items():
        if set(pair) <= both and not _comes_first(was, pair):
            why = "; ".join(reason.text.rstrip(".") for reason in reasons)
            before, after = (new.steps[step].do for step in pair)
            yield Change("order", "/".join(pair), f"'{before}' has to come before '{after}' now: {why}.")
    for pair in was.relations:
        if set(pair) <= both and not _comes_first(now, pair):
            before, after = (new.steps[step].do for step in pair)
            yield Change("order", "/".join(pair), f"'{before}' no longer has to come before '{after}'.")


def _comes_first(whole: Window, pair: tuple[str, str]) -> bool:
    earlier, later = (whole.steps.index(step) for step in pair)
    return whole.order.precedes(earlier, later)


def _touched(old: Module, new: Module) -> Iterator[TouchedSkill]:
    before, after = _by_skill(old), _by_skill(new)
    for name, (_, skill) in before.items():
        if name not in after:
            yield TouchedSkill(skill.id, skill.title, skill.critical, "gone")
    for name, (kind, skill) in after.items():
        if name not in before:
            yield TouchedSkill(skill.id, skill.title, skill.critical, "new")
        elif _drills(old, kind, before[name][1]) != _drills(new, kind, skill):
            yield TouchedSkill(skill.id, skill.title, skill.critical, "changed")


def _by_skill(module: Module) -> dict[str, tuple[Kind, Skill]]:
    procedure = window.prepare(module)
    return {skill.id: (kind, skill) for kind in drills.KINDS.values() for skill in kind.skills(procedure)}


def _drills(module: Module, kind: Kind, skill: Skill) -> list[str]:
    """Return what the drills of a skill ask and take as right, as text to compare."""
    made = []
    for size in module.sizes:
        procedure = window.prepare(module, size)
        for seed in range(SEEDS):
            setting = Setting(procedure, skill, size, seed)
            asked = kind.make(setting)
            right = kind.mark(setting, kind.key(setting))
            made.append(
                json.dumps(
                    [asked.ask, asked.given, _plain(asked.form), _plain(asked.cautions), _plain(right)],
                    default=str,
                    ensure_ascii=False,
                )
            )
    return made


def _plain(value: Any) -> Any:
    """Return a value without its pictures: a drawing that moved a line asks nothing else."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: _plain(getattr(value, f.name)) for f in fields(value) if f.name != "picture"}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    return str(value)


def _name(thing: Any, otherwise: str) -> str:
    return next((str(getattr(thing, name)) for name in _NAMES if getattr(thing, name, "")), otherwise)


def _said(value: Any) -> str:
    if isinstance(value, BySize):
        return _said(value.common) if value.common is not None else _each(value.each)
    if value is None or value in ("", ()) or value == {}:
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return str(value.value).replace("_", " ")
    if isinstance(value, (tuple, list, frozenset)):
        return _listed(value)
    if isinstance(value, dict) or hasattr(value, "items"):
        return _each(value)
    if is_dataclass(value) and type(value).__str__ is object.__str__:
        return "; ".join(
            f"{f.name.replace('_', ' ')} {_said(getattr(value, f.name))}"
            for f in fields(value)
            if getattr(value, f.name) not in (None, "", ())
        )
    return str(value)


def _each(values: Mapping[Any, Any]) -> str:
    return ", ".join(f"{_said(key)} {_said(item)}" for key, item in values.items()) or "nothing"


def _listed(values: Iterable[Any]) -> str:
    return ", ".join(_said(item) for item in values)
