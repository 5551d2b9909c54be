"""The kinds of value a key can hold: each reads a node, describes itself in words, and gives its JSON Schema.

Reading never raises: a value that cannot be used becomes a finding with its place, and None.
"""

from __future__ import annotations

import difflib
import re
from abc import ABC, abstractmethod
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from trainer.procedure.findings import Finding, Place, Signal
from trainer.procedure.model import Reference
from trainer.procedure.source import Mapping, Node, Scalar
from trainer.trade.units import Quantity, QuantityUnreadable, UnitUnknown

if TYPE_CHECKING:
    from collections.abc import Iterable
    from enum import StrEnum

Path = tuple[str | int, ...]
WORD = re.compile(r"[a-z][a-z0-9_-]*\Z")
# What `Quantity.parse` takes, but for the names of units: decimal or fraction, then a unit.
_QUANTITY = (
    r"^\s*[-+\u2212]?(([0-9]{1,6}(\s+|-))?[0-9]{1,6}/[0-9]{1,3}|([0-9]+(\.[0-9]+)?|\.[0-9]+)([eE][-+]?[0-9]{1,2})?)"
    r"\s*[^-–.,/0-9\s]"
)
_ARTICLES = {"Mapping": "a block of keys", "Sequence": "a list", "Scalar": "a plain value"}


@dataclass
class Reading:
    """What reading a file gathers on its way: findings, places of nodes, and names to be looked up."""

    findings: list[Finding] = field(default_factory=list)
    places: dict[Path, Place] = field(default_factory=dict)
    references: list[Reference] = field(default_factory=list)

    def say(self, code: str, place: Place, what: str, mend: str) -> None:
        """Add an error."""
        self.findings.append(Finding(code, Signal.ERROR, place, what, mend))


def nearest(name: str, known: Iterable[str]) -> str:
    """Return ` Did you mean …?` when a known name is near, else an empty text."""
    close = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    return f" Did you mean `{close[0]}`?" if close else ""


