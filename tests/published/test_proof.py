"""Canonical form, tree, signatures and ids against published vectors. Each names its source."""

import base64
import json

import pytest
import rfc8785

from clampwright.errors import Refused
from clampwright.proof import canonical
from clampwright.proof.keys import PublicKey, SigningKey, from_base64, public_key_from
from clampwright.proof.merkle import EMPTY_ROOT, Frontier, Tree, leaf_hash

# RFC 8785, section 3.2.2, the sample and its result (from memory).
SAMPLE = r"""
{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}
"""
SAMPLE_RESULT = (
    r'{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
    r'"string":"€$\u000f\nA' + "'" + r'B\"\\\\\"/"}'
)

# RFC 8785, section 3.2.3, the order of names by UTF-16 code units (from memory).
ORDER = {
    "\u20ac": "Euro Sign",
    "\r": "Carriage Return",
    "\ufb33": "Hebrew Letter Dalet With Dagesh",
    "1": "One",
    "\U0001f600": "Emoji: Grinning Face",
    "\u0080": "Control",
    "\u00f6": "Latin Small Letter O With Diaeresis",
}
ORDER_RESULT = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]


def test_rfc_8785_sample() -> None:
    content = json.loads(SAMPLE)
    assert rfc8785.dumps(content).decode() == SAMPLE_RESULT
    with pytest.raises(Refused, match="binary float"):
        canonical(content)  # stricter: no binary floats
    del content["numbers"]
    middle = ',"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27]'
    assert canonical(content).decode() == SAMPLE_RESULT.replace(middle, "")


def test_rfc_8785_order_of_names() -> None:
    assert list(json.loads(rfc8785.dumps(ORDER))) == ORDER_RESULT
    with pytest.raises(Refused, match="NFC"):
        canonical(ORDER)  # stricter: U+FB33 is not in form NFC
    ours = {name: text for name, text in ORDER.items() if name != "\ufb33"}
    assert list(json.loads(canonical(ours))) == ORDER_RESULT[:-1]


# Inputs and hashes that implementations of RFC 6962 share; here from the public repository
# transparency-dev/merkle, testonly/constants.go (Apache-2.0).
INPUTS = [
    bytes.fromhex(text)
    for text in (
        "",
        "00",
        "10",
        "2021",
        "3031",
        "40414243",
        "5051525354555657",
        "606162636465666768696a6b6c6d6e6f",
    )
]
LEAF_HASHES = [
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
    "0298d122906dcfc10892cb53a73992fc5b9f493ea4c9badb27b791b4127a7fe7",
    "07506a85fd9dd2f120eb694f86011e5bb4662e5c415a62917033d4a9624487e7",
    "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
    "4271a26be0d8a84f0bd54c8c302e7cb3a3b5d1fa6780a40bcce2873477dab658",
    "b08693ec2e721597130641e8211e7eedccb4c26413963eee6c1e2ed16ffb1a5f",
    "46f6ffadd3d06a09ff3c5860d2755c8b9819db7df44251788c7d8e3180de8eb1",
]
ROOTS = [
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
]
NODES = {  # (level, place): hash, same source
    (1, 1): "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
    (1, 2): "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
    (1, 3): "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
    (2, 0): "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    (2, 1): "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4",
}


def test_rfc_6962_hashes() -> None:
    assert [leaf_hash(data).hex() for data in INPUTS] == LEAF_HASHES
    assert EMPTY_ROOT.hex() == ROOTS[0]
    frontier = Frontier()
    assert frontier.root.hex() == ROOTS[0]
    for size, data in enumerate(INPUTS, 1):
        frontier = frontier.append(leaf_hash(data))
        assert frontier.root.hex() == ROOTS[size]
    tree = Tree(leaf_hash(data) for data in INPUTS)
    assert [tree.root(size).hex() for size in range(9)] == ROOTS


def test_rfc_6962_proofs() -> None:
    tree = Tree(leaf_hash(data) for data in INPUTS)

    def named(*places: tuple[int, int]) -> list[str]:
        return [LEAF_HASHES[at] if level == 0 else NODES[level, at] for level, at in places]

    # Paths read off the drawing in RFC 6962, section 2.1.3, extended to eight leaves.
    assert [node.hex() for node in tree.inclusion(0, 8)] == named((0, 1), (1, 1), (2, 1))
    assert [node.hex() for node in tree.inclusion(5, 8)] == named((0, 4), (1, 3), (2, 0))
    assert [node.hex() for node in tree.consistency(2, 8)] == named((1, 1), (2, 1))
    assert [node.hex() for node in tree.consistency(6, 8)] == named((1, 2), (1, 3), (2, 0))
    # The worked example of RFC 6962, section 2.1.3, seven leaves: for d3 it is [c, g, l] ...
    assert [node.hex() for node in tree.inclusion(3, 7)][:1] == named((0, 2))
    # ... and the proof from 3 to 7 leaves is [c, d, g, l].
    assert [node.hex() for node in tree.consistency(3, 7)][:2] == named((0, 2), (0, 3))
    assert len(tree.consistency(3, 7)) == 4


# RFC 8032, section 7.1, TEST 1 and TEST 2 (from memory).
ED25519 = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701"
            "cf9b46bd25bf5f0595bbe24655141438e7a100b"
        ),
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d"
            "0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        ),
    ),
]


@pytest.mark.parametrize(("seed", "public", "message", "signature"), ED25519)
def test_rfc_8032(seed: str, public: str, message: str, signature: str) -> None:
    key = SigningKey.from_seed(bytes.fromhex(seed))
    assert key.public.raw.hex() == public
    assert key.sign(bytes.fromhex(message)).hex() == signature
    assert key.public.signed(bytes.fromhex(signature), bytes.fromhex(message))


def test_key_id_of_a_public_log() -> None:
    # The key line of a public checksum log, as built into the go command (from memory); the id
    # between the plus signs is computed again from name and key.
    line = "sum.golang.org+033de0ae+Ac4zctda0e5eza+HJyk9SxEdh+s3Ux18htTTAD8OuAn8"
    key = public_key_from(line)
    assert key.key_id("sum.golang.org").hex() == "033de0ae"
    assert key.line("sum.golang.org") == line


def test_signed_note_of_the_go_documentation() -> None:
    # Example of package golang.org/x/mod/sumdb/note (from memory), whose form C2SP signed-note is.
    line = "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW"
    text = (
        "If you think cryptography is the answer to your problem,\n"
        "then you don't know what your problem is.\n"
    )
    signature = from_base64(
        "x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqdngotpRZb6KE6RyyBwJnAM="
    )
    key = public_key_from(line)
    assert signature is not None
    assert signature[:4] == key.key_id("PeterNeumann")
    assert key.signed(signature[4:], text.encode())


def test_fingerprint_is_plain_sha_256() -> None:
    # FIPS 180-4 has no such vector; SHA-256 of 32 zero bytes, widely published (from memory).
    digits = PublicKey(bytes(32)).fingerprint.replace(" ", "")
    assert digits == "66687aadf862bd776c8fc18b8e9f8e20089714856ee233b3902a591d0d5f2925"
    assert base64.b64encode(bytes(32)).decode() == PublicKey(bytes(32)).text
