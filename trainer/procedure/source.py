"""YAML text → a tree of values, each with its place; plain words stay words.

PyYAML's usual loaders turn `no`, `on`, `1:30` and `012` into booleans and numbers, and keep the last of two
equal keys without a word. Both are deadly in a procedure, so the text is only *parsed* here: every scalar
stays the text that the author wrote, and what a key means is decided by the table of keys (`keys.py`).

The tree is built from the stream of events, so that depth and size are judged while reading: a file of
brackets is given up at its forty-first, before any reader of the whole runs out of stack.
"""

from __future__ import annotations

import re
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

# What YAML 1.1 does not count as printable, and the line breaks and the mark that no editor shows (next line,
# line and paragraph separator, byte order): they would shift every place after them.
_NOT_PRINTABLE = re.compile(
    "[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)


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


def _events(text: str) -> Iterator[Any]:
    """Return the events of a text, as `yaml.parse` does, without asking before each whether there is one."""
    return iter(_Loader(text).get_event, None)


class _GivenUp(Exception):
    """Reading stops: the finding tells why."""

    def __init__(self, place: Place, what: str, mend: str) -> None:
        self.finding = Finding("yaml", Signal.ERROR, place, what, mend)
        super().__init__(what)


class _Reader:
    def __init__(self, name: str) -> None:
        self.name = name
        self.start = Place(name, 1, 1)
        self.findings: list[Finding] = []
        self.nodes = 0

    def read(self, text: str | bytes) -> Source:
        try:
            root = self._tree(self._checked(text))
        except _GivenUp as reason:
            self.findings.append(reason.finding)
            root = None
        return Source(self.name, root, tuple(self.findings))

    def _say(self, code: str, place: Place, what: str, mend: str) -> None:
        self.findings.append(Finding(code, Signal.ERROR, place, what, mend))

    # -- the text ----------------------------------------------------------------------------------------

    def _checked(self, text: str | bytes) -> str:
        """Return the text, of bearable size and with nothing in it that does not print."""
        if len(text) > MAX_BYTES:
            raise _GivenUp(
                self.start,
                f"The file is larger than {MAX_BYTES:,} bytes.",
                "Split the procedure into modules.",
            )
        decoded = self._decoded(text) if isinstance(text, bytes) else text.removeprefix("\ufeff")
        odd = _NOT_PRINTABLE.search(decoded)
        if odd:
            raise _GivenUp(
                self._place_of_character(decoded, odd.start()),
                f"The character U+{ord(odd[0]):04X} does not print.",
                "Remove it.",
            )
        return decoded

    def _decoded(self, data: bytes) -> str:
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError as problem:
            good = problem.object[: problem.start].decode("utf-8")
            place = self._place_of_character(good, len(good))
            raise _GivenUp(place, "This byte is not UTF-8.", "Save the file as UTF-8.") from None

    def _place_of_character(self, text: str, position: int) -> Place:
        lines = re.split("\r\n?|\n", text[:position])
        return Place(self.name, len(lines), len(lines[-1]) + 1)

    # -- the tree ----------------------------------------------------------------------------------------

    def _tree(self, text: str) -> Mapping | None:
        try:
            root = self._document(_events(text))
        except yaml.MarkedYAMLError as problem:
            raise self._not_yaml(text, problem) from None
        except (yaml.YAMLError, ValueError, OverflowError) as problem:
            # A numbered escape such as "\UFFFFFFFF" that is no character.
            what = f"This is not YAML: {str(problem).splitlines()[0]}."
            raise _GivenUp(self.start, what, "Remove the character.") from None
        if root is None:
            raise _GivenUp(self.start, "The file is empty.", "Begin with `module: a-short-name`.")
        if isinstance(root, Mapping):
            return root
        what = "The file does not start with a list of keys."
        raise _GivenUp(root.place, what, "Begin with `module: a-short-name`.")

    def _not_yaml(self, text: str, problem: yaml.MarkedYAMLError) -> _GivenUp:
        mark, begun = problem.problem_mark or problem.context_mark, problem.context_mark
        if mark is None:
            return _GivenUp(self.start, f"This is not YAML: {problem}.", "Write it as keys and values.")
        place = Place(self.name, mark.line + 1, mark.column + 1)
        line = next(iter(text.splitlines()[mark.line : mark.line + 1]), "")
        if "\t" in line[: len(line) - len(line.lstrip())]:
            return _GivenUp(place, "This line is indented with a tab.", "Indent it with blanks.")
        since = f" (begun at line {begun.line + 1})" if begun and begun.line != mark.line else ""
        return _GivenUp(
            place,
            f"This is not YAML: {problem.problem or problem.context}{since}.",
            "Look at this line and the one above: indentation, colons, quotes and brackets.",
        )

    def _document(self, events: Iterator[Any]) -> Node | None:
        """Return the tree of the one document that a file holds."""
        root: Node | None = None
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    what = "A second document starts here."
                    raise _GivenUp(self._place(event), what, "Keep one procedure in a file.")
            elif isinstance(event, yaml.NodeEvent):
                root = self._node(event, events, 1)
        return root

    def _place(self, event: Any) -> Place:
        return Place(self.name, event.start_mark.line + 1, event.start_mark.column + 1)

    def _node(self, event: Any, events: Iterator[Any], depth: int) -> Node:
        place = self._place(event)
        self.nodes += 1
        if self.nodes > MAX_NODES:
            what = f"The file holds more than {MAX_NODES:,} values."
            raise _GivenUp(place, what, "Split the procedure into modules.")
        if depth > MAX_DEPTH:
            what = f"The file nests more than {MAX_DEPTH} levels deep."
            raise _GivenUp(place, what, "Flatten it; no key needs that depth.")
        if event.anchor is not None:
            self._say(
                "yaml",
                place,
                "Anchors and aliases (`&name`, `*name`) are not part of this language.",
                "Write the value out where it is used.",
            )
        if isinstance(event, yaml.AliasEvent):
            return Scalar("", place)
        if event.tag is not None:
            self._say(
                "yaml", place, f"The tag `{event.tag}` is not part of this language.", "Remove the tag."
            )
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event, place)
        if isinstance(event, yaml.SequenceStartEvent):
            return Sequence(tuple(self._items(events, depth)), place)
        return self._mapping(events, place, depth)

    def _scalar(self, event: Any, place: Place) -> Scalar:
        quoted = event.style not in (None, "")
        odd = _NOT_PRINTABLE.search(event.value) if quoted else None
        if odd:  # it was written as an escape
            what = f"The character U+{ord(odd[0]):04X} does not print."
            raise _GivenUp(place, what, "Remove it.")
        return Scalar(event.value, place, quoted)

    def _items(self, events: Iterator[Any], depth: int) -> Iterator[Node]:
        for event in events:
            if isinstance(event, yaml.SequenceEndEvent):
                return
            yield self._node(event, events, depth + 1)

    def _mapping(self, events: Iterator[Any], place: Place, depth: int) -> Mapping:
        entries: dict[str, Node] = {}
        places: dict[str, Place] = {}
        for event in events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            key = self._node(event, events, depth + 1)
            value = self._node(next(events), events, depth + 1)
            if not isinstance(event, yaml.ScalarEvent) or not isinstance(key, Scalar):
                self._say(
                    "yaml",
                    key.place,
                    "A key must be a word, not a list or a mapping.",
                    "Quote the key if it holds brackets.",
                )
            elif key.text in entries:
                self._say(
                    "duplicate-key",
                    key.place,
                    f"The key `{key.text}` stands a second time; the first is at line {places[key.text].line}.",
                    "Remove one of the two, or rename it.",
                )
            else:
                entries[key.text] = value
                places[key.text] = key.place
        return Mapping(entries, places, place)
