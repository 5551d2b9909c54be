"""Going through a whole log: is every entry the one that was hashed, and did the log only ever grow?

The payload of an entry may be missing when a later entry says that it was destroyed: that one names its number, time,
person, action and leaf hash, so that nothing that stays of it can be changed unseen. Any other missing payload is named.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from trainer.records import canonical, merkle
from trainer.records.keeping import CONFIRMED

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping


class Kept(NamedTuple):
    """An entry as the log has it; `hashes` are its leaf's and those of the subtrees it completes, lowest first.

    `destroyed`: its payload is gone, and `entry` is what `log_entry.left_of` leaves of it.
    """

    number: int
    entry: bytes
    hashes: bytes
    destroyed: bool = False


@dataclass(frozen=True)
class Trouble:
    """Something that does not fit: at which entry (0: the log as a whole), in one sentence."""

    number: int
    text: str


@dataclass
class Audit:
    """One way through a log, entry by entry, with no more in memory than the peaks of the tree.

    Each hash is held against those directly below it, as they are kept: what was changed is named where it was changed,
    and not once more in everything above. `roots` are the roots that checkpoints promise, by size. After `troubles` has
    been read to its end, `size` and `root` tell what the log came to, and `destroyed` how many entries lost their payload
    by a decision.
    """

    roots: Mapping[int, bytes]
    size: int = 0
    root: bytes = merkle.EMPTY
    destroyed: int = 0
    _gone: dict[int, tuple[bytes, bytes]] = field(default_factory=dict)

    def troubles(self, entries: Iterable[Kept]) -> Iterator[Trouble]:
        """Yield what does not fit, in the order of the log.

        Args:
            entries: all entries in the order of their numbers.
        """
        peaks: list[bytes] = []
        for number, entry, hashes, destroyed in entries:
            if number != self.size + 1:
                yield Trouble(self.size + 1, f"Entry {self.size + 1} is missing; entry {number} follows.")
                return
            below = [peaks.pop() for _ in range(merkle.completes(number))]
            leaf = hashes[: merkle.HASH_BYTES] if destroyed else merkle.leaf_hash(entry)
            if destroyed:
                self._gone[number] = entry, leaf
            elif entry.startswith(_CONFIRMATION):
                yield from self._confirmed(number, entry)
            expected = merkle.completed(leaf, below)
            if b"".join(expected) != hashes:
                kept = [
                    hashes[begin : begin + merkle.HASH_BYTES]
                    for begin in range(0, len(hashes), merkle.HASH_BYTES)
                ]
                yield from _differences(number, below, kept, expected)
                expected = kept if len(kept) == len(expected) else expected
            peaks.append(expected[-1])
            self.size = number
            promised = self.roots.get(number)
            if promised is not None and promised != merkle.root_of_peaks(peaks):
                yield Trouble(
                    number, f"The first {number} entries are not those of the checkpoint made then."
                )
        self.root = merkle.root_of_peaks(peaks)
        for number in self._gone:
            yield Trouble(
                number, f"Entry {number} has lost its content, and no later entry says that it was destroyed."
            )
        beyond = [size for size in self.roots if size > self.size]
        if beyond:
            yield Trouble(
                0, f"The log has {self.size} entries, but a checkpoint was signed over {max(beyond)}."
            )

    def _confirmed(self, number: int, entry: bytes) -> Iterator[Trouble]:
        """Hold what a confirmation says was destroyed against what is gone."""
        for told in _named_in(entry):
            gone = self._gone.pop(told["number"], None)
            if gone is None:
                what = "still has the content that entry {} says was destroyed"
            elif gone[1].hex() != told["leaf"]:
                what = "is not the one that entry {} says was destroyed"
            elif gone[0] != _left(told):
                what = "is not what entry {} says was left of it"
            else:
                self.destroyed += 1
                continue
            yield Trouble(told["number"], f"Entry {told['number']} {what.format(number)}.")


# Members stand in the order of RFC 8785, so that an entry begins with its action.
_CONFIRMATION = f'{{"action":"{CONFIRMED}",'.encode()


def _named_in(entry: bytes) -> list[dict[str, Any]]:
    try:
        told: list[dict[str, Any]] = canonical.read(entry.decode())["payload"]["entries"]
    except (UnicodeDecodeError, canonical.NotCanonical, KeyError, TypeError):
        # It is not what was hashed then, and is named for that.
        return []
    return [one for one in told if isinstance(one, dict) and {"number", "leaf"} <= set(one)]


def _left(told: dict[str, Any]) -> bytes:
    return canonical.written({name: value for name, value in told.items() if name != "leaf"}).encode()


def _differences(
    number: int, below: list[bytes], kept: list[bytes], expected: list[bytes]
) -> Iterator[Trouble]:
    if kept[:1] != expected[:1]:
        yield Trouble(number, f"Entry {number} is not what it was when it was written.")
    if len(kept) != len(expected):
        yield Trouble(number, f"Of entry {number} {len(kept)} hashes are kept, not {len(expected)}.")
        return
    for level, left in enumerate(below):
        if merkle.node_hash(left, kept[level]) != kept[level + 1]:
            yield Trouble(number, f"The hashes above entry {number} do not follow from those below.")
