"""The Merkle tree of a log: its root, proofs that an entry is in it and that it has only grown, and their checks.

Hashes are SHA-256, 32 bytes. A leaf is SHA-256(0x00 + entry), a node SHA-256(0x01 + left + right), the tree of no entry
SHA-256 of nothing; a tree of n leaves splits at the largest power of two below n, nothing is padded or doubled. Nodes of
a complete subtree of 2**level leaves have the address (level, position); only those never change as the log grows, so
only those are ever kept.

Source: RFC 6962, sections 2.1, 2.1.1, 2.1.2; the checks follow RFC 9162, sections 2.1.3.2 and 2.1.4.2.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

Address = tuple[int, int]

EMPTY = hashlib.sha256(b"").digest()
HASH_BYTES = 32


class ProofImpossible(TrainerError):
    """A proof is asked for that the tree cannot give."""


def leaf_hash(entry: bytes) -> bytes:
    """Return the hash of an entry."""
    return hashlib.sha256(b"\x00" + entry).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Return the hash of the node above two others."""
    return hashlib.sha256(b"\x01" + left + right).digest()


def completed_by(address: Address) -> int:
    """Return the place of the leaf, from 0, that completes the subtree at an address."""
    level, position = address
    return (position + 1 << level) - 1


def completes(number: int) -> int:
    """Return how many subtrees of two leaves and more the leaf of a number, from 1, completes."""
    return (number & -number).bit_length() - 1


def siblings_of_new(index: int) -> tuple[Address, ...]:
    """Return the kept nodes to which a new leaf at an index (from 0) is joined, lowest first; none for an even one."""
    return tuple((level, (index >> level) - 1) for level in range(completes(index + 1)))


def completed(leaf: bytes, siblings: Iterable[bytes]) -> list[bytes]:
    """Return a new leaf's hash and those of the subtrees it completes, at levels 0, 1, 2 and so on.

    Args:
        leaf: its hash.
        siblings: the hashes at `siblings_of_new` of its index.
    """
    found, node = [leaf], leaf
    for left in siblings:
        node = node_hash(left, node)
        found.append(node)
    return found


def peaks(size: int) -> tuple[Address, ...]:
    """Return the addresses of the complete subtrees that a tree of so many leaves is made of, largest first."""
    found, begin = [], 0
    for level in range(size.bit_length() - 1, -1, -1):
        if size >> level & 1:
            found.append((level, begin >> level))
            begin += 1 << level
    return tuple(found)


def root_of_peaks(hashes: Sequence[bytes]) -> bytes:
    """Return the root of a tree from the hashes at its `peaks`."""
    if not hashes:
        return EMPTY
    node = hashes[-1]
    for left in reversed(hashes[:-1]):
        node = node_hash(left, node)
    return node


class Roots:
    """The root of a growing tree, with no more in memory than its peaks."""

    def __init__(self) -> None:
        self.size = 0
        self._peaks: list[bytes] = []

    def add(self, leaf: bytes) -> list[bytes]:
        """Take in the hash of the next leaf; return it and the hashes of the subtrees it completes, lowest first."""
        self.size += 1
        hashes = completed(leaf, [self._peaks.pop() for _ in range(completes(self.size))])
        self._peaks.append(hashes[-1])
        return hashes

    def root(self) -> bytes:
        """Return the root of the tree so far."""
        return root_of_peaks(self._peaks)


def root(leaves: Sequence[bytes]) -> bytes:
    """Return the root of the tree over the hashes of its leaves."""
    tree = Roots()
    for leaf in leaves:
        tree.add(leaf)
    return tree.root()


def inclusion_path(index: int, size: int, node: Callable[[Address], bytes]) -> tuple[bytes, ...]:
    """Return the proof that the leaf at an index (from 0) is in the tree of so many leaves, lowest hash first.

    Args:
        index: place of the leaf.
        size: leaves of the tree.
        node: gives the hash of a complete subtree by its address.

    Raises:
        ProofImpossible: the tree has no such leaf.
    """
    if not 0 <= index < size:
        raise ProofImpossible(f"There is no entry {index + 1} in a log of {size}.")
    return tuple(_hash_of(begin, end, node) for begin, end in _beside(index, size))


def _beside(index: int, size: int) -> list[tuple[int, int]]:
    """Return the ranges of leaves whose roots lead from a leaf to the root, lowest first."""
    begin, end, found = 0, size, []
    while end - begin > 1:
        middle = begin + _split(end - begin)
        if index < middle:
            found.append((middle, end))
            end = middle
        else:
            found.append((begin, middle))
            begin = middle
    return found[::-1]


def consistency_path(old: int, new: int, node: Callable[[Address], bytes]) -> tuple[bytes, ...]:
    """Return the proof that a tree of `new` leaves begins with the tree of `old` leaves.

    Raises:
        ProofImpossible: `old` is 0 (everything begins with nothing, so there is nothing to prove) or above `new`.
    """
    if not 0 < old <= new:
        raise ProofImpossible(f"No log of {new} entries can be proven to begin with one of {old}.")
    begin, end, found = 0, new, []
    # The part of the old tree that is whole in the new one needs no hash when it is all of the old tree.
    while end != old:
        middle = begin + _split(end - begin)
        if old <= middle:
            found.append((middle, end))
            end = middle
        else:
            found.append((begin, middle))
            begin = middle
    if begin:
        found.append((begin, end))
    return tuple(_hash_of(first, last, node) for first, last in reversed(found))


def _split(count: int) -> int:
    return 1 << (count - 1).bit_length() - 1


def _hash_of(begin: int, end: int, node: Callable[[Address], bytes]) -> bytes:
    """Return the root over a range of leaves that begins where a complete subtree of its size may begin."""
    hashes = []
    for level, position in peaks(end - begin):
        hashes.append(node((level, (begin >> level) + position)))
    return root_of_peaks(hashes)


def is_included(index: int, size: int, leaf: bytes, proof: Sequence[bytes], root: bytes) -> bool:
    """Tell whether a proof shows a leaf at an index (from 0) in the tree of so many leaves with this root.

    A proof with hashes too many, too few or of another length shows nothing, nor does an index outside the tree.
    """
    if not 0 <= index < size or not _are_hashes(leaf, root, *proof):
        return False
    place, last, node = index, size - 1, leaf
    for sibling in proof:
        if last == 0:
            return False
        if place & 1 or place == last:
            node = node_hash(sibling, node)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            node = node_hash(node, sibling)
        place, last = place >> 1, last >> 1
    return last == 0 and node == root


def has_grown(old: int, new: int, old_root: bytes, new_root: bytes, proof: Sequence[bytes]) -> bool:
    """Tell whether a proof shows that the tree of `new` leaves begins with the tree of `old` leaves.

    From a tree of no leaf nothing is shown, whatever the proof.
    """
    if not 0 < old <= new or not _are_hashes(old_root, new_root, *proof):
        return False
    if old == new:
        return not proof and old_root == new_root
    path = list(proof)
    if old & (old - 1) == 0:
        path.insert(0, old_root)
    if not path:
        return False
    place, last = old - 1, new - 1
    while place & 1:
        place, last = place >> 1, last >> 1
    before = after = path[0]
    for sibling in path[1:]:
        if last == 0:
            return False
        if place & 1 or place == last:
            before, after = node_hash(sibling, before), node_hash(sibling, after)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            after = node_hash(after, sibling)
        place, last = place >> 1, last >> 1
    return last == 0 and before == old_root and after == new_root


def _are_hashes(*values: bytes) -> bool:
    return all(len(value) == HASH_BYTES for value in values)
