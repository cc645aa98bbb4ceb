"""The browser's verifier of records agrees with the program's, on whole and on forged records.

It was written from docs/reference/record-format.md alone. Everything is made up here in Python and
judged in Node, in one process for each test. All content is invented.
"""

from __future__ import annotations

import base64
import copy
import hashlib
import json
import random
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pytest
from starlette.testclient import TestClient

from clampwright.proof.anchors import read_anchor
from clampwright.proof.checkpoint import Head
from clampwright.proof.entry import LOG_OPENED, RECORD_MADE
from clampwright.proof.ids import uuid7
from clampwright.proof.keychain import KEY_CHANGED, Reason, compose_change
from clampwright.proof.keys import PublicKey, SigningKey
from clampwright.proof.merkle import Tree, leaf_hash
from clampwright.proof.strictjson import canonical
from clampwright.proof.verification import verify
from clampwright.proof.witness import request_text

KEYS = [SigningKey.from_seed(bytes(range(start, start + 32))) for start in range(4)]
ORIGIN = "invented-yard.00000001"
FORGERIES = 1000
Record = dict[str, Any]
Case = tuple[str, Any]
Judge = Callable[[Sequence[Case]], list[Any]]


def b64(data: bytes) -> str:
    return base64.b64encode(data).decode()


def entry(kind: str, body: Record, seq: int | None = None, number: int = 0) -> Record:
    return {
        "version": 1, "id": str(uuid7()), "kind": kind, "body": body,
        "job": None if seq is None else "wheel", "job_seq": seq,
        "device": {"id": "bench", "time": f"2026-01-31T14:05:{number:02}+01:00"},
        "recorded": f"2026-01-31T13:05:{number:02}.25Z",
    }  # fmt: skip


