"""Lengths of a drawing as they are written: a figure in millimetres, or a sum of named dimensions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from trainer.procedure.blocks import SizedValue
from trainer.procedure.model import Reference
from trainer.procedure.source import Mapping, Node, Scalar, Sequence
from trainer.procedure.values import Path, Reading, ScalarValue, Value

if TYPE_CHECKING:
    from collections.abc import Iterator

_TOKEN = re.compile(r"\s*(?:([0-9]+(?:\.[0-9]+)?|\.[0-9]+)|([a-z][a-z0-9_]*)|([-+*/()]))")
_LONGEST = 80
_LARGEST = 100_000.0


class _Unreadable(Exception):
    """A text is no measure."""


@dataclass(frozen=True)
class Named:
    """A dimension by its name."""

    name: str


@dataclass(frozen=True)
class Figure:
    """A figure as written."""

    value: float


@dataclass(frozen=True)
class Sum:
    """Two terms under one of `+ - * /`."""

    sign: str
    left: Term
    right: Term


Term = Named | Figure | Sum


@dataclass(frozen=True)
class Measure:
    """A length in mm, or a position; what it comes to depends on the size."""

    term: Term

    def names(self) -> Iterator[str]:
        """Yield the dimensions that it is made of."""
        yield from _names(self.term)

    def at(self, dimensions: dict[str, float], scale: float) -> float:
        """Return the measure in mm.

        Args:
            dimensions: the named ones at that size, in mm.
            scale: what a figure written in mm is multiplied by; factors stay as they are.

        Raises:
            KeyError: it names a dimension that is not among them.
        """
        return _value(self.term, dimensions, scale)


def _names(term: Term) -> Iterator[str]:
    if isinstance(term, Named):
        yield term.name
    elif isinstance(term, Sum):
        yield from _names(term.left)
        yield from _names(term.right)


def _value(term: Term, dimensions: dict[str, float], scale: float) -> float:
    if isinstance(term, Figure):
        return term.value * scale
    if isinstance(term, Named):
        return dimensions[term.name]
    # In a product one side is a length and the other a factor; a factor is the same at every size.
    factor_left = term.sign == "*" and not _has_name(term.left) and _has_name(term.right)
    factor_right = term.sign in "*/" and not factor_left
    left = _value(term.left, dimensions, 1.0 if factor_left else scale)
    right = _value(term.right, dimensions, 1.0 if factor_right else scale)
    if term.sign == "+":
        return left + right
    if term.sign == "-":
        return left - right
    return left * right if term.sign == "*" else left / right


def _has_name(term: Term) -> bool:
    return next(_names(term), None) is not None


class _Parser:
    """Reads a sum of products of figures, names and brackets."""

    def __init__(self, text: str) -> None:
        if len(text) > _LONGEST:
            raise _Unreadable
        self.tokens: list[str] = []
        at = 0
        text = text.strip().replace("\u2212", "-")
        while at < len(text):
            found = _TOKEN.match(text, at)
            if found is None:
                raise _Unreadable
            self.tokens.append(found[0].strip())
            at = found.end()

    def read(self) -> Term:
        term = self.sum()
        if self.tokens:
            raise _Unreadable
        return term

    def sum(self) -> Term:
        term = self.product()
        while self.tokens and self.tokens[0] in "+-":
            term = Sum(self.tokens.pop(0), term, self.product())
        return term

    def product(self) -> Term:
        term = self.single()
        while self.tokens and self.tokens[0] in "*/":
            sign = self.tokens.pop(0)
            right = self.single()
            if sign == "/" and not (isinstance(right, Figure) and right.value):
                raise _Unreadable
            if _has_name(term) and _has_name(right):
                raise _Unreadable  # a product of two lengths is an area
            term = Sum(sign, term, right)
        return term

    def single(self) -> Term:
        piece = self.tokens.pop(0) if self.tokens else ""
        if piece == "-":
            inner = self.single()
            return Figure(-inner.value) if isinstance(inner, Figure) else Sum("-", Figure(0.0), inner)
        if piece == "(":
            term = self.sum()
            if not self.tokens or self.tokens.pop(0) != ")":
                raise _Unreadable
            return term
        if piece[:1].isalpha():
            return Named(piece)
        if piece[:1].isdigit() or piece[:1] == ".":
            return Figure(float(piece))
        raise _Unreadable


@lru_cache(maxsize=4096)
def parse(text: str) -> Measure | None:
    """Return the measure that a text says, or None when it is none."""
    try:
        term = _Parser(text).read()
    except (_Unreadable, RecursionError):
        return None
    if any(abs(figure) > _LARGEST for figure in _figures(term)):
        return None
    return Measure(term)


def _figures(term: Term) -> Iterator[float]:
    if isinstance(term, Figure):
        yield term.value
    elif isinstance(term, Sum):
        yield from _figures(term.left)
        yield from _figures(term.right)


class Length(ScalarValue):
    """A length or a position in a drawing."""

    words = "a number in mm, or a sum of named dimensions such as `bore / 2 + 3`"

    def read(self, node: Node, path: Path, reading: Reading) -> Measure | None:
        """Return the measure, and remember the names in it to be looked up."""
        measure = super().read(node, path, reading)
        if isinstance(measure, Measure):
            for name in measure.names():
                reading.references.append(Reference(("dimensions",), name, path, node.place))
            return measure
        return None

    def convert(self, node: Scalar) -> Measure | None:
        """Return the measure of a text."""
        return parse(node.text)

    def schema(self) -> dict[str, Any]:
        """A number, or a sum in a string."""
        return {"anyOf": [{"type": "number"}, {"type": "string", "pattern": "^[-+*/() .0-9a-z_\u2212]+$"}]}


class Degrees(ScalarValue):
    """An angle in degrees."""

    words = "a number of degrees, from -360 to 360"

    def convert(self, node: Scalar) -> float | None:
        """Return the angle."""
        if not re.fullmatch(r"[-\u2212]?[0-9]{1,3}(\.[0-9]{1,3})?", node.text):
            return None
        value = float(node.text.replace("\u2212", "-"))
        return value if abs(value) <= 360 else None

    def schema(self) -> dict[str, Any]:
        """A number."""
        return {"type": "number", "minimum": -360, "maximum": 360}


class Factor(ScalarValue):
    """A plain number above 0."""

    words = "a number above 0, such as `0.75`"

    def convert(self, node: Scalar) -> float | None:
        """Return the number."""
        if not re.fullmatch(r"[0-9]{1,3}(\.[0-9]{1,6})?", node.text):
            return None
        return float(node.text) or None

    def schema(self) -> dict[str, Any]:
        """A number."""
        return {"type": "number", "exclusiveMinimum": 0}


class Row(Value):
    """A list of so many lengths: a point, a span, a corner."""

    def __init__(self, *names: str, more: str = "") -> None:
        self.names = names
        self.more = more
        listed = ", ".join(names)
        self.words = f"`[{listed}]`" + (f" or `[{listed}, {more}]`" if more else "")

    def read(self, node: Node, path: Path, reading: Reading) -> tuple[Measure, ...] | None:
        """Return the lengths."""
        allowed = (len(self.names), len(self.names) + bool(self.more))
        if not isinstance(node, Sequence) or len(node.items) not in allowed:
            self.wrong(node, path, reading)
            return None
        values = [_LENGTH.read(item, (*path, n), reading) for n, item in enumerate(node.items)]
        return None if None in values else tuple(value for value in values if value is not None)

    def schema(self) -> dict[str, Any]:
        """An array of lengths."""
        count = len(self.names)
        return {
            "type": "array",
            "items": _LENGTH.schema(),
            "minItems": count,
            "maxItems": count + bool(self.more),
        }


class Rows(Value):
    """A list of rows, at least so many: the corners of an outline, the points of a curve."""

    def __init__(self, row: Row, least: int) -> None:
        self.row = row
        self.least = least
        self.words = f"a list of at least {least}, each {row.words}"

    def read(self, node: Node, path: Path, reading: Reading) -> tuple[tuple[Measure, ...], ...] | None:
        """Return the rows; one that cannot be read spoils them all."""
        if not isinstance(node, Sequence) or len(node.items) < self.least:
            self.wrong(node, path, reading)
            return None
        rows = []
        for index, item in enumerate(node.items):
            reading.places[(*path, index)] = item.place
            rows.append(self.row.read(item, (*path, index), reading))
        return None if None in rows else tuple(row for row in rows if row is not None)

    def schema(self) -> dict[str, Any]:
        """An array of rows."""
        return {"type": "array", "items": self.row.schema(), "minItems": self.least}


class Several(Value):
    """A list of values that are themselves lists; it has no short form."""

    def __init__(self, inner: Value) -> None:
        self.inner = inner
        self.words = f"a list, each {inner.words}"

    def read(self, node: Node, path: Path, reading: Reading) -> tuple[Any, ...]:
        """Return the readable values."""
        if not isinstance(node, Sequence):
            self.wrong(node, path, reading)
            return ()
        values = []
        for index, item in enumerate(node.items):
            reading.places[(*path, index)] = item.place
            values.append(self.inner.read(item, (*path, index), reading))
        return tuple(value for value in values if value is not None)

    def schema(self) -> dict[str, Any]:
        """An array."""
        return {"type": "array", "items": self.inner.schema()}


class NamedValues(Value):
    """A block of names chosen by the author, each with a value."""

    def __init__(self, inner: Value, words: str) -> None:
        self.inner = inner
        self.words = words

    def read(self, node: Node, path: Path, reading: Reading) -> dict[str, Any]:
        """Return name → value for what could be read."""
        if not isinstance(node, Mapping):
            self.wrong(node, path, reading)
            return {}
        found: dict[str, Any] = {}
        for name, item, place in node.items():
            reading.places[(*path, name)] = place
            value = self.inner.read(item, (*path, name), reading)
            if value is not None:
                found[name] = value
        return found

    def schema(self) -> dict[str, Any]:
        """An object of such values."""
        return {"type": "object", "additionalProperties": self.inner.schema()}


_LENGTH = Length()

__all__ = [
    "Degrees",
    "Factor",
    "Length",
    "Measure",
    "NamedValues",
    "Row",
    "Rows",
    "Several",
    "SizedValue",
    "parse",
]
