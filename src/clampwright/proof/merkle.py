"""One hash for a whole log, and short proofs about it: the Merkle tree of RFC 9162.

The tree is that of RFC 9162, section 2.1 (the same as RFC 6962, section 2.1): SHA-256, a byte 0
before a leaf and a byte 1 before a pair of nodes, and the left branch always the largest power of
two below the size. ``Frontier`` grows a log by one entry in O(log n) memory; ``Tree`` keeps all
nodes and gives proofs; two functions check the proofs and need nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from itertools import islice

HASH_BYTES = 32
BLOCK = 4096
"""Leaves hashed at once when a log is taken in; a power of two."""

_LEAF, _NODE = sha256(b"\x00"), sha256(b"\x01")
EMPTY_ROOT = sha256(b"").digest()
"""Root of a log without entries (RFC 9162, section 2.1.1)."""


def leaf_hash(data: bytes) -> bytes:
    """Return the hash of one entry's bytes, SHA-256(0x00 || data).

    Parameters
    ----------
    data : bytes

    Returns
    -------
    bytes
        32 bytes.
    """
    return sha256(b"\x00" + data).digest()


def leaf_hashes(entries: Iterable[bytes]) -> list[bytes]:
    """Return the hashes of many entries' bytes, as `leaf_hash` of each.

    A hash that has taken in the byte before a leaf is copied for each, which costs less than to
    begin one and to put the byte before the entry.

    Parameters
    ----------
    entries : iterable of bytes

    Returns
    -------
    list of bytes

    Examples
    --------
    >>> leaf_hashes([b"first", b"second"]) == [leaf_hash(b"first"), leaf_hash(b"second")]
    True
    """
    begun, found = _LEAF.copy, list[bytes]()
    for data in entries:
        one = begun()
        one.update(data)
        found.append(one.digest())
    return found


def node_hash(left: bytes, right: bytes) -> bytes:
    """Return the hash of a pair of nodes, SHA-256(0x01 || left || right).

    Parameters
    ----------
    left, right : bytes
        32 bytes each.

    Returns
    -------
    bytes
        32 bytes.
    """
    return sha256(b"\x01" + left + right).digest()


def _bagged(peaks: Sequence[bytes]) -> bytes:
    """Join the roots of full subtrees, largest first, into the root of all."""
    if not peaks:
        return EMPTY_ROOT
    root = peaks[-1]
    for peak in reversed(peaks[:-1]):
        root = node_hash(peak, root)
    return root


@dataclass(frozen=True, slots=True)
class Frontier:
    """The right edge of a log's tree: all that is needed to add an entry and to know the root.

    Parameters
    ----------
    size : int
        Number of entries.
    peaks : tuple of bytes
        Roots of the full subtrees that make up the tree, largest first; one for each 1 in the
        binary form of `size`.

    Examples
    --------
    >>> Frontier().root == EMPTY_ROOT
    True
    >>> Frontier().append(leaf_hash(b"")).root == leaf_hash(b"")
    True
    """

    size: int = 0
    peaks: tuple[bytes, ...] = ()

    @classmethod
    def from_peaks(cls, size: int, data: bytes) -> Frontier:
        """Put a frontier together again from the peaks as they are kept, one after another.

        Parameters
        ----------
        size : int
        data : bytes
            32 bytes for each 1 in the binary form of `size`.

        Returns
        -------
        Frontier

        Raises
        ------
        ValueError
            When they are more or fewer.
        """
        if len(data) != HASH_BYTES * size.bit_count():
            raise ValueError("another number of peaks than the size has")
        return cls(
            size,
            tuple(data[at : at + HASH_BYTES] for at in range(0, len(data), HASH_BYTES)),
        )

    def append(self, leaf: bytes) -> Frontier:
        """Return the frontier after one more entry.

        Parameters
        ----------
        leaf : bytes
            The entry's leaf hash.

        Returns
        -------
        Frontier
        """
        return self.extend((leaf,))

    def extend(self, leaves: Iterable[bytes]) -> Frontier:
        """Return the frontier after several more entries.

        Parameters
        ----------
        leaves : iterable of bytes
            Leaf hashes in the order of the log.

        Returns
        -------
        Frontier
        """
        size, peaks = self.size, list(self.peaks)
        waiting = iter(leaves)
        while block := list(islice(waiting, BLOCK - size % BLOCK)):
            for subtree, level in _subtrees(size, block):
                node, carry = subtree, size >> level
                while carry & 1:
                    node = node_hash(peaks.pop(), node)
                    carry >>= 1
                peaks.append(node)
                size += 1 << level
        return Frontier(size, tuple(peaks))

    @property
    def root(self) -> bytes:
        """Root hash of the log, 32 bytes."""
        return _bagged(self.peaks)


def _subtrees(size: int, leaves: Sequence[bytes]) -> Iterator[tuple[bytes, int]]:
    """Cut leaves that follow `size` others into the largest full subtrees: roots and levels."""
    start, count = 0, len(leaves)
    while start < count:
        place = size + start
        level = (count - start).bit_length() - 1
        if place:
            level = min(level, (place & -place).bit_length() - 1)
        nodes: Sequence[bytes] = leaves[start : start + (1 << level)]
        start += 1 << level
        while len(nodes) > 1:
            nodes = _parents(nodes)
        yield nodes[0], level


def _parents(nodes: Sequence[bytes]) -> list[bytes]:
    """Return the nodes above an even number of nodes; as `leaf_hashes`, for whole logs."""
    begun, found = _NODE.copy, list[bytes]()
    for left, right in zip(nodes[::2], nodes[1::2], strict=True):
        one = begun()
        one.update(left + right)
        found.append(one.digest())
    return found


class Tree:
    """All nodes of a log's tree, so that a proof costs O(log² n) hashes at most.

    Memory is 64 bytes for each entry; a log of a million entries takes 64 MB.

    Parameters
    ----------
    leaves : iterable of bytes
        Leaf hashes in the order of the log.
    """

    def __init__(self, leaves: Iterable[bytes] = ()) -> None:
        self._levels: list[bytearray] = [bytearray()]
        self.extend(leaves)

    @property
    def size(self) -> int:
        """Number of entries."""
        return len(self._levels[0]) // HASH_BYTES

    def extend(self, leaves: Iterable[bytes]) -> None:
        """Add entries at the end.

        Parameters
        ----------
        leaves : iterable of bytes
            Leaf hashes.
        """
        self._levels[0].extend(b"".join(leaves))
        level = 0
        while len(self._levels[level]) >= 2 * HASH_BYTES:
            if level + 1 == len(self._levels):
                self._levels.append(bytearray())
            below, above = self._levels[level], self._levels[level + 1]
            for start in range(2 * len(above), len(below) - 2 * HASH_BYTES + 1, 2 * HASH_BYTES):
                above += sha256(b"\x01" + below[start : start + 2 * HASH_BYTES]).digest()
            level += 1

    def root(self, size: int | None = None) -> bytes:
        """Return the root hash of the first `size` entries (of all, if not given).

        Parameters
        ----------
        size : int, optional

        Returns
        -------
        bytes
        """
        size = self.size if size is None else size
        self._check(0, size)
        return self._range(0, size)

    def inclusion(self, index: int, size: int | None = None) -> tuple[bytes, ...]:
        """Return the proof that entry `index` is part of the first `size` entries.

        Parameters
        ----------
        index : int
            Counted from 0.
        size : int, optional
            All entries, if not given.

        Returns
        -------
        tuple of bytes
            Nodes from the leaf's sibling upwards (RFC 9162, section 2.1.3.1).
        """
        size = self.size if size is None else size
        self._check(index + 1, size)
        path: list[bytes] = []
        low, high = 0, size
        while high - low > 1:
            middle = low + _split(high - low)
            if index < middle:
                path.append(self._range(middle, high))
                high = middle
            else:
                path.append(self._range(low, middle))
                low = middle
        return tuple(reversed(path))

    def consistency(self, old: int, size: int | None = None) -> tuple[bytes, ...]:
        """Return the proof that the first `old` entries stand unchanged in the first `size`.

        Parameters
        ----------
        old : int
        size : int, optional
            All entries, if not given.

        Returns
        -------
        tuple of bytes
            Nodes after RFC 9162, section 2.1.4.1; empty when `old` is 0 or equals `size`.
        """
        size = self.size if size is None else size
        self._check(old, size)
        if old in {0, size}:
            return ()
        path: list[bytes] = []
        low, high = 0, size
        while old != high:
            middle = low + _split(high - low)
            if old <= middle:
                path.append(self._range(middle, high))
                high = middle
            else:
                path.append(self._range(low, middle))
                low = middle
        if low:
            path.append(self._range(low, high))
        return tuple(reversed(path))

    def _check(self, lower: int, size: int) -> None:
        if not 0 <= lower <= size <= self.size:
            raise IndexError(f"{lower} to {size} does not lie in a tree of {self.size} entries")

    def _range(self, low: int, high: int) -> bytes:
        """Root of the entries from `low` to `high`, where `low` is where a subtree begins."""
        peaks: list[bytes] = []
        while low < high:
            level = (high - low).bit_length() - 1
            at = (low >> level) * HASH_BYTES
            peaks.append(bytes(self._levels[level][at : at + HASH_BYTES]))
            low += 1 << level
        return _bagged(peaks)


def _split(count: int) -> int:
    """Largest power of two below a count of at least two."""
    return 1 << ((count - 1).bit_length() - 1)


def inclusion_holds(
    leaf: bytes, index: int, size: int, proof: Sequence[bytes], root: bytes
) -> bool:
    """Say whether a proof shows that a leaf is entry `index` of the log with this root.

    Parameters
    ----------
    leaf : bytes
        Leaf hash of the entry.
    index, size : int
        Place of the entry, counted from 0, and number of entries under the root.
    proof : sequence of bytes
    root : bytes

    Returns
    -------
    bool
        After RFC 9162, section 2.1.3.2.
    """
    if not 0 <= index < size:
        return False
    position, last, node = index, size - 1, leaf
    for sibling in proof:
        if last == 0:
            return False
        if position & 1 or position == last:
            node = node_hash(sibling, node)
            while position and not position & 1:
                position >>= 1
                last >>= 1
        else:
            node = node_hash(node, sibling)
        position >>= 1
        last >>= 1
    return last == 0 and node == root


def consistency_holds(
    old: int, size: int, proof: Sequence[bytes], old_root: bytes, root: bytes
) -> bool:
    """Say whether a proof shows that a log grew from one root to another without a change.

    Parameters
    ----------
    old, size : int
        Number of entries before and after.
    proof : sequence of bytes
    old_root, root : bytes

    Returns
    -------
    bool
        After RFC 9162, section 2.1.4.2; every log has grown from the empty one.
    """
    if not 0 <= old <= size:
        return False
    if old in {0, size}:
        return not proof and old_root == (EMPTY_ROOT if old == 0 else root)
    # A power of two is itself a node of the new tree: the proof leaves it out.
    nodes = [old_root, *proof] if old & (old - 1) == 0 else list(proof)
    if not nodes:
        return False
    position, last = old - 1, size - 1
    while position & 1:
        position >>= 1
        last >>= 1
    before = after = nodes[0]
    for node in nodes[1:]:
        if last == 0:
            return False
        if position & 1 or position == last:
            before, after = node_hash(node, before), node_hash(node, after)
            while position and not position & 1:
                position >>= 1
                last >>= 1
        else:
            after = node_hash(after, node)
        position >>= 1
        last >>= 1
    return last == 0 and before == old_root and after == root
