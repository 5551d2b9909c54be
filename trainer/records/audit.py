"""Going through a whole log: is every entry the one that was hashed, and did the log only ever grow?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from trainer.records import merkle

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping


class Kept(NamedTuple):
    """An entry as the log has it; `hashes` are its leaf's and those of the subtrees it completes, lowest first."""

    number: int
    entry: bytes
    hashes: bytes


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
    been read to its end, `size` and `root` tell what the log came to.
    """

    roots: Mapping[int, bytes]
    size: int = 0
    root: bytes = merkle.EMPTY

    def troubles(self, entries: Iterable[Kept]) -> Iterator[Trouble]:
        """Yield what does not fit, in the order of the log.

        Args:
            entries: all entries in the order of their numbers.
        """
        peaks: list[bytes] = []
        for number, entry, hashes in entries:
            if number != self.size + 1:
                yield Trouble(self.size + 1, f"Entry {self.size + 1} is missing; entry {number} follows.")
                return
            below = [peaks.pop() for _ in range(merkle.completes(number))]
            expected = merkle.completed(merkle.leaf_hash(entry), below)
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
        beyond = [size for size in self.roots if size > self.size]
        if beyond:
            yield Trouble(
                0, f"The log has {self.size} entries, but a checkpoint was signed over {max(beyond)}."
            )


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
