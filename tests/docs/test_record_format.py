"""A verifier written from the page on the format agrees with the program, on whole and bad records.

The verifier is ``examples/verify_record.py``; it imports nothing of this package.
"""

from __future__ import annotations

import ast
import base64
import copy
import importlib.util
import json
import random
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from clampwright.proof.checkpoint import Head
from clampwright.proof.keys import SigningKey, from_base64
from clampwright.proof.merkle import Tree, leaf_hash
from clampwright.proof.strictjson import canonical
from clampwright.proof.verification import verify
from clampwright.store import Store

EXAMPLE = Path(__file__).parents[2] / "examples" / "verify_record.py"
Record = dict[str, Any]


@pytest.fixture(scope="module")
def stranger() -> ModuleType:
    spec = importlib.util.spec_from_file_location("verify_record", EXAMPLE)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def records(built_bench: Path) -> list[bytes]:
    paths = sorted((built_bench / "demo-workshop" / "records").glob("*.json"))
    assert len(paths) == 4
    return [path.read_bytes() for path in paths]


@pytest.fixture
def record(records: list[bytes]) -> Record:
    content: Record = json.loads(min(records, key=len))
    return content


def holds(stranger: ModuleType, data: bytes, key: str | None = None) -> bool:
    """What the stranger's verifier says."""
    try:
        stranger.verify(data, key)
    except stranger.BadRecordError:
        return False
    return True


