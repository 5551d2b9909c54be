"""YAML text → a tree of values, each with its place; plain words stay words.

PyYAML's usual loaders turn `no`, `on`, `1:30` and `012` into booleans and numbers, and keep the last of two
equal keys without a word. Both are deadly in a procedure, so the text is only *composed* here: every scalar
stays the text that the author wrote, and what a key means is decided by the table of keys (`keys.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import yaml

from trainer.procedure.findings import Finding, Place, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

MAX_BYTES = 2_000_000
MAX_DEPTH = 40
MAX_NODES = 200_000

_Loader: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_PLAIN_TAGS = {
    f"tag:yaml.org,2002:{name}"
    for name in ("str", "int", "float", "bool", "null", "timestamp", "map", "seq", "merge", "value")
}


@dataclass(frozen=True, slots=True)
class Scalar:
    """One word, number or sentence, exactly as written; `quoted` tells `"1"` from `1`."""

    text: str
    place: Place
    quoted: bool = False

    @property
    def is_empty(self) -> bool:
        """Nothing written after the colon, `~` or `null`."""
        return not self.quoted and self.text in ("", "~", "null")


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list of nodes."""

    items: tuple[Node, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys and nodes in the order written; of two equal keys the first counts."""

    entries: dict[str, Node]
    key_places: dict[str, Place]
    place: Place

    def items(self) -> Iterator[tuple[str, Node, Place]]:
        """Yield key, value and the place of the key."""
        for key, node in self.entries.items():
            yield key, node, self.key_places[key]


Node = Scalar | Sequence | Mapping


@dataclass(frozen=True)
class Source:
    """What a file held: its tree (None when it is no YAML mapping) and what was wrong with the text."""

    name: str
    root: Mapping | None
    findings: tuple[Finding, ...]


def read(text: str | bytes, name: str) -> Source:
    """Read YAML text into a tree with places.

    Args:
        text: the file's content.
        name: what findings call the file, usually its path.

    Returns:
        A Source; bad text gives findings, never an exception.
    """
    return _Reader(name).read(text)


class _Reader:
    def __init__(self, name: str) -> None:
        self.name = name
        self.findings: list[Finding] = []
        self.seen = 0
        self.met: set[int] = set()

    def read(self, text: str | bytes) -> Source:
        root = self._tree(text)
        if root is not None and not isinstance(root, Mapping):
            self._say(
                "yaml",
                root.place,
                "The file does not start with a list of keys.",
                "Begin with `module: a-short-name`.",
            )
            root = None
        return Source(self.name, root, tuple(self.findings))

    def _say(self, code: str, place: Place, what: str, mend: str) -> None:
        self.findings.append(Finding(code, Signal.ERROR, place, what, mend))

    def _tree(self, text: str | bytes) -> Node | None:
        start = Place(self.name, 1, 1)
        if len(text) > MAX_BYTES:
            self._say(
                "yaml",
                start,
                f"The file is larger than {MAX_BYTES:,} bytes.",
                "Split the procedure into modules.",
            )
            return None
        if isinstance(text, bytes):
            decoded = self._decoded(text)
            if decoded is None:
                return None
            text = decoded
        if self._too_deep(text):
            self._say(
                "yaml",
                start,
                f"The file nests more than {MAX_DEPTH} levels deep.",
                "Flatten it; no key needs that depth.",
            )
            return None
        try:
            composed = yaml.compose(text, Loader=_Loader)
        except yaml.MarkedYAMLError as problem:
            mark = problem.problem_mark or problem.context_mark
            place = Place(self.name, mark.line + 1, mark.column + 1) if mark else start
            self._say(
                "yaml",
                place,
                f"This is not YAML: {problem.problem or problem.context}.",
                "Look at this line and the one above: indentation, colons, quotes and brackets.",
            )
            return None
        except (yaml.YAMLError, ValueError) as problem:
            place = self._place_of_character(text, getattr(problem, "position", 0))
            self._say(
                "yaml",
                place,
                f"This is not YAML: {str(problem).splitlines()[0]}.",
                "Remove the character that does not print.",
            )
            return None
        if composed is None:
            self._say("yaml", start, "The file is empty.", "Begin with `module: a-short-name`.")
            return None
        return self._convert(composed)

    def _decoded(self, data: bytes) -> str | None:
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError as problem:
            good = data[: problem.start].decode("utf-8", errors="replace")
            place = self._place_of_character(good, len(good))
            self._say("yaml", place, "This byte is not UTF-8.", "Save the file as UTF-8.")
            return None

    def _too_deep(self, text: str) -> bool:
        # The C composer recurses without a limit, so depth is bounded before it runs: flow brackets by
        # counting, block nesting by indentation (one level takes at least one column).
        if text.count("[") + text.count("{") > MAX_DEPTH:
            depth = deepest = 0
            for character in text:
                if character in "[{":
                    depth += 1
                    deepest = max(deepest, depth)
                elif character in "]}":
                    depth = max(0, depth - 1)
            if deepest > 4 * MAX_DEPTH:
                return True
        return any(
            len(line) - len(line.lstrip(" ")) > 8 * MAX_DEPTH
            or line.count("- -") > MAX_DEPTH
            or line.count("? ?") > MAX_DEPTH
            for line in text.splitlines()
        )

    def _place_of_character(self, text: str, position: int) -> Place:
        before = text[:position]
        return Place(self.name, before.count("\n") + 1, position - (before.rfind("\n") + 1) + 1)

    def _place(self, node: Any) -> Place:
        return Place(self.name, node.start_mark.line + 1, node.start_mark.column + 1)

    def _convert(self, node: Any) -> Node:
        place = self._place(node)
        self.seen += 1
        # An alias gives the same composed node a second time; nine levels of nine aliases would be 9^9 nodes.
        if id(node) in self.met:
            self._say(
                "yaml",
                place,
                "Anchors and aliases (`&name`, `*name`) are not part of this language.",
                "Write the value out where it is used.",
            )
            return Scalar("", place)
        self.met.add(id(node))
        if node.tag not in _PLAIN_TAGS:
            self._say("yaml", place, f"The tag `{node.tag}` is not part of this language.", "Remove the tag.")
            return Scalar("", place)
        if isinstance(node, yaml.ScalarNode):
            return Scalar(node.value, place, quoted=node.style not in (None, ""))
        if isinstance(node, yaml.SequenceNode):
            return Sequence(tuple([self._convert(item) for item in node.value]), place)
        return self._mapping(node, place)

    def _mapping(self, node: Any, place: Place) -> Mapping:
        entries: dict[str, Node] = {}
        places: dict[str, Place] = {}
        for key_node, value_node in node.value:
            key_place = self._place(key_node)
            if not isinstance(key_node, yaml.ScalarNode):
                self._say(
                    "yaml",
                    key_place,
                    "A key must be a word, not a list or a mapping.",
                    "Quote the key if it holds brackets.",
                )
                continue
            key = key_node.value
            if key in entries:
                first = places[key]
                self._say(
                    "duplicate-key",
                    key_place,
                    f"The key `{key}` stands a second time; the first is at line {first.line}.",
                    "Remove one of the two, or rename it.",
                )
                continue
            entries[key] = self._convert(value_node)
            places[key] = key_place
        return Mapping(entries, places, place)
