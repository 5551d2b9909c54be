"""What holds values: lists, values by size, blocks of known keys, tables of blocks named by the author, steps.

Reading never raises: what cannot be used becomes a finding with its place.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from trainer.procedure.source import Mapping, Node, Scalar, Sequence
from trainer.procedure.values import WORD, Path, Reading, Value, Word, nearest


class ListOf(Value):
    """A list; one value alone counts as a list of one."""

    def __init__(self, inner: Value) -> None:
        self.inner = inner
        self.words = f"a list, each {inner.words}"

    def read(self, node: Node, path: Path, reading: Reading) -> tuple[Any, ...]:
        """Return the readable values."""
        if isinstance(node, Scalar) and node.is_empty:
            self.wrong(node, path, reading)
            return ()
        nodes = node.items if isinstance(node, Sequence) else (node,)
        values = []
        for index, item in enumerate(nodes):
            reading.places[(*path, index)] = item.place
            value = self.inner.read(item, (*path, index), reading)
            if value is not None:
                values.append(value)
        return tuple(values)

    def schema(self) -> dict[str, Any]:
        """One value or an array."""
        inner = self.inner.schema()
        return {"anyOf": [inner, {"type": "array", "items": inner}]}


@dataclass(frozen=True)
class SizedValue:
    """A value as read: one for all sizes, or one a size."""

    common: Any
    each: dict[str, Any]


class BySizeOf(Value):
    """One value for every size, or a block with one a size."""

    def __init__(self, inner: Value) -> None:
        self.inner = inner
        self.words = f"{inner.words}; or one for each size"

    def read(self, node: Node, path: Path, reading: Reading) -> SizedValue | None:
        """Return the values by size; which sizes there are is the checker's business."""
        if not isinstance(node, Mapping):
            value = self.inner.read(node, path, reading)
            return None if value is None else SizedValue(value, {})
        if not node.entries:
            self.wrong(node, path, reading)
            return None
        each = {}
        for size, item, place in node.items():
            reading.places[(*path, size)] = place
            value = self.inner.read(item, (*path, size), reading)
            if value is not None:
                each[size] = value
        return SizedValue(None, each)

    def schema(self) -> dict[str, Any]:
        """One value or an object of values."""
        inner = self.inner.schema()
        return {"anyOf": [inner, {"type": "object", "additionalProperties": inner, "minProperties": 1}]}


@dataclass(frozen=True)
class Key:
    """One key of the language: its name, what it holds, what it means, and an example."""

    name: str
    value: Value
    meaning: str
    example: str = ""
    required: bool = False


class Block(Value):
    """A block of known keys; `short` names the key that a plain value stands for."""

    words = "a block of keys"

    def __init__(self, title: str, keys: tuple[Key, ...], short: str = "") -> None:
        self.title = title
        self.keys = keys
        self.by_name = {key.name: key for key in keys}
        self.short = short
        if short:
            self.words = f"a block of keys, or just the `{short}`"

    def read(self, node: Node, path: Path, reading: Reading) -> dict[str, Any] | None:
        """Return key → value for the keys that could be read."""
        if self.short and isinstance(node, Scalar) and not node.is_empty:
            value = self.by_name[self.short].value.read(node, path, reading)
            return {} if value is None else {self.short: value}
        if not isinstance(node, Mapping):
            if isinstance(node, Scalar) and node.is_empty and not any(key.required for key in self.keys):
                return {}
            self.wrong(node, path, reading)
            return None
        values: dict[str, Any] = {}
        for name, item, place in node.items():
            reading.places[(*path, name)] = place
            key = self.by_name.get(name)
            if key is None:
                mend = f"Remove it, or use one of: {', '.join(sorted(self.by_name))}."
                if " " in name and isinstance(item, Scalar) and item.is_empty:
                    mend = "If it belongs to the text before it, quote that text: in braces a comma ends it."
                what = f"`{name}` is not a key of {self.title}.{nearest(name, self.by_name)}"
                reading.say("unknown-key", place, what, mend)
                continue
            value = key.value.read(item, (*path, name), reading)
            if value is not None:
                values[name] = value
        for key in self.keys:
            if key.required and key.name not in node.entries:
                what = f"{self.title[0].upper()}{self.title[1:]} lacks `{key.name}`."
                reading.say("missing-key", node.place, what, f"Add `{key.name}`: {key.value.words}.")
        return values

    def schema(self) -> dict[str, Any]:
        """An object with these keys and no others."""
        properties = {key.name: {"description": key.meaning, **key.value.schema()} for key in self.keys}
        block: dict[str, Any] = {"type": "object", "properties": properties, "additionalProperties": False}
        required = [key.name for key in self.keys if key.required]
        if required:
            block["required"] = required
        elif not self.short:
            block["type"] = ["object", "null"]
        return {"anyOf": [self.by_name[self.short].value.schema(), block]} if self.short else block


