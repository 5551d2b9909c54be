"""The forms an answer can take. The web and the command line know forms, never kinds of drill.

An answer travels as JSON: a list of line ids (arrange), row id → option id (choose), field id →
{"value": "35", "unit": "N·m"} (number with unit), a list of the option picked at each moment (next step), field id →
text (say). Ids are opaque: they say nothing about the right answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drills.sketch import Sketch


class AnswerUnreadable(TrainerError):
    """What came in is not an answer to this question."""


Answer = list[str] | dict[str, str] | dict[str, dict[str, str]]


@dataclass(frozen=True)
class Line:
    """One line to be put in its place; `detail` is the small print beside it (item numbers)."""

    id: str
    text: str
    detail: str = ""
    picture: Sketch | None = None


@dataclass(frozen=True)
class Arrange:
    """Put lines in order."""

    NAME: ClassVar[str] = "arrange"
    lines: tuple[Line, ...]
    first_label: str = "First"
    last_label: str = "Last"

    def read(self, answer: object) -> list[str]:
        """Return the answer as a list of line ids, each of the question's once.

        Raises:
            AnswerUnreadable: it is no list, or lines are missing, unknown or twice.
        """
        if not isinstance(answer, list) or not all(isinstance(item, str) for item in answer):
            raise AnswerUnreadable("The answer must be a list of line ids.")
        known = [line.id for line in self.lines]
        for item in answer:
            if item not in known:
                raise AnswerUnreadable(f"The answer names a line '{item}' that the question does not have.")
        if len(set(answer)) != len(answer):
            twice = next(item for item in answer if answer.count(item) > 1)
            raise AnswerUnreadable(f"The answer has line '{twice}' twice.")
        if len(answer) != len(known):
            missing = ", ".join(f"'{item}'" for item in known if item not in answer)
            raise AnswerUnreadable(f"The answer leaves out {missing}.")
        return list(answer)


@dataclass(frozen=True)
class Option:
    """One thing that can be chosen; where its picture is seen, the picture stands for the words."""

    id: str
    text: str
    picture: Sketch | None = None


@dataclass(frozen=True)
class Row:
    """A question of its own within the sheet, with its options; `preset` is the option that stands chosen at first.

    A preset is the same on every row of a sheet, so that it says nothing about any of them. `seen` says what the picture
    shows, naming nothing, for whoever cannot see it.
    """

    id: str
    text: str
    options: tuple[Option, ...]
    detail: str = ""
    preset: str = ""
    picture: Sketch | None = None
    seen: str = ""


@dataclass(frozen=True)
class Choose:
    """Choose one option in each row."""

    NAME: ClassVar[str] = "choose"
    rows: tuple[Row, ...]

    def read(self, answer: object) -> dict[str, str]:
        """Return the answer as row id → option id.

        Raises:
            AnswerUnreadable: a row is missing or unknown, or the option is not one of the row's.
        """
        if not isinstance(answer, dict):
            raise AnswerUnreadable("The answer must name an option for each row.")
        rows = {row.id: row for row in self.rows}
        _refuse_unknown(answer, rows, "row")
        chosen: dict[str, str] = {}
        for row in self.rows:
            option = answer.get(row.id)
            if option is None or option == "":
                raise AnswerUnreadable(f"Nothing is chosen for: {row.text}")
            if option not in [known.id for known in row.options]:
                raise AnswerUnreadable(f"'{option}' is not one of the options for: {row.text}")
            chosen[row.id] = str(option)
        return chosen


@dataclass(frozen=True)
class Point(Choose):
    """Point at the place of each thing: a row is a name, its options are the places, the same for every row.

    A place is known by its number in the drawing, which is its id too; its text says in words what the drawing shows
    there. It is answered as any choice is.
    """

    NAME: ClassVar[str] = "point"

    @property
    def places(self) -> tuple[Option, ...]:
        """The places, by their numbers."""
        return self.rows[0].options if self.rows else ()


@dataclass(frozen=True)
class NumberField:
    """A number to fill in, with the units that may stand behind it."""

    id: str
    text: str
    units: tuple[str, ...]
    detail: str = ""


@dataclass(frozen=True)
class Number:
    """Fill in numbers with units."""

    NAME: ClassVar[str] = "number"
    fields: tuple[NumberField, ...]

    def read(self, answer: object) -> dict[str, dict[str, str]]:
        """Return the answer as field id → {"value", "unit"}, both text.

        Raises:
            AnswerUnreadable: a field is missing or unknown, the unit is not offered, or the value is no number.
        """
        if not isinstance(answer, dict):
            raise AnswerUnreadable("The answer must hold a value and a unit for each field.")
        _refuse_unknown(answer, {f.id: f for f in self.fields}, "field")
        filled: dict[str, dict[str, str]] = {}
        for wanted in self.fields:
            given = answer.get(wanted.id)
            if isinstance(given, str):
                number, _, unit = given.strip().partition(" ")
                given = {"value": number, "unit": unit.strip()}
            if not isinstance(given, dict) or str(given.get("value", "")).strip() == "":
                raise AnswerUnreadable(f"No value is filled in for: {wanted.text}")
            value = str(given["value"]).strip().replace(",", ".")
            try:
                number_read = float(value)
            except ValueError:
                number_read = float("nan")
            if number_read != number_read or number_read in (float("inf"), float("-inf")):
                raise AnswerUnreadable(f"'{given['value']}' is not a number, for: {wanted.text}")
            unit = str(given.get("unit", "")).strip()
            if unit not in wanted.units:
                raise AnswerUnreadable(
                    f"Choose one of {', '.join(wanted.units)} as the unit for: {wanted.text}"
                )
            filled[wanted.id] = {"value": value, "unit": unit}
        return filled


@dataclass(frozen=True)
class NextStep:
    """Pick what comes next, one moment after the other: each pick moves the state on and makes the next moment.

    The run ends after so many `moments`, or with the first wrong pick, whose consequence is then told at once.
    `done` is what was picked so far, in words, each with what it showed. Only the moment that has been reached is
    ever sent.
    """

    NAME: ClassVar[str] = "next-step"
    options: tuple[Option, ...]
    moments: int
    done: tuple[tuple[str, str], ...] = ()

    def read(self, answer: object) -> list[str]:
        """Return the answer as the ids picked, one a moment; whether they make a run is for the kind to judge.

        Raises:
            AnswerUnreadable: it is no list of ids, empty, or longer than the run.
        """
        if not isinstance(answer, list) or not all(isinstance(item, str) and item for item in answer):
            raise AnswerUnreadable("The answer must be a list of what was picked, one id a moment.")
        if not answer:
            raise AnswerUnreadable("Nothing is picked yet.")
        if len(answer) > self.moments:
            raise AnswerUnreadable(f"The run has {self.moments} moments, the answer {len(answer)}.")
        return list(answer)


@dataclass(frozen=True)
class SayField:
    """Something to be said in a few words; `detail` says so when it is not marked."""

    id: str
    text: str
    detail: str = ""


@dataclass(frozen=True)
class Say:
    """Say it in a few words.

    The other five forms all show what can be answered. Recall without anything to recognise needs an empty line.
    """

    NAME: ClassVar[str] = "say"
    LONGEST: ClassVar[int] = 300
    fields: tuple[SayField, ...]

    def read(self, answer: object) -> dict[str, str]:
        """Return the answer as field id → text with its white space folded.

        Raises:
            AnswerUnreadable: a field is missing, empty, too long or unknown.
        """
        if not isinstance(answer, dict):
            raise AnswerUnreadable("The answer must hold a few words for each field.")
        _refuse_unknown(answer, {f.id: f for f in self.fields}, "field")
        said: dict[str, str] = {}
        for wanted in self.fields:
            text = answer.get(wanted.id)
            if not isinstance(text, str) or not text.strip():
                raise AnswerUnreadable(f"Nothing is said to: {wanted.text}")
            if len(text) > self.LONGEST:
                raise AnswerUnreadable(f"More than {self.LONGEST} characters are said to: {wanted.text}")
            said[wanted.id] = " ".join(text.split())
        return said


Form = Arrange | Choose | Number | NextStep | Say


def _refuse_unknown(answer: dict[object, object], known: dict[str, object] | object, what: str) -> None:
    names: Sequence[object] = list(known) if isinstance(known, dict) else []
    for key in answer:
        if key not in names:
            raise AnswerUnreadable(f"The answer names a {what} '{key}' that the question does not have.")