def test_the_stranger_knows_nothing_of_this_package() -> None:
    tree = ast.parse(EXAMPLE.read_text(encoding="utf-8"))
    names = {a.name for node in ast.walk(tree) if isinstance(node, ast.Import) for a in node.names}
    names |= {str(node.module) for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not [name for name in names if name.startswith(("clampwright", "cryptography"))]


def test_whole_records_pass_with_their_key_only(stranger: ModuleType, records: list[bytes]) -> None:
    for data in records:
        found = verify(data)
        assert found.ok
        assert stranger.verify(data) == (found.fingerprint or "").replace(" ", "")
        assert holds(stranger, data, found.fingerprint)
        assert not holds(stranger, data, 64 * "0")


def test_other_spacing_is_the_same_content(stranger: ModuleType, record: Record) -> None:
    data = json.dumps(record, indent=2).encode()
    assert verify(data).ok
    assert holds(stranger, data)


def leaves(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """The places of all plain values inside a content."""
    if isinstance(value, dict | list):
        inside = value.items() if isinstance(value, dict) else enumerate(value)
        for key, one in inside:
            yield from leaves(one, (*path, key))
    else:
        yield path


def changed(value: Any) -> Any:
    """Another value of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    if value is None:
        return "x"
    return value[:-1] + ("b" if value.endswith("a") else "a")


def test_any_changed_value_is_found_by_both(stranger: ModuleType, record: Record) -> None:
    places = sorted(leaves(record), key=str)
    for place in random.Random(20260105).sample(places, 120):
        content = copy.deepcopy(record)
        inside = content
        for key in place[:-1]:
            inside = inside[key]  # type: ignore[index]  # leaves() walks lists and objects alike
        inside[place[-1]] = changed(inside[place[-1]])  # type: ignore[index]  # as above
        data = json.dumps(content).encode()
        assert not verify(data).ok, place
        assert not holds(stranger, data), place


def without_entry(content: Record) -> None:
    del content["entries"][2]


def without_end(content: Record) -> None:
    del content["entries"][-1]


def without_start(content: Record) -> None:
    del content["entries"][0]


def turned_round(content: Record) -> None:
    content["entries"][1:3] = reversed(content["entries"][1:3])


def twice(content: Record) -> None:
    content["entries"].insert(2, content["entries"][1])


def further_member(content: Record) -> None:
    content["remark"] = "x"


def further_member_in_a_row(content: Record) -> None:
    content["entries"][1]["remark"] = "x"


def other_key(content: Record) -> None:
    content["key"] = SigningKey.from_seed(bytes(32)).public.text


def other_format(content: Record) -> None:
    content["version"] = 2


def no_entries(content: Record) -> None:
    content["entries"] = []


@pytest.mark.parametrize(
    "spoil",
    [
        without_entry,
        without_end,
        without_start,
        turned_round,
        twice,
        further_member,
        further_member_in_a_row,
        other_key,
        other_format,
        no_entries,
    ],
)
def test_both_find_what_was_taken_or_put(
    stranger: ModuleType, record: Record, spoil: Callable[[Record], None]
) -> None:
    spoil(record)
    data = json.dumps(record).encode()
    assert not verify(data).ok
    assert not holds(stranger, data)


def rebuilt(record: Record, spoil: Callable[[list[Record]], None]) -> bytes:
    """A record whose entries were changed and signed anew by somebody who knows the format."""
    key = SigningKey.from_seed(bytes(range(32)))
    entries = [row["entry"] for row in record["entries"]]
    entries[0]["body"]["public_key"] = key.public.text
    spoil(entries)
    tree = Tree(leaf_hash(canonical(entry)) for entry in entries)
    return canonical(
        {
            **record,
            "key": key.public.text,
            "checkpoint": Head(record["origin"], tree.size, tree.root()).sign(key),
            "entries": [
                {
                    "entry": entry,
                    "index": place,
                    "proof": [base64.b64encode(n).decode() for n in tree.inclusion(place)],
                }
                for place, entry in enumerate(entries)
            ],
        }
    )


def nothing(entries: list[Record]) -> None:
    assert entries


def gap(entries: list[Record]) -> None:
    entries[2]["job_seq"] += 1


def other_job(entries: list[Record]) -> None:
    entries[2]["job"] = "another"


def same_id(entries: list[Record]) -> None:
    entries[2]["id"] = entries[1]["id"]


def wrong_count(entries: list[Record]) -> None:
    entries[-1]["body"]["entries"] += 1


def wrong_others(entries: list[Record]) -> None:
    entries[-1]["body"]["also"] = [entries[1]["id"]]


def another_origin(entries: list[Record]) -> None:
    entries[0]["body"]["origin"] = "another.00000000"


def no_time(entries: list[Record]) -> None:
    entries[1]["recorded"] = "2026-02-30T00:00:00Z"


def device_with_more(entries: list[Record]) -> None:
    entries[1]["device"]["name"] = "x"


def old_id(entries: list[Record]) -> None:
    entries[1]["id"] = "00000000-0000-4000-8000-000000000000"


def test_a_record_rebuilt_with_care_passes_but_for_its_key(
    stranger: ModuleType, record: Record
) -> None:
    before = verify(canonical(record)).fingerprint
    data = rebuilt(record, nothing)
    assert verify(data).ok
    assert holds(stranger, data)
    assert not verify(data, key=before).ok
    assert not holds(stranger, data, before)


@pytest.mark.parametrize(
    "spoil",
    [
        gap,
        other_job,
        same_id,
        wrong_count,
        wrong_others,
        another_origin,
        no_time,
        device_with_more,
        old_id,
    ],
)
def test_both_find_what_is_wrong_although_it_is_signed(
    stranger: ModuleType, record: Record, spoil: Callable[[list[Record]], None]
) -> None:
    data = rebuilt(record, spoil)
    assert not verify(data).ok
    assert not holds(stranger, data)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"[]",
        b"\xff",
        b'{"a":1,"a":1}',
        b'{"a":1.5}',
        b'{"a":NaN}',
        b'{"a":9007199254740992}',
        b"[" * 100_000,
        '{"a":"o\u0308"}'.encode(),
    ],
    ids=repr,
)
def test_both_refuse_what_is_no_strict_json(stranger: ModuleType, data: bytes) -> None:
    assert not verify(data).ok
    assert not holds(stranger, data)


def test_canonical_forms_agree(stranger: ModuleType) -> None:
    content = {
        "\U0001f600": 1,
        "\uff5e": 2,
        'a\u0001\n"\\/': [None, True, False, -5, "N·m", "\u007f\u2028"],
        "": {},
    }
    assert stranger.canonical(content) == canonical(content)


def test_signatures_agree(stranger: ModuleType) -> None:
    key = SigningKey.from_seed(bytes(range(32)))
    signature = key.sign(b"text")
    raw = from_base64(key.public.text)
    assert stranger.ed25519_holds(raw, b"text", signature)
    assert not stranger.ed25519_holds(raw, b"tex", signature)
    assert not stranger.ed25519_holds(raw, b"text", signature[:-1] + b"\x00")
    assert not stranger.ed25519_holds(b"\xff" * 32, b"text", signature)


def test_changes_of_key_are_followed_the_same_way(stranger: ModuleType, tmp_path: Path) -> None:
    with Store.open(tmp_path, create=True, workshop="Invented Yard") as store:
        old = store.signing_key()
        store.append("pull", {"fastener": 1}, job="wheel")
        store.change_key(SigningKey.new(), "planned", old=old, pass_phrase=None)
        store.append("pull", {"fastener": 2}, job="wheel")
        store.change_key(SigningKey.new(), "lost", old=None, pass_phrase=None)
        data = store.record("wheel")
    found = verify(data)
    assert found.ok
    assert stranger.verify(data) == (found.fingerprint or "").replace(" ", "")
    random_, content = random.Random(7), json.loads(data)
    places = [
        (number, path)
        for number, row in enumerate(content["entries"])
        if row["entry"]["kind"] == "key_changed"
        for path in leaves(row["entry"]["body"])
    ]
    for number, path in places:
        forged = copy.deepcopy(content)
        body = forged["entries"][number]["entry"]["body"]
        for step in path[:-1]:
            body = body[step]
        body[path[-1]] = random_.choice([None, "planned", 1, "AQ==", forged["key"]])
        altered = json.dumps(forged).encode()
        assert verify(altered).ok == holds(stranger, altered) == (forged == content)
