"""The tree against a slow second version, written from the definitions in RFC 9162."""

from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.proof.merkle import (
    BLOCK,
    EMPTY_ROOT,
    Frontier,
    Tree,
    consistency_holds,
    inclusion_holds,
    leaf_hash,
    leaf_hashes,
    node_hash,
)

LEAVES = [leaf_hash(f"entry {number}".encode()) for number in range(130)]
ROOTS = [Tree(LEAVES[:size]).root() for size in range(129)]


def split(count: int) -> int:
    power = 1
    while power * 2 < count:
        power *= 2
    return power


def slow_root(leaves: list[bytes]) -> bytes:
    """MTH of RFC 9162, 2.1.1, by its recursive definition."""
    if not leaves:
        return sha256(b"").digest()
    if len(leaves) == 1:
        return leaves[0]
    k = split(len(leaves))
    return sha256(b"\x01" + slow_root(leaves[:k]) + slow_root(leaves[k:])).digest()


def slow_path(m: int, leaves: list[bytes]) -> list[bytes]:
    """PATH of RFC 9162, 2.1.3.1, by its recursive definition."""
    if len(leaves) == 1:
        return []
    k = split(len(leaves))
    if m < k:
        return [*slow_path(m, leaves[:k]), slow_root(leaves[k:])]
    return [*slow_path(m - k, leaves[k:]), slow_root(leaves[:k])]


def slow_proof(m: int, leaves: list[bytes], *, whole: bool = True) -> list[bytes]:
    """PROOF and SUBPROOF of RFC 9162, 2.1.4.1, by their recursive definition."""
    if m == len(leaves):
        return [] if whole else [slow_root(leaves)]
    k = split(len(leaves))
    if m <= k:
        return [*slow_proof(m, leaves[:k], whole=whole), slow_root(leaves[k:])]
    return [*slow_proof(m - k, leaves[k:], whole=False), slow_root(leaves[:k])]


def slow_climb(leaf: bytes, m: int, count: int, path: list[bytes]) -> bytes:
    """Root that a path leads to, by the recursion of PATH read backwards."""
    if count == 1:
        assert not path
        return leaf
    k = split(count)
    if m < k:
        return sha256(b"\x01" + slow_climb(leaf, m, k, path[:-1]) + path[-1]).digest()
    return sha256(b"\x01" + path[-1] + slow_climb(leaf, m - k, count - k, path[:-1])).digest()


@pytest.mark.parametrize("size", range(129))
def test_roots_and_frontiers(size: int) -> None:
    assert ROOTS[size] == slow_root(LEAVES[:size])
    grown = Frontier()
    for leaf in LEAVES[:size]:
        grown = grown.append(leaf)
    assert grown == Frontier().extend(LEAVES[:size])
    assert (grown.size, grown.root) == (size, ROOTS[size])
    assert len(grown.peaks) == size.bit_count()


@pytest.mark.parametrize("size", range(1, 129))
def test_inclusion_at_every_place(size: int) -> None:
    leaves = LEAVES[:size]
    tree = Tree(LEAVES)  # a proof about an earlier size of a longer log
    for index in range(size):
        path = tree.inclusion(index, size)
        assert list(path) == slow_path(index, leaves)
        assert slow_climb(leaves[index], index, size, list(path)) == ROOTS[size]
        assert inclusion_holds(leaves[index], index, size, path, ROOTS[size])
        assert not inclusion_holds(LEAVES[size], index, size, path, ROOTS[size])
        assert not inclusion_holds(leaves[index], index, size, path, ROOTS[size - 1])
        assert not inclusion_holds(leaves[index], index, size, (*path, LEAVES[0]), ROOTS[size])
        if path:
            assert not inclusion_holds(leaves[index], index, size, path[:-1], ROOTS[size])


@pytest.mark.parametrize("size", range(65))
def test_consistency_of_every_pair(size: int) -> None:
    tree = Tree(LEAVES)
    for old in range(size + 1):
        proof = tree.consistency(old, size)
        assert list(proof) == ([] if old == 0 else slow_proof(old, LEAVES[:size]))
        assert consistency_holds(old, size, proof, ROOTS[old], ROOTS[size])
        assert not consistency_holds(old, size, (*proof, LEAVES[0]), ROOTS[old], ROOTS[size])
        assert not consistency_holds(old, size, proof, LEAVES[100], ROOTS[size])
        if 0 < old < size:
            assert not consistency_holds(old, size, proof, ROOTS[old], LEAVES[100])
            assert not consistency_holds(old, size, proof[:-1], ROOTS[old], ROOTS[size])
            assert not consistency_holds(old, size, proof, ROOTS[old - 1], ROOTS[size])


