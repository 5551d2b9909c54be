"""The tree against published roots, proofs and broken proofs, and against its own definition for every size to 70."""

from __future__ import annotations

import hashlib

import pytest

from tests.records.published import Published, values
from trainer.records import merkle


def _hashes(leaves_hex: list[str]) -> list[bytes]:
    return [merkle.leaf_hash(bytes.fromhex(leaf)) for leaf in leaves_hex]


def _mth(leaves: list[bytes]) -> bytes:
    """Return the root as RFC 6962, section 2.1, defines it, word for word."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return leaves[0]
    k = 1
    while k * 2 < len(leaves):
        k *= 2
    return hashlib.sha256(b"\x01" + _mth(leaves[:k]) + _mth(leaves[k:])).digest()


class Kept:
    """The nodes of complete subtrees, kept as a log keeps them."""

    def __init__(self, leaves: list[bytes]) -> None:
        self.nodes: dict[merkle.Address, bytes] = {}
        for index, leaf in enumerate(leaves):
            siblings = [self.nodes[address] for address in merkle.siblings_of_new(index)]
            for level, node in enumerate(merkle.completed(leaf, siblings)):
                address = level, index >> level
                assert merkle.completed_by(address) == index
                self.nodes[address] = node

    def __call__(self, address: merkle.Address) -> bytes:
        return self.nodes[address]


LEAVES = [merkle.leaf_hash(f"entry {number}".encode()) for number in range(70)]


@pytest.mark.parametrize("value", values("merkle_root"), ids=lambda v: v.id)
def test_published_roots(value: Published) -> None:
    leaves = _hashes(value.given["leaves_hex"])
    assert merkle.root(leaves).hex() == value.expected
    kept = Kept(leaves)
    assert merkle.root_of_peaks([kept(a) for a in merkle.peaks(len(leaves))]).hex() == value.expected


def test_published_hashes_of_leaf_and_node() -> None:
    for value in values("merkle_leaf_hash"):
        assert merkle.leaf_hash(bytes.fromhex(value.given["data_hex"])).hex() == value.expected
    for value in values("merkle_node_hash"):
        left, right = (bytes.fromhex(value.given[side]) for side in ("left_hex", "right_hex"))
        assert merkle.node_hash(left, right).hex() == value.expected


@pytest.mark.parametrize("value", values("inclusion_verify"), ids=lambda v: v.id)
def test_published_inclusion_proofs_and_broken_ones(value: Published) -> None:
    given = value.given
    leaf, root = bytes.fromhex(given["leaf_hash"]), bytes.fromhex(given["root"])
    proof = [bytes.fromhex(node) for node in given["proof"]]
    assert merkle.is_included(given["index"], given["size"], leaf, proof, root) is value.expected


@pytest.mark.parametrize("value", values("consistency_verify"), ids=lambda v: v.id)
def test_published_consistency_proofs_and_broken_ones(value: Published) -> None:
    given = value.given
    old, new = bytes.fromhex(given["root1"]), bytes.fromhex(given["root2"])
    proof = [bytes.fromhex(node) for node in given["proof"]]
    assert merkle.has_grown(given["size1"], given["size2"], old, new, proof) is value.expected


@pytest.mark.parametrize("value", values("inclusion_path"), ids=lambda v: v.id)
def test_published_inclusion_paths(value: Published) -> None:
    leaves = _hashes(value.given["leaves_hex"])
    path = merkle.inclusion_path(value.given["index"], len(leaves), Kept(leaves))
    assert [node.hex() for node in path] == value.expected


@pytest.mark.parametrize("value", values("consistency_path"), ids=lambda v: v.id)
def test_published_consistency_paths(value: Published) -> None:
    leaves = _hashes(value.given["leaves_hex"])
    path = merkle.consistency_path(value.given["size1"], len(leaves), Kept(leaves))
    assert [node.hex() for node in path] == value.expected


def test_the_root_is_that_of_the_definition_for_every_size() -> None:
    kept = Kept(LEAVES)
    for size in range(len(LEAVES) + 1):
        expected = _mth(LEAVES[:size])
        assert merkle.root(LEAVES[:size]) == expected
        assert merkle.root_of_peaks([kept(address) for address in merkle.peaks(size)]) == expected


def test_every_entry_of_every_size_is_shown_and_no_other_one() -> None:
    kept = Kept(LEAVES)
    for size in range(1, 40):
        root = _mth(LEAVES[:size])
        for index in range(size):
            path = merkle.inclusion_path(index, size, kept)
            assert merkle.is_included(index, size, LEAVES[index], path, root)
            assert not merkle.is_included(index, size, LEAVES[(index + 1) % 70], path, root)
            assert not merkle.is_included(index, size, LEAVES[index], [*path, root], root)
            assert not path or not merkle.is_included(index, size, LEAVES[index], path[:-1], root)


def test_every_log_is_shown_to_have_grown_from_each_of_its_beginnings_and_from_no_other() -> None:
    kept = Kept(LEAVES)
    for new in range(1, 40):
        for old in range(1, new + 1):
            path = merkle.consistency_path(old, new, kept)
            before, after = _mth(LEAVES[:old]), _mth(LEAVES[:new])
            assert merkle.has_grown(old, new, before, after, path)
            assert not merkle.has_grown(old, new, after if old < new else LEAVES[69], after, path)
            assert not merkle.has_grown(old, new, before, before if old < new else LEAVES[69], path)
            assert not merkle.has_grown(old, new, before, after, [*path, before])


def test_what_cannot_be_proven_is_said() -> None:
    kept = Kept(LEAVES)
    with pytest.raises(merkle.ProofImpossible, match="no entry 71 in a log of 70"):
        merkle.inclusion_path(70, 70, kept)
    with pytest.raises(merkle.ProofImpossible, match="begin with one of 0"):
        merkle.consistency_path(0, 70, kept)
    with pytest.raises(merkle.ProofImpossible, match="begin with one of 71"):
        merkle.consistency_path(71, 70, kept)
    assert not merkle.has_grown(0, 0, merkle.EMPTY, merkle.EMPTY, [])


def test_a_hash_of_another_length_shows_nothing() -> None:
    root = _mth(LEAVES[:2])
    assert not merkle.is_included(0, 2, LEAVES[0], [LEAVES[1][:31]], root)
    assert not merkle.is_included(0, 1, b"short", [], b"short")
