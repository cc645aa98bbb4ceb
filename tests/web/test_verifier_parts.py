"""The parts of the browser's verifier: hashes, signatures and the tree, against other libraries.

Everything is made here in Python and judged in Node, in one process for each test.
"""

from __future__ import annotations

import base64
import hashlib
import random
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from clampwright.proof.keys import PublicKey, SigningKey
from clampwright.proof.merkle import Tree, consistency_holds, inclusion_holds, leaf_hash

KEYS = [SigningKey.from_seed(bytes(range(start, start + 32))) for start in range(4)]
Case = tuple[str, Any]
Judge = Callable[[Sequence[Case]], list[Any]]


def b64(data: bytes) -> str:
    return base64.b64encode(data).decode()


# --- hashes and signatures ------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["sha256", "sha512"])
def test_hashes_agree_at_every_length_around_the_blocks(judge: Judge, name: str) -> None:
    """FIPS 180-4: its examples "abc" and two blocks (from memory), else hashlib."""
    rng = random.Random(180)
    two = b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"
    data = [b"abc", two, *(rng.randbytes(length) for length in [*range(300), 5000, 65_537])]
    said = judge([(name, b64(one)) for one in data])
    assert said == [hashlib.new(name, one).hexdigest() for one in data]
    if name == "sha256":
        assert said[0] == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        assert said[1] == "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"


RFC_8032 = (  # section 7.1, TEST 1 to 3, from memory: secret key, public key, message, signature
    ("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
     "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
     ("e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
      "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b")),
    ("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
     "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
     ("92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
      "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00")),
    ("c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
     "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
     ("6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
      "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a")),
)  # fmt: skip


def signature_case(key: bytes, message: bytes, signature: bytes) -> Case:
    given = {"key": b64(key), "message": b64(message), "signature": b64(signature)}
    return ("signature", given)


@pytest.mark.parametrize(("secret", "public", "message", "signature"), RFC_8032)
def test_published_signatures(
    judge: Judge, secret: str, public: str, message: str, signature: str
) -> None:
    """The vectors hold with another library too, so that memory did not err in them."""
    raw = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
    assert raw.public_key().public_bytes_raw().hex() == public
    assert raw.sign(bytes.fromhex(message)).hex() == signature
    parts = [bytes.fromhex(one) for one in (public, message, signature)]
    bent = bytearray(parts[2])
    bent[40] ^= 1
    given = [
        signature_case(parts[0], parts[1], parts[2]),
        signature_case(parts[0], parts[1], bytes(bent)),
    ]
    assert judge(given) == [True, False]


def test_altered_signatures_are_judged_as_another_library_does(judge: Judge) -> None:
    rng = random.Random(8032)
    order = 2**252 + 27742317777372353535851937790883648493
    cases: list[tuple[bytes, bytes, bytes]] = []
    for turn in range(60):
        key = KEYS[turn % 4]
        message = rng.randbytes(turn)
        parts = [bytearray(key.public.raw), bytearray(message), bytearray(key.sign(message))]
        if turn % 3 == 1 and (chosen := rng.choice([one for one in parts if one])):
            chosen[rng.randrange(len(chosen))] ^= 1 << rng.randrange(8)
        if turn % 3 == 2:  # S + order would be the same signature in another writing
            s = int.from_bytes(parts[2][32:], "little") + order
            parts[2][32:] = s.to_bytes(32, "little")
        cases.append((bytes(parts[0]), bytes(parts[1]), bytes(parts[2])))
    wanted = [_other_library(*one) for one in cases]
    assert judge([signature_case(*one) for one in cases]) == wanted
    assert wanted.count(True) >= 20


def _other_library(key: bytes, message: bytes, signature: bytes) -> bool:
    try:
        Ed25519PublicKey.from_public_bytes(key).verify(signature, message)
    except InvalidSignature:
        return False
    return True


def test_a_key_in_another_writing_than_the_one_of_its_point_signs_nothing(judge: Judge) -> None:
    """RFC 8032, 5.1.3: y below p, and no sign where x is 0. The neutral point signs anything."""
    p = 2**255 - 19
    signature = (1).to_bytes(32, "little") + bytes(32)
    odd = [(p + 1).to_bytes(32, "little"), (1 | 1 << 255).to_bytes(32, "little")]
    odd.append((p - 1 | 1 << 255).to_bytes(32, "little"))
    said = judge([signature_case(key, b"any", signature) for key in odd])
    assert said == [PublicKey(key).signed(signature, b"any") for key in odd] == [False] * 3


# --- the tree -------------------------------------------------------------------------------------


@pytest.mark.no_cover
def test_every_place_in_every_tree_up_to_256_entries(judge: Judge) -> None:
    rng = random.Random(9162)
    leaves = [leaf_hash(str(number).encode()) for number in range(256)]
    cases: list[Case] = []
    wanted: list[bool] = []
    for size in range(1, 257):
        tree = Tree(leaves[:size])
        for index in range(size):
            proof = tree.inclusion(index)
            for place, nodes in ((index, proof), _altered(rng, size, index, proof)):
                given = (leaves[index], place, size, nodes, tree.root())
                names = ("leaf", "index", "size", "proof", "root")
                values = (b64(leaves[index]), place, size, [b64(one) for one in nodes])
                cases.append(
                    ("inclusion", dict(zip(names, (*values, b64(tree.root())), strict=True)))
                )
                wanted.append(inclusion_holds(*given))
    assert len(cases) == 2 * 32_896
    assert wanted.count(True) == 32_896  # every real one, and no altered one
    assert judge(cases) == wanted


def _altered(
    rng: random.Random, size: int, index: int, proof: Sequence[bytes]
) -> tuple[int, list[bytes]]:
    """The same with another place, or with a node bent, dropped, added or moved."""
    nodes = list(proof)
    match rng.randrange(5) if nodes else 4:
        case 0:
            return (index + rng.randrange(1, size)) % size if size > 1 else 1, nodes
        case 1:
            nodes[rng.randrange(len(nodes))] = rng.randbytes(32)
        case 2:
            nodes.pop(rng.randrange(len(nodes)))
        case 3:
            return size + index, nodes
        case _:
            nodes.insert(rng.randrange(len(nodes) + 1), rng.randbytes(32))
    return index, nodes


def test_a_tree_carried_on_between_all_sizes_up_to_40(judge: Judge) -> None:
    rng = random.Random(2141)
    tree = Tree(leaf_hash(str(number).encode()) for number in range(40))
    roots = [tree.root(size) for size in range(41)]
    cases: list[Case] = []
    wanted: list[bool] = []
    for second in range(2, 41):
        for first in range(1, second):
            proof = tree.consistency(first, second)
            bent = [*proof[:-1], rng.randbytes(32)]
            for nodes, root in ((proof, roots[first]), (bent, roots[first]), (proof, roots[0])):
                given = {"first": first, "firstRoot": b64(root), "second": second}
                given |= {"secondRoot": b64(roots[second]), "proof": [b64(one) for one in nodes]}
                cases.append(("consistency", given))
                wanted.append(consistency_holds(first, second, nodes, root, roots[second]))
    assert judge(cases) == wanted
    assert wanted.count(True) == 780