class TableOf(Value):
    """A block whose keys are ids chosen by the author, each with a block of its own; the order counts."""

    def __init__(self, block: Block) -> None:
        self.block = block
        self.words = f"a block that names each, with the keys of {block.title}"

    def read(self, node: Node, path: Path, reading: Reading) -> dict[str, dict[str, Any]]:
        """Return id → block."""
        if not isinstance(node, Mapping):
            self.wrong(node, path, reading)
            return {}
        table = {}
        for name, item, place in node.items():
            reading.places[(*path, name)] = place
            if not WORD.match(name):
                reading.say("wrong-value", place, f"`{name}` cannot be a name here.", f"Write {Word.words}.")
                continue
            values = self.block.read(item, (*path, name), reading)
            table[name] = values if values is not None else {}
        return table

    def schema(self) -> dict[str, Any]:
        """An object of such blocks."""
        return {
            "type": "object",
            "propertyNames": {"pattern": "^[a-z][a-z0-9_-]*$"},
            "additionalProperties": self.block.schema(),
        }


class EachNamed(Value):
    """A block whose keys are names chosen by the author, each with one value."""

    def __init__(self, inner: Value) -> None:
        self.inner = inner
        self.words = f"a block of names, each with {inner.words}"

    def read(self, node: Node, path: Path, reading: Reading) -> dict[str, Any]:
        """Return name → value for those that could be read."""
        if not isinstance(node, Mapping):
            self.wrong(node, path, reading)
            return {}
        values = {}
        for name, item, place in node.items():
            reading.places[(*path, name)] = place
            value = self.inner.read(item, (*path, name), reading)
            if value is not None:
                values[name] = value
        return values

    def schema(self) -> dict[str, Any]:
        """An object of such values."""
        return {"type": "object", "additionalProperties": self.inner.schema()}


class StepList(Value):
    """The list of steps, each a block with an `id`."""

    def __init__(self, block: Block) -> None:
        self.block = block
        self.words = f"a list of blocks, each with the keys of {block.title}"

    def read(self, node: Node, path: Path, reading: Reading) -> dict[str, dict[str, Any]]:
        """Return step id → block in the order of the file; paths use the id, not the index."""
        if not isinstance(node, Sequence):
            self.wrong(node, path, reading)
            return {}
        steps: dict[str, dict[str, Any]] = {}
        for index, item in enumerate(node.items):
            named = item.entries.get("id") if isinstance(item, Mapping) else None
            name = named.text if isinstance(named, Scalar) and named.text else f"step-{index + 1}"
            if name in steps:
                first = reading.places[(*path, name)]
                what = f"The step `{name}` stands a second time; the first is at line {first.line}."
                reading.say(
                    "duplicate-key", named.place if named else item.place, what, "Give it an id of its own."
                )
                name = f"{name}-{index + 1}"
            reading.places[(*path, name)] = item.place
            values = self.block.read(item, (*path, name), reading)
            if values is not None:
                steps[name] = values
        return steps

    def schema(self) -> dict[str, Any]:
        """An array of such blocks."""
        return {"type": "array", "items": self.block.schema(), "minItems": 1}