class Value(ABC):
    """A kind of value."""

    words: str = ""

    @abstractmethod
    def read(self, node: Node, path: Path, reading: Reading) -> Any:
        """Return the value, or None with a finding when the node does not hold one."""

    @abstractmethod
    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema of the value."""

    def wrong(self, node: Node, path: Path, reading: Reading) -> None:
        """Tell that the node does not hold this kind of value."""
        key = next((str(part) for part in reversed(path) if isinstance(part, str)), "this")
        got = f"`{node.text}`" if isinstance(node, Scalar) and node.text else _ARTICLES[type(node).__name__]
        if isinstance(node, Scalar) and node.is_empty:
            got = "nothing"
        reading.say(
            "wrong-value", node.place, f"`{key}` holds {got}, but wants {self.words}.", f"Write {self.words}."
        )


class ScalarValue(Value):
    """A value written as one word, number or sentence."""

    def read(self, node: Node, path: Path, reading: Reading) -> Any:
        """Return the converted text."""
        if isinstance(node, Scalar) and not node.is_empty and node.text.strip():
            value = self.convert(node)
            if value is not None:
                return value
        self.wrong(node, path, reading)
        return None

    @abstractmethod
    def convert(self, node: Scalar) -> Any:
        """Return the value of a text, or None when it is not one."""


class Text(ScalarValue):
    """A sentence or a name, kept as written."""

    words = "a text"

    def convert(self, node: Scalar) -> str:
        """Return the text with its white space folded."""
        return " ".join(node.text.split())

    def schema(self) -> dict[str, Any]:
        """Any scalar will do: `on` and `012` are texts here."""
        return {"type": ["string", "number", "boolean"], "minLength": 1}


class Word(ScalarValue):
    """An id: small letters, figures, `_` and `-`."""

    words = "a short name in small letters, figures, `_` or `-`"

    def convert(self, node: Scalar) -> str | None:
        """Return the word."""
        return node.text if WORD.match(node.text) else None

    def schema(self) -> dict[str, Any]:
        """A pattern."""
        return {"type": ["string", "boolean"], "pattern": "^[a-z][a-z0-9_-]*$"}


class Flag(ScalarValue):
    """`true` or `false`."""

    words = "`true` or `false`"

    def convert(self, node: Scalar) -> bool | None:
        """Return the truth value; `yes`, `on` and the like are words, not flags."""
        return None if node.quoted else {"true": True, "false": False}.get(node.text)

    def schema(self) -> dict[str, Any]:
        """A boolean."""
        return {"type": "boolean"}


class Count(ScalarValue):
    """A whole number from 1."""

    words = "a whole number from 1"

    def convert(self, node: Scalar) -> int | None:
        """Return the number."""
        return int(node.text) if re.fullmatch(r"[1-9][0-9]{0,5}", node.text) else None

    def schema(self) -> dict[str, Any]:
        """An integer."""
        return {"type": "integer", "minimum": 1}


class Whole(ScalarValue):
    """A whole number between two others."""

    def __init__(self, least: int, most: int) -> None:
        self.least = least
        self.most = most
        self.words = f"a whole number from {least} to {most}"

    def convert(self, node: Scalar) -> int | None:
        """Return the number."""
        number = int(node.text) if re.fullmatch(r"0|[1-9][0-9]{0,5}", node.text) else -1
        return number if self.least <= number <= self.most else None

    def schema(self) -> dict[str, Any]:
        """An integer."""
        return {"type": "integer", "minimum": self.least, "maximum": self.most}


class OneOf(ScalarValue):
    """One word of a fixed list."""

    def __init__(self, choices: type[StrEnum]) -> None:
        self.choices = choices
        self.words = "one of " + ", ".join(f"`{choice}`" for choice in choices)

    def convert(self, node: Scalar) -> StrEnum | None:
        """Return the member."""
        try:
            return self.choices(node.text)
        except ValueError:
            return None

    def schema(self) -> dict[str, Any]:
        """An enumeration."""
        return {"enum": [str(choice) for choice in self.choices]}


class QuantityOf(Value):
    """A number with its unit, of one dimension."""

    def __init__(self, dimension: str, example: str) -> None:
        self.dimension = dimension
        self.example = example
        self.words = f"a {dimension} with its unit, such as `{example}`"

    def read(self, node: Node, path: Path, reading: Reading) -> Quantity | None:
        """Return the quantity; an unknown unit and a wrong dimension have findings of their own."""
        if not isinstance(node, Scalar) or node.is_empty:
            self.wrong(node, path, reading)
            return None
        try:
            quantity = Quantity.parse(node.text)
        except (QuantityUnreadable, UnitUnknown) as problem:
            reading.say("unit", node.place, str(problem), f"Write {self.words}.")
            return None
        if quantity.dimension != self.dimension:
            what = f"`{node.text}` is a {quantity.dimension}, but a {self.dimension} is wanted here."
            reading.say("unit", node.place, what, f"Write {self.words}.")
            return None
        return quantity

    def schema(self) -> dict[str, Any]:
        """A string with a number in front."""
        return {"type": "string", "pattern": _QUANTITY}


class Share(ScalarValue):
    """A pass of a tightening: a percentage of the target torque, or `round`."""

    words = "a percentage from 1 % to 100 %, or `round`"

    def convert(self, node: Scalar) -> int | str | None:
        """Return the percentage, or the word `round`."""
        if node.text == "round":
            return node.text
        found = re.fullmatch(r"([0-9]{1,3})\s*%", node.text)
        return int(found[1]) if found and 1 <= int(found[1]) <= 100 else None

    def schema(self) -> dict[str, Any]:
        """A pattern."""
        return {"type": "string", "pattern": r"^(0*([1-9][0-9]?|100)\s*%|round)$"}


class Name(Word):
    """A name that must be defined in one of some tables of the same file (or of the shared tables)."""

    def __init__(self, *tables: str) -> None:
        self.tables = tables
        self.words = "the name of one of the " + " or ".join(tables)

    def read(self, node: Node, path: Path, reading: Reading) -> str | None:
        """Return the name and remember to look it up."""
        name = super().read(node, path, reading)
        if isinstance(name, str):
            reading.references.append(Reference(self.tables, name, path, node.place))
            return name
        return None


class TaskName(Text):
    """A covered task of the shared table."""

    words = "the number of a covered task"

    def read(self, node: Node, path: Path, reading: Reading) -> str | None:
        """Return the number and remember to look it up."""
        name = super().read(node, path, reading)
        if isinstance(name, str):
            reading.references.append(Reference(("tasks",), name, path, node.place))
            return name
        return None


class Faces(Value):
    """Which way round a part goes: `feature: direction`, or the word `either`."""

    DIRECTIONS = ("up", "down", "in", "out", "upstream", "downstream")
    words = "`feature: direction` (up, down, in, out, upstream, downstream, `to <part>`, `away from <part>`), or `either`"

    def read(self, node: Node, path: Path, reading: Reading) -> tuple[str, str] | None:
        """Return feature and direction; a direction by part is remembered as a name to look up."""
        if isinstance(node, Scalar) and node.text == "either":
            return "", "either"
        if not isinstance(node, Mapping) or len(node.entries) != 1:
            self.wrong(node, path, reading)
            return None
        ((feature, item, place),) = node.items()
        reading.places[(*path, feature)] = place
        direction = " ".join(item.text.split()) if isinstance(item, Scalar) else ""
        toward = re.fullmatch(r"(?:to|away from) ([a-z][a-z0-9_-]*)", direction)
        if toward:
            reading.references.append(Reference(("parts",), toward[1], (*path, feature), item.place))
        elif direction not in self.DIRECTIONS:
            self.wrong(item, path, reading)
            return None
        return feature, direction

    def schema(self) -> dict[str, Any]:
        """The word, or an object with one key."""
        pattern = f"^({'|'.join(self.DIRECTIONS)}|to [a-z][a-z0-9_-]*|away from [a-z][a-z0-9_-]*)$"
        one = {
            "type": "object",
            "minProperties": 1,
            "maxProperties": 1,
            "additionalProperties": {"type": "string", "pattern": pattern},
        }
        return {"anyOf": [{"const": "either"}, one]}