def test_a_leaf_and_a_node_are_hashed_behind_their_own_byte() -> None:
    # RFC 9162, section 2.1.1: HASH(0x00 || entry) and HASH(0x01 || left || right).
    for data in (b"", b"entry"):
        assert leaf_hash(data) == sha256(b"\0" + data).digest()
    assert leaf_hashes(iter([b"", b"entry"])) == [leaf_hash(b""), leaf_hash(b"entry")]
    assert node_hash(b"a" * 32, b"b" * 32) == sha256(b"\1" + b"a" * 32 + b"b" * 32).digest()


@pytest.mark.parametrize("step", [1, 3, 7, 64, 130])
def test_a_frontier_grows_in_any_steps(step: int) -> None:
    grown = Frontier()
    for start in range(0, 128, step):
        grown = grown.extend(iter(LEAVES[start : min(start + step, 128)]))
        assert (grown.size, grown.root) == (min(start + step, 128), ROOTS[grown.size])
        assert len(grown.peaks) == grown.size.bit_count()
    assert grown.extend([]) == grown


def test_a_frontier_of_more_leaves_than_are_hashed_at_once() -> None:
    leaves = leaf_hashes(number.to_bytes(2, "big") for number in range(2 * BLOCK + 3))
    at_once = Frontier().extend(leaves)
    assert (at_once.size, at_once.root) == (len(leaves), Tree(leaves).root())
    assert Frontier().extend(leaves[:5]).extend(leaves[5:]) == at_once


@pytest.mark.parametrize("size", [0, 1, 6, 127])
def test_a_frontier_is_put_together_from_its_peaks(size: int) -> None:
    grown = Frontier().extend(LEAVES[:size])
    data = b"".join(grown.peaks)
    again = Frontier.from_peaks(size, data)
    assert again == grown
    assert again.append(LEAVES[size]).root == ROOTS[size + 1]
    for wrong in (data + bytes(32), data[:-1], data + b"x"):
        if wrong != data:
            with pytest.raises(ValueError, match="another number of peaks"):
                Frontier.from_peaks(size, wrong)


def test_leaves_cannot_be_taken_for_nodes() -> None:
    pair = LEAVES[0] + LEAVES[1]
    assert leaf_hash(pair) != Tree(LEAVES[:2]).root()


@given(st.integers(2, 100), st.data())
def test_a_changed_node_is_found(size: int, data: st.DataObject) -> None:
    index = data.draw(st.integers(0, size - 1))
    path = list(Tree(LEAVES).inclusion(index, size))
    at, byte, flip = (
        data.draw(st.integers(0, len(path) - 1)),
        data.draw(st.integers(0, 31)),
        data.draw(st.integers(1, 255)),
    )
    changed = bytearray(path[at])
    changed[byte] ^= flip
    path[at] = bytes(changed)
    assert not inclusion_holds(LEAVES[index], index, size, path, ROOTS[size])


@given(st.integers(1, 128), st.integers(-3, 140), st.data())
def test_a_leaf_fits_its_own_place_only(size: int, place: int, data: st.DataObject) -> None:
    index = data.draw(st.integers(0, size - 1))
    path = Tree(LEAVES).inclusion(index, size)
    holds = inclusion_holds(LEAVES[index], place, size, path, ROOTS[size])
    assert holds == (place == index)


@given(st.lists(st.integers(0, 30), max_size=8))
def test_a_tree_grows_in_any_steps(steps: list[int]) -> None:
    tree, done = Tree(), 0
    for step in steps:
        tree.extend(LEAVES[done : done + step])
        done = min(done + step, len(LEAVES))
        assert tree.size == done
        assert tree.root() == slow_root(LEAVES[:done])


def test_outside_the_tree_there_is_no_proof() -> None:
    tree = Tree(LEAVES[:5])
    for call in (
        lambda: tree.inclusion(5),
        lambda: tree.inclusion(-2),
        lambda: tree.inclusion(0, 6),
        lambda: tree.consistency(6),
        lambda: tree.root(6),
    ):
        with pytest.raises(IndexError, match="does not lie in a tree of 5 entries"):
            call()
    assert not inclusion_holds(LEAVES[0], 0, 0, (), EMPTY_ROOT)
    assert not inclusion_holds(LEAVES[0], -1, 1, (), LEAVES[0])
    assert not consistency_holds(3, 2, (), ROOTS[3], ROOTS[2])
    assert not consistency_holds(3, 5, (), ROOTS[3], ROOTS[5])
