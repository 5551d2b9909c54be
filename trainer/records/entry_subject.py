"""Of whom an entry of the log speaks, and of which covered task: what may leave, or go, with a person's own records."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

# What somebody does to nothing but their own account.
_OF_ONES_OWN = ("account:", "address:", "calendar:", "notice:")


@dataclass(frozen=True)
class Subject:
    """The one person an entry speaks of, and the covered task, "" where it is about none."""

    person: str
    task: str = ""


@dataclass
class Subjects:
    """Reads entries in the order of the log: later ones name a sitting or a paper that an earlier one began.

    `task_of` has the covered task of each revision.
    """

    task_of: Mapping[str, str]
    _sittings: dict[int, Subject] = field(default_factory=dict)
    _papers: dict[str, Subject] = field(default_factory=dict)

    def of(self, action: str, by: str, told: Mapping[str, Any]) -> Subject | None:
        """Return of whom alone an entry speaks, None when of nobody or of several.

        Args:
            action: what was done.
            by: number of the person who did it.
            told: the payload.
        """
        if action.startswith("sitting:"):
            return self._of_sitting(told)
        if action.startswith("earlier:"):
            return self._of_paper(told)
        record = told.get("record")
        if isinstance(record, dict) and "person_id" in record:
            return Subject(record["person_id"], record["task"])
        if action == "practice:answer":
            return Subject(by, self.task_of.get(told["revision"], ""))
        person = told.get("person")
        if isinstance(person, str) and person:
            return Subject(person, told.get("task") or self.task_of.get(told.get("revision", ""), ""))
        return Subject(by) if by and action.startswith(_OF_ONES_OWN) else None

    def _of_sitting(self, told: Mapping[str, Any]) -> Subject | None:
        sitting = told["sitting"]
        if "person" in told and sitting not in self._sittings:
            self._sittings[sitting] = Subject(told["person"], self.task_of.get(told.get("revision", ""), ""))
        return self._sittings.get(sitting)

    def _of_paper(self, told: Mapping[str, Any]) -> Subject | None:
        record = told.get("record")
        if isinstance(record, dict):
            self._papers[record["number"]] = Subject(record["person_id"], record["task"])
            return self._papers[record["number"]]
        return self._papers.get(told.get("number", ""))
