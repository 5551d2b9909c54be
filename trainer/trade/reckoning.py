"""A named computation: what it asks for, how it reads that from text, and what it gives back.

The command line, a drill or a page passes words and gets words and numbers; the arithmetic stays in the topic
files of this room.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.trade.units import Dimension, DimensionsDiffer, Quantity, from_si

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

_ABSENT = ""


class Kind(StrEnum):
    """What an input is when it is not a quantity of one dimension."""

    QUANTITY = "number with a unit"
    QUANTITIES = "numbers with units, with commas between"
    NUMBER = "number"
    NUMBERS = "numbers, with commas between"
    COUNT = "whole number"
    COUNTS = "whole numbers, with commas between"
    DATE = "date, as 2026-03-31"
    DATES = "dates, with commas between"
    WORD = "word"
    WORDS = "text"
    YES_NO = "yes or no"


class InputMissing(TrainerError):
    """Something that the computation cannot do without was not given."""

    def __init__(self, name: str, keys: Iterable[str]) -> None:
        wanted = ", ".join(f"{key}=…" for key in keys)
        super().__init__(f"'{name}' needs {wanted}")


class InputUnknown(TrainerError):
    """Something was given that the computation does not ask for."""

    def __init__(self, name: str, key: str, known: Iterable[str]) -> None:
        keys = list(known)
        near = difflib.get_close_matches(key, keys, n=1)
        hint = f"did you mean '{near[0]}'?" if near else f"it takes {', '.join(keys)}."
        super().__init__(f"'{name}' does not take '{key}'; {hint}")


class InputUnreadable(TrainerError):
    """A text that is not what the input asks for."""

    def __init__(self, key: str, text: str, wanted: str) -> None:
        super().__init__(f"{key}: '{text}' is not a {wanted}.")


class InputRefused(TrainerError):
    """A quantity that cannot be used, with the name of the input before the reason."""

    def __init__(self, key: str, reason: TrainerError) -> None:
        super().__init__(f"{key}: {reason}")


@dataclass(frozen=True)
class Input:
    """One input: its key, what it is, a line of help, and what counts when it is not given.

    `what` is a dimension, several of them, or a kind; `words` lists the words a word may be. An input without
    default must be given unless it is optional.
    """

    key: str
    what: Dimension | tuple[Dimension, ...] | Kind
    help: str
    default: str | None = None
    optional: bool = False
    words: tuple[str, ...] = ()

    @property
    def required(self) -> bool:
        """It must be given."""
        return self.default is None and not self.optional

    @property
    def asks_for(self) -> str:
        """What it is, in words."""
        if self.words:
            return " | ".join(self.words)
        if isinstance(self.what, Kind):
            return str(self.what)
        return " or ".join(self.what) if isinstance(self.what, tuple) else str(self.what)


@dataclass(frozen=True)
class Result:
    """What a computation gives: a quantity, several of one unit, a number, words, or a list; and notes."""

    value: Quantity | tuple[Quantity, ...] | float | str | tuple[int, ...] | tuple[str, ...]
    notes: tuple[str, ...] = ()
    unit: str = ""


@dataclass(frozen=True)
class Reckoned:
    """A finished computation, with everything a person needs to check it by hand.

    `value` is a number, a text or a list of them; `printed` is the result as a person reads it.
    """

    name: str
    inputs: dict[str, str]
    value: float | str | list[float] | list[int] | list[str]
    unit: str
    printed: str
    formula: str
    source: str
    notes: tuple[str, ...] = ()

    def as_data(self) -> dict[str, Any]:
        """Return the plain JSON values that `trainer reckon --format json` prints."""
        return {
            "name": self.name,
            "inputs": dict(self.inputs),
            "result": {"value": self.value, "unit": self.unit},
            "formula": self.formula,
            "source": self.source,
            "notes": list(self.notes),
        }


class Given:
    """The inputs of one run, read as what they are."""

    def __init__(self, inputs: Iterable[Input], values: Mapping[str, str]) -> None:
        self._inputs = {entry.key: entry for entry in inputs}
        self._text = dict(values)
        self.understood: dict[str, str] = {}

    def has(self, key: str) -> bool:
        """Tell whether an optional input was given."""
        return self._text.get(key, _ABSENT) != _ABSENT

    def quantity(self, key: str) -> Quantity:
        """Return a number with a unit, of the dimension that the input asks for."""
        return self._note(key, self._quantity(key, self._text[key]))

    def maybe(self, key: str) -> Quantity | None:
        """Return an optional number with a unit."""
        return self.quantity(key) if self.has(key) else None

    def quantities(self, key: str) -> tuple[Quantity, ...]:
        """Return numbers with units."""
        found = tuple(self._quantity(key, text) for text in self._parts(key))
        self.understood[key] = ", ".join(map(str, found))
        return found

    def degrees(self, key: str) -> float:
        """Return an angle in degrees."""
        return float(self.quantity(key).to("°").value)

    def number(self, key: str) -> float:
        """Return a plain number."""
        found = self._number(key, self._text[key])
        self.understood[key] = f"{found:g}"
        return found

    def numbers(self, key: str) -> tuple[float, ...]:
        """Return plain numbers; none when the input is empty."""
        found = tuple(self._number(key, text) for text in self._parts(key)) if self.has(key) else ()
        self.understood[key] = ", ".join(f"{number:g}" for number in found)
        return found

    def count(self, key: str) -> int:
        """Return a whole number."""
        found = self._count(key, self._text[key])
        self.understood[key] = str(found)
        return found

    def counts(self, key: str) -> tuple[int, ...]:
        """Return whole numbers."""
        found = tuple(self._count(key, text) for text in self._parts(key))
        self.understood[key] = ", ".join(map(str, found))
        return found

    def dates(self, key: str) -> tuple[date, ...]:
        """Return days."""
        found = tuple(self._date(key, text) for text in self._parts(key))
        self.understood[key] = ", ".join(map(str, found))
        return found

    def day(self, key: str) -> date:
        """Return a day."""
        found = self._date(key, self._text[key].strip())
        self.understood[key] = str(found)
        return found

    def word(self, key: str) -> str:
        """Return one of the words that the input may be, or any text where it lists none."""
        text = self._text[key].strip()
        words = self._inputs[key].words
        if words and text not in words:
            raise InputUnreadable(key, text, f"known word; known are {', '.join(words)}")
        self.understood[key] = text
        return text

    def yes(self, key: str) -> bool:
        """Return whether the answer is yes."""
        text = self._text[key].strip().lower()
        if text not in ("yes", "no"):
            raise InputUnreadable(key, text, "yes or a no")
        self.understood[key] = text
        return text == "yes"

    def _note(self, key: str, found: Quantity) -> Quantity:
        self.understood[key] = str(found)
        return found

    def _parts(self, key: str) -> list[str]:
        return [part.strip() for part in self._text[key].split(",")]

    def _quantity(self, key: str, text: str) -> Quantity:
        wanted = self._inputs[key].what
        try:
            found = Quantity.parse(text)
            if isinstance(wanted, Kind):
                return found
            allowed = wanted if isinstance(wanted, tuple) else (wanted,)
            # A strength is printed in MPa or psi too, and there is no gauge to it.
            if Dimension.STRESS in allowed and found.dimension is Dimension.GAUGE:
                return from_si(found.exact_si, "N/mm²")
            if found.dimension not in allowed:
                raise DimensionsDiffer(found, allowed[0])
        except TrainerError as reason:
            raise InputRefused(key, reason) from reason
        return found

    def _number(self, key: str, text: str) -> float:
        try:
            found = float(text)
        except ValueError:
            raise InputUnreadable(key, text, "number") from None
        if found != found or abs(found) > 1e15:
            raise InputUnreadable(key, text, "number that can be used")
        return found

    def _count(self, key: str, text: str) -> int:
        if re.fullmatch(r"\s*-?[0-9]{1,9}\s*", text) is None:
            raise InputUnreadable(key, text.strip(), "whole number")
        return int(text)

    def _date(self, key: str, text: str) -> date:
        try:
            return date.fromisoformat(text)
        except ValueError:
            raise InputUnreadable(key, text, "date, written as 2026-03-31") from None


@dataclass(frozen=True)
class Reckoning:
    """A named computation; `example` holds inputs that it takes, `unit_of_choice` that its unit may be chosen."""

    name: str
    title: str
    inputs: tuple[Input, ...]
    formula: str
    source: str
    compute: Callable[[Given], Result]
    example: Mapping[str, str] = field(default_factory=dict)
    unit_of_choice: bool = False

    @property
    def all_inputs(self) -> tuple[Input, ...]:
        """The inputs, with the unit of the answer where that may be chosen."""
        if not self.unit_of_choice:
            return self.inputs
        return (*self.inputs, Input("unit", Kind.WORD, "unit of the answer", optional=True))

    def run(self, values: Mapping[str, str]) -> Reckoned:
        """Return the computation done with these inputs, each as a person writes it.

        Raises:
            TrainerError: an input is missing, unknown, unreadable or impossible, told in one sentence.
        """
        inputs = {entry.key: entry for entry in self.all_inputs}
        for key in values:
            if key not in inputs:
                raise InputUnknown(self.name, key, inputs)
        filled = {key: entry.default for key, entry in inputs.items() if entry.default is not None}
        filled |= {key: text for key, text in values.items() if text.strip() != _ABSENT}
        missing = [key for key, entry in inputs.items() if entry.required and key not in filled]
        if missing:
            raise InputMissing(self.name, missing)
        given = Given(inputs.values(), filled)
        result = self._in_unit(self.compute(given), given)
        order = [key for key in inputs if given.understood.get(key)]
        value, unit, printed = _plain(result)
        return Reckoned(
            name=self.name,
            inputs={key: given.understood[key] for key in order},
            value=value,
            unit=unit,
            printed=printed,
            formula=self.formula,
            source=self.source,
            notes=result.notes,
        )

    def _in_unit(self, result: Result, given: Given) -> Result:
        if not given.has("unit") or "unit" not in {entry.key for entry in self.all_inputs}:
            return result
        unit = given.word("unit")
        try:
            if isinstance(result.value, Quantity):
                return Result(result.value.to(unit), result.notes)
            if isinstance(result.value, tuple):
                several = tuple(part.to(unit) for part in result.value if isinstance(part, Quantity))
                return Result(several, result.notes)
        except TrainerError as reason:
            raise InputRefused("unit", reason) from reason
        return result


def _plain(result: Result) -> tuple[float | str | list[float] | list[int] | list[str], str, str]:
    value = result.value
    if isinstance(value, Quantity):
        return float(value.value), value.unit, value.printed()
    if isinstance(value, tuple):
        quantities = [part for part in value if isinstance(part, Quantity)]
        if quantities:
            unit = quantities[0].unit
            same = [part.to(unit) for part in quantities]
            return [float(part.value) for part in same], unit, ", ".join(part.printed() for part in same)
        numbers = [part for part in value if isinstance(part, int)]
        words = [part for part in value if isinstance(part, str)]
        return numbers or words, result.unit, ", ".join(map(str, numbers)) or "; ".join(words)
    if isinstance(value, str):
        return value, result.unit, value
    return value, result.unit, f"{value:.4g} {result.unit}".strip()