def with_key_changes() -> Record:
    """A record of a whole log whose key was changed as planned, and replaced after a loss."""
    first = entry(LOG_OPENED, {"origin": ORIGIN, "public_key": KEYS[1].public.text})
    entries = [first, entry("tool_added", {"title": "beam wrench"}, number=1)]
    changes: tuple[tuple[SigningKey | PublicKey, SigningKey, Reason], ...] = (
        (KEYS[1], KEYS[2], "planned"), (KEYS[2].public, KEYS[0], "lost"),
    )  # fmt: skip
    for seq in range(5):
        entries.append(entry("pull", {"fastener": seq + 1, "read": "80 später"}, seq, seq + 2))
        if seq in {1, 3}:
            tree = Tree(leaf_hash(canonical(one)) for one in entries)
            old, new, reason = changes[seq // 2]
            body = compose_change(Head(ORIGIN, tree.size, tree.root()), old, new, reason)
            entries.append(entry(KEY_CHANGED, body, number=seq + 20))
    also = [one["id"] for one in entries[1:] if one["job"] is None]
    entries.append(entry(RECORD_MADE, {"also": also, "entries": 5}, 5, 50))
    return sealed(entries, ORIGIN, "wheel")


def sealed(entries: Sequence[Any], origin: str, job: str) -> Record:
    """A record over entries as they are, with true proofs and a true signature."""
    tree = Tree(leaf_hash(canonical(one)) for one in entries)
    head = Head(origin, tree.size, tree.root())
    rows = [
        {"index": index, "entry": one, "proof": [b64(node) for node in tree.inclusion(index)]}
        for index, one in enumerate(entries)
    ]
    return {
        "format": "clampwright-record", "version": 1, "origin": origin, "job": job,
        "key": KEYS[0].public.text, "checkpoint": head.sign(KEYS[0]), "entries": rows,
    }  # fmt: skip


@pytest.fixture
def real(opened: TestClient, wheel: Any) -> bytes:
    """A record of the program's own."""
    for stage in (1, 2):
        wheel.settle(opened, stage)
    answer = opened.get(f"/jobs/{wheel.job}/record.json")
    assert answer.status_code == 200
    return answer.content


ODD: tuple[Any, ...] = (
    None, True, False, 0, 1, -1, 2, 2**53 - 1, "", "x", "wheel", "0", [], {}, [None], {"a": 1},
    "2026-02-29T14:05:00Z", "2026-02-28T24:00:00Z", "2026-02-28T23:59:60Z", "0000-01-01T00:00:00Z",
    "2026-02-28t14:05:00z", "2026-02-28T14:05:00+24:00", "2026-02-28T14:05:00.1234567890Z",
    "2026-02-28T14:05:00.123456789Z", "2026-02-28T14:05:00-00:00", "2026-13-01T00:00:00Z",
    "2024-02-29T23:59:59Z", "2100-02-29T00:00:00Z", "x" * 64, "x" * 65, "x" * 200, "x" * 201,
    "🔧" * 200, "🔧" * 201, "a b", "a\u00a0b", "a\u200bb", "a\nb", "a+b", "\u0000", "_a", "a_1",
    "A", "é", "017f22e2-79b0-7cc3-98c4-dc0c0c07398f", "017F22E2-79B0-7CC3-98C4-DC0C0C07398F",
    "017f22e2-79b0-4cc3-98c4-dc0c0c07398f", "017f22e2-79b0-7cc3-18c4-dc0c0c07398f", "key_changed",
    "record_made", "log_opened", "planned", "lost", "stolen", b64(bytes(32)), b64(bytes(64)),
    b64(bytes(31)), "=" * 44, "A" * 43 + "=", "A" * 42 + "B=",
)  # fmt: skip


def places(content: Any) -> Iterator[tuple[Any, Any]]:
    """Every place in a content: what holds it, and its name or number there."""
    pairs = content.items() if isinstance(content, dict) else enumerate(content)
    for name, value in list(pairs):
        yield content, name
        if isinstance(value, dict | list):
            yield from places(value)


def bend(rng: random.Random, content: Any) -> None:
    """Change one thing somewhere: a value, a member, an order, a sign of a text."""
    holder, name = rng.choice(list(places(content)))
    value = holder[name]
    match rng.randrange(6):
        case 0 if isinstance(holder, dict):
            del holder[name]
        case 1 if isinstance(holder, dict):
            holder["further"] = rng.choice(ODD)
        case 2 if isinstance(holder, list):
            other = rng.randrange(len(holder))
            holder[name], holder[other] = holder[other], holder[name]
        case 3 if isinstance(holder, list):
            holder.insert(rng.randrange(len(holder) + 1), copy.deepcopy(value))
        case 4 if isinstance(value, str) and value:
            at = rng.randrange(len(value))
            holder[name] = value[:at] + rng.choice("Aa0+=\n —") + value[at + 1 :]
        case _:
            holder[name] = copy.deepcopy(rng.choice(ODD))


def in_the_open(rng: random.Random, content: Record) -> bytes:
    """A file changed after it was signed; saved as another program may save it."""
    bend(rng, content)
    return canonical(content) if rng.random() < 0.5 else json.dumps(content, indent=1).encode()


def with_the_key(rng: random.Random, content: Record) -> bytes:
    """Entries changed and then sealed anew: only the rules themselves can find that."""
    entries = [row["entry"] for row in content["entries"]]
    target = rng.choice([*entries, entries, entries[-1], entries[0]["body"], entries[-1]["body"]])
    changes = [one for one in entries if one["kind"] == KEY_CHANGED]
    if changes and rng.random() < 0.5:
        target = rng.choice(changes)["body"]
    bend(rng, target)
    return canonical(sealed(entries, content["origin"], content["job"]))


def in_its_bytes(rng: random.Random, content: Record) -> bytes:
    """A file damaged: a byte bent, dropped or doubled, a name twice, a number written oddly."""
    data = bytearray(canonical(content))
    at = rng.randrange(len(data))
    match rng.randrange(5):
        case 0:
            data[at] ^= 1 << rng.randrange(8)
        case 1:
            del data[at]
        case 2:
            data.insert(at, data[at])
        case 3:
            return bytes(data).replace(b'"version":1', rng.choice(ODD_VERSIONS))
        case _:
            return bytes(data) + rng.choice([b"", b" ", b"\n", b"x", b"\x00", b"{}"])
    return bytes(data)


ODD_VERSIONS = (
    b'"version":1,"version":1', b'"version":1.0', b'"version":1e0', b'"version":01',
    b'"version":+1', b'"version" : 1 ', b'"version":NaN', b'"version":-1', b'"v\\u0065rsion":1',
)  # fmt: skip
WAYS: tuple[Callable[[random.Random, Record], bytes], ...] = (
    in_the_open, with_the_key, with_the_key, in_its_bytes,
)  # fmt: skip


def resealed(data: bytes) -> Record:
    """A real record as if its rows were the whole log and the key at hand."""
    content = json.loads(data)
    entries = [row["entry"] for row in content["entries"]]
    entries[0]["body"]["public_key"] = KEYS[0].public.text
    return sealed(entries, content["origin"], content["job"])


def same_verdicts(judge: Judge, files: Sequence[bytes]) -> list[bool]:
    """The verdicts, which the two verifiers must share."""
    said = judge([("record", b64(one)) for one in files])
    found = [verify(one) for one in files]
    differ = [
        (number, own.ok, [str(one) for one in own.findings], other)
        for number, (own, other) in enumerate(zip(found, said, strict=True))
        if own.ok is not other["whole"] or (own.ok and own.fingerprint != other["fingerprint"])
    ]
    assert differ == []
    return [own.ok for own in found]


def held_of_forgeries(judge: Judge, real: bytes, count: int) -> int:
    """Forge records in every way in turn; return how many stay whole, for both verifiers alike."""
    whole = [with_key_changes(), resealed(real)]
    assert same_verdicts(judge, [real, *map(canonical, whole)]) == [True] * 3
    files: list[bytes] = []
    for number in range(count):
        rng = random.Random(number)
        files.append(WAYS[number // 2 % len(WAYS)](rng, copy.deepcopy(whole[number % 2])))
    return same_verdicts(judge, files).count(True)


@pytest.mark.no_cover
def test_forgeries_get_the_same_verdict(judge: Judge, real: bytes) -> None:
    """Every way often enough; a thousand of them are forged in the soak."""
    held = held_of_forgeries(judge, real, FORGERIES // 4)
    assert 5 < held < 100, "some changes leave a record whole (a note), most do not"


@pytest.mark.soak
def test_a_thousand_forgeries_get_the_same_verdict(judge: Judge, real: bytes) -> None:
    held = held_of_forgeries(judge, real, FORGERIES)
    assert 20 < held < 400, "some changes leave a record whole (a note), most do not"


def short(*more: Record, count: Any = 1, seq: int = 1, note: str = "", by: int = 0) -> Record:
    """A small whole record, or one with something odd in it."""
    first = entry(LOG_OPENED, {"origin": ORIGIN, "public_key": KEYS[by].public.text})
    pull = entry("pull", {"note": note}, 0)
    also = [one["id"] for one in more if one["job"] is None]
    end = entry(RECORD_MADE, {"also": also, "entries": count}, seq)
    return sealed([first, pull, *more, end], ORIGIN, "wheel")


def test_odd_ones_that_the_page_decides(judge: Judge) -> None:
    change = compose_change(Head(ORIGIN, 2, bytes(32)), KEYS[1].public, KEYS[0], "lost")
    planned = {**change, "reason": "planned"}
    elsewhere = compose_change(Head(ORIGIN, 3, bytes(32)), KEYS[1], KEYS[0], "planned")
    deep: Any = "end"
    for _ in range(32 - 4):  # the record, its list, the row and the entry stand around the body
        deep = [deep]
    cases = {
        canonical(short()): True,
        canonical(short(count=True)): False,
        canonical(short(entry(KEY_CHANGED, change), by=1)): True,
        canonical(short(entry(KEY_CHANGED, change, 1), by=1, count=2, seq=2)): False,
        canonical(short(entry(KEY_CHANGED, planned), by=1)): False,
        canonical(short(entry(KEY_CHANGED, elsewhere), by=1)): False,
        canonical(short(by=1)): False,
        b"\xef\xbb\xbf" + canonical(short()): False,
        canonical(short(note="X")).replace(b'"X"', b'"\\ud83d"'): False,
        canonical(short(note="\U0001f527")).replace("\U0001f527".encode(), b"\\ud83d\\udd27"): True,
        canonical(short(note="é")).replace("é".encode(), b"\\u00e9"): True,
        canonical(short(note="é")).replace("é".encode(), b"e\\u0301"): False,
        canonical(short(entry("odd", {"n": 0}))).replace(b'"n":0', b'"n":-0'): True,
        canonical(short(entry("odd", {"n": 2**53 - 1}))): True,
        canonical(short(entry("odd", {"n": 0}))).replace(b'"n":0', b'"n":9007199254740992'): False,
        canonical(short(entry("odd", {"__proto__": {"constructor": "x"}}))): True,
        canonical(short(entry("odd", {"\u20ac": 1, "\r": 2, "\U0001f527": 3, "": 4}))): True,
        canonical(short(entry("odd", {"deep": deep[0]}))): True,
        canonical(short(entry("odd", {"deep": "D"}))).replace(b'"D"', canonical(deep)): False,
    }
    assert same_verdicts(judge, list(cases)) == list(cases.values())


def test_a_demanded_key_in_each_form(judge: Judge) -> None:
    data, key = canonical(short()), KEYS[0].public
    forms = [key.fingerprint, key.fingerprint.upper().replace(" ", ""), key.text, key.line(ORIGIN)]
    said = judge([("demanded", one) for one in [*forms, "my key", key.line("a")[1:], "00" * 31]])
    assert said == [key.fingerprint] * 4 + [None] * 3
    assert verify(data, key=forms[0]).ok


def test_held_against_heads_that_were_kept(judge: Judge) -> None:
    content = with_key_changes()
    leaves = [leaf_hash(canonical(row["entry"])) for row in content["entries"]]
    tree, longer = Tree(leaves), Tree([*leaves, leaf_hash(b"later")])
    own = Head(ORIGIN, tree.size, tree.root())
    young = Head(ORIGIN, longer.size, longer.root()).sign(KEYS[0])
    bridge = request_text(3, tree.consistency(3, tree.size), content["checkpoint"])
    older = Head(ORIGIN, 3, tree.root(3))
    windows = older.sign(KEYS[1]).replace("\n", "\r\n")
    onward = request_text(tree.size, longer.consistency(tree.size, longer.size), young)
    rewritten = Head(ORIGIN, 3, bytes(32)).sign(KEYS[1])
    witness = f"— witness.example {b64(bytes(76))}\n"
    cases: list[tuple[list[str], list[Any]]] = [
        ([own.sign(KEYS[0])], [["same", True]]),
        ([own.sign(KEYS[3]) + witness], [["same", False]]),
        ([Head(ORIGIN, own.size, bytes(32)).sign(KEYS[0])], [["another_way", True]]),
        ([older.sign(KEYS[1])], [["no_bridge", True]]),
        ([windows, bridge], [["carried_on", True], ["same", True]]),
        ([rewritten, bridge], [["another_way", True], ["same", True]]),
        ([young, onward], [["carried_on", True], ["carried_on", True]]),
        ([young], [["no_bridge", True]]),
        ([Head("other.1", 3, bytes(32)).sign(KEYS[0])], [["other_log", True]]),
        ([Head(ORIGIN, 0, hashlib.sha256().digest()).sign(KEYS[1])], [["carried_on", True]]),
        ([canonical(content).decode()], [["same", True]]),
        (["hello", "old 3\n\n", "{"], [None, None, None]),
    ]
    data = b64(canonical(content))
    given = [("held", {"data": data, "kept": [b64(one.encode()) for one in k]}) for k, _ in cases]
    assert judge(given) == [wanted for _, wanted in cases]
    for kept, wanted in cases[:-1]:
        anchors = [read_anchor(one.encode(), "kept") for one in kept]
        against = any(standing in {"another_way", "other_log"} for standing, _ in wanted)
        assert verify(canonical(content), anchors=anchors).ok is not against
