"""A record holds, and whatever is changed in it is found and named. All content is invented."""

import copy
import json
import random
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from small_log import KEY, OTHER, Log

from clampwright.errors import Refused
from clampwright.proof import canonical, record
from clampwright.proof.checkpoint import Head, read_checkpoint
from clampwright.proof.entry import LOG_OPENED, RECORD_MADE, Entry, read_entry
from clampwright.proof.ids import IdMaker
from clampwright.proof.keys import to_base64
from clampwright.proof.merkle import Tree
from clampwright.proof.rows import Row, check_sequence

FIXED_ID = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
Change = Callable[[dict[str, Any]], object]


def whole() -> bytes:
    log = Log()
    log.seal("wheel")
    log.add_to("head", {"fastener": 7, "read": "31.0"})
    return log.record("wheel")


GOOD = whole()
CONTENT = json.loads(GOOD)


def changed(change: Change, content: dict[str, Any] = CONTENT) -> bytes:
    copied = copy.deepcopy(content)
    change(copied)
    return canonical(copied)


def test_an_untouched_record_holds() -> None:
    found = record.verify(GOOD, key=KEY.public.fingerprint)
    assert (found.ok, found.findings, found.notes) == (True, (), ())
    assert (found.first_bad_index, found.first_bad_id) == (None, None)
    assert found.origin == CONTENT["origin"]
    assert (found.job, found.entries, found.size) == ("wheel", 9, 16)
    assert found.made == "2026-01-31T13:05:00.250000Z"
    assert found.as_json()["ok"] is True
    assert canonical(json.loads(GOOD)) == GOOD


def test_a_record_may_be_longer_than_one_entry() -> None:
    log = Log()
    for _ in range(2):
        log.add_to("wheel", {"note": "x" * 600_000})
    log.seal("wheel")
    data = log.record("wheel")
    assert len(data) > 1_200_000
    assert record.verify(data).ok


def test_each_entry_needs_its_proof() -> None:
    with pytest.raises(ValueError, match="longer than"):
        record.build(
            job="wheel", origin="yard", entries=[], proofs=[()], checkpoint="", key=KEY.public
        )  # fmt: skip
    with pytest.raises(Refused, match="no record was made, for it would not hold: "):
        record.build(
            job="wheel", origin="yard", entries=[], proofs=[], checkpoint="", key=KEY.public
        )


def test_the_same_data_give_the_same_bytes() -> None:
    # The random bits of the ids differ between two logs; within one nothing may.
    log = Log()
    log.seal("wheel")
    assert log.record("wheel") == log.record("wheel")


def test_without_a_demanded_key_the_fingerprint_is_shown() -> None:
    found = record.verify(GOOD)
    assert found.ok
    assert found.fingerprint == KEY.public.fingerprint
    assert KEY.public.fingerprint in str(found.notes[0])


@pytest.mark.parametrize("form", ["fingerprint", "text"])
def test_a_demanded_key_in_each_form(form: str) -> None:
    assert record.verify(GOOD, key=getattr(KEY.public, form)).ok
    found = record.verify(GOOD, key=getattr(OTHER.public, form))
    assert not found.ok
    assert "another key than the one demanded" in str(found.findings[0])
    assert found.first_bad_index is None


def test_a_demand_that_is_no_key_is_the_users_error() -> None:
    with pytest.raises(Refused, match="is not a key"):
        record.verify(GOOD, key="my key")


def entry_at(content: dict[str, Any], number: int) -> dict[str, Any]:
    found: dict[str, Any] = content["entries"][number]["entry"]
    return found


def set_in(number: int, name: str, value: Any) -> Change:
    return lambda content: entry_at(content, number).update({name: value})


@pytest.mark.parametrize(
    ("change", "number", "part"),
    [
        (set_in(4, "body", {"fastener": 3, "read": "90"}), 4, "it is not what was signed"),
        (set_in(4, "recorded", "2026-01-31T13:05:01Z"), 4, "it is not what was signed"),
        (set_in(4, "job", "head"), 4, "it is not what was signed"),
        (set_in(4, "note", "x"), 4, "other members than it may have: note"),
        (set_in(4, "job_seq", 7), 4, "it is not what was signed"),
        (lambda c: c["entries"][4].update(index=5), 4, "it is not what was signed"),
        (lambda c: c["entries"][4].update(index="4"), 4, "its place or its proof is not readable"),
        (lambda c: c["entries"][4].update(note=""), 4, "entry, index and proof, and nothing else"),
        (lambda c: c["entries"][4]["proof"].pop(), 4, "it is not what was signed"),
        (lambda c: c["entries"][4]["proof"].reverse(), 4, "it is not what was signed"),
        (lambda c: c["entries"][4]["proof"].append("AA=="), 4, "proof is not readable"),
        (lambda c: c["entries"].pop(4), 5, "entry 3 of the job should stand here, not 4"),
        (lambda c: c["entries"].insert(4, c["entries"][4]), 4, "out of order, or twice"),
    ],
)
def test_the_first_entry_that_does_not_fit_is_named(change: Change, number: int, part: str) -> None:
    found = record.verify(changed(change))
    assert not found.ok
    assert found.first_bad_id == entry_at(CONTENT, number)["id"]
    assert part in str(found.findings[0])
    assert len(found.findings) == 1


def test_of_two_exchanged_entries_the_first_in_the_file_is_named() -> None:
    found = record.verify(changed(lambda c: c["entries"].insert(4, c["entries"].pop(5))))
    assert found.first_bad_id == entry_at(CONTENT, 5)["id"]
    assert "entry 3 of the job should stand here, not 4" in str(found.findings[0])
    assert "out of order, or twice" in str(found.findings[1])


def test_of_several_changed_entries_the_first_is_named_first() -> None:
    def change(content: dict[str, Any]) -> None:
        for number in (6, 3, 8):
            entry_at(content, number)["body"]["read"] = "99"

    found = record.verify(changed(change))
    assert found.first_bad_index == CONTENT["entries"][3]["index"]
    assert "Entry 4 of the file" in str(found.findings[0])
    assert len(found.findings) == 3


@pytest.mark.parametrize(
    ("change", "part"),
    [
        (lambda c: c["entries"].pop(), "does not end with the entry that closes it"),
        (lambda c: c["entries"].pop(0), "The log's first entry, which names its key, is missing"),
        (lambda c: c["entries"].pop(1), "entries outside the job are not those"),
        (lambda c: c.update(note="checked by hand"), "holds 'note', which is not signed"),
        (lambda c: c.pop("job"), "lacks 'job'"),
        (lambda c: c.pop("entries"), "lacks 'entries'"),
        (lambda c: c.update(entries=[]), "holds no entries"),
        (lambda c: c.update(entries={}), "holds no entries"),
        (lambda c: c.update(origin="other-yard"), "says it is from other-yard"),
        (lambda c: c.update(key="AAAA"), "is not a key"),
        (lambda c: c.update(key=7), "is not a key"),
        (lambda c: c.update(key=OTHER.public.text), "not signed by the key in the record"),
        (lambda c: c.update(checkpoint="x"), "The signed head of the log was changed"),
        (lambda c: c.update(checkpoint=None), "The signed head of the log was changed"),
        (
            lambda c: c.update(checkpoint=c["checkpoint"].replace("\n16\n", "\n17\n")),
            "not signed by the key in the record",
        ),
    ],
)
def test_changes_of_the_whole_are_found(change: Change, part: str) -> None:
    found = record.verify(changed(change))
    assert not found.ok
    assert part in str(found.findings[0])


def test_an_entry_too_large_for_a_log_is_none() -> None:
    content = copy.deepcopy(CONTENT)
    set_in(4, "body", {"note": "x" * 1_000_001})(content)
    found = record.verify(canonical(content, max_bytes=2_000_000))
    assert found.first_bad_id == entry_at(CONTENT, 4)["id"]
    assert "bytes are too many" in str(found.findings[0])


@pytest.mark.parametrize("index", [None, True, 4.5, -1])
def test_a_place_that_is_none(index: Any) -> None:
    data = changed(lambda c: c["entries"][4].update(index=7))
    odd = data.replace(b'"index":7,', b'"index":' + json.dumps(index).encode() + b",", 1)
    assert not record.verify(odd).ok


@pytest.mark.parametrize("proof", [None, "AA==", [7], ["A"], [to_base64(bytes(31))], ["x"] * 99])
def test_a_proof_that_is_none(proof: Any) -> None:
    found = record.verify(changed(lambda c: c["entries"][4].update(proof=proof)))
    assert (found.ok, len(found.findings)) == (False, 1)
    assert "Entry 5 of the file" in str(found.findings[0])
    assert "its place or its proof is not readable" in str(found.findings[0])


@pytest.mark.parametrize(
    ("nodes", "part"), [(64, "it is not what was signed"), (65, "its proof is not readable")]
)
def test_a_proof_is_at_most_as_long_as_a_log_can_be_deep(nodes: int, part: str) -> None:
    proof = [to_base64(bytes(32))] * nodes
    found = record.verify(changed(lambda c: c["entries"][4].update(proof=proof)))
    assert part in str(found.findings[0])


def test_an_id_that_is_no_text_is_not_repeated() -> None:
    found = record.verify(changed(set_in(4, "id", 7)))
    assert (found.first_bad_index, found.first_bad_id) == (CONTENT["entries"][4]["index"], None)
    assert "Entry 5 of the file (place 6 in the log, id ?)" in str(found.findings[0])


def test_an_entry_without_a_place_spoils_no_other() -> None:
    found = record.verify(changed(lambda c: c["entries"][0].update(index="0")))
    assert [str(one).partition(" of the file")[0] for one in found.findings] == ["Entry 1"]


def test_what_is_missing_after_a_changed_entry_is_found_too() -> None:
    def change(content: dict[str, Any]) -> None:
        entry_at(content, 3)["body"]["read"] = "99"
        content["entries"].pop(5)

    first, second = record.verify(changed(change)).findings
    assert "Entry 4 of the file" in str(first)
    assert "it is not what was signed" in str(first)
    assert "Entry 6 of the file" in str(second)
    assert "entry 4 of the job should stand here, not 5" in str(second)


@pytest.mark.parametrize("item", [None, [], "x", {}, {"entry": {}, "index": 3}])
def test_what_stands_in_the_place_of_an_entry(item: Any) -> None:
    found = record.verify(changed(lambda c: c["entries"].__setitem__(4, item)))
    assert not found.ok
    assert "Entry 5 of the file" in str(found.findings[0])
    assert "it must have entry, index and proof, and nothing else" in str(found.findings[0])


@pytest.mark.parametrize(
    ("body", "part"),
    [
        ({"entries": True}, "closed over True entries of the job; it holds 1"),
        ({"entries": 2}, "closed over 2 entries of the job; it holds 1"),
        ({"also": ["x"]}, "entries outside the job are not those"),
        ({"more": 1}, "does not end with the entry that closes it"),
    ],
)
def test_a_seal_that_does_not_fit(body: dict[str, Any], part: str) -> None:
    log = OddLog((LOG_OPENED, {}))
    log.lines.pop()
    log.counts["wheel"] -= 1
    log.add_to("wheel", {"also": [], "entries": 1, **body}, RECORD_MADE)
    with pytest.raises(Refused) as caught:
        log.record("wheel")
    assert part in str(caught.value)


@pytest.mark.parametrize(("kind", "job"), [("note", "wheel"), (RECORD_MADE, None)])
def test_what_looks_like_a_seal_but_is_none(kind: str, job: str | None) -> None:
    log = OddLog((LOG_OPENED, {}))
    log.lines.pop()
    body = {"also": [], "entries": 1}
    log.add(kind, body, job=job, job_seq=1 if job else None)
    with pytest.raises(Refused, match="does not end with the entry that closes it"):
        log.record("wheel")


def test_every_finding_of_a_spoilt_record_is_told_in_turn() -> None:
    def change(content: dict[str, Any]) -> None:
        content.update(zz=1, aa=2)
        del content["job"]

    found = record.verify(changed(change), key=OTHER.public.fingerprint)
    assert [str(one) for one in found.findings[:3]] == [
        "The record holds 'aa', which is not signed.",
        "The record holds 'zz', which is not signed.",
        "The record lacks 'job'.",
    ]
    assert found.job is None
    assert found.key == KEY.public.text
    assert (found.size, found.origin) == (16, CONTENT["origin"])
    head = read_checkpoint(CONTENT["checkpoint"]).head
    assert found.root == head.root.hex()


def test_another_name_of_the_job_is_found() -> None:
    found = record.verify(changed(lambda c: c.update(job="gearbox")))
    assert not found.ok
    assert "it belongs to another job, wheel" in str(found.findings[0])


def test_a_log_rebuilt_with_another_key_is_found_by_its_first_entry() -> None:
    forged = Log(key=OTHER, named=KEY)
    forged.seal("wheel")
    with pytest.raises(Refused, match="no record was made, for it would not hold"):
        forged.record("wheel")
    # The forger writes the file without such scruples.
    honest = Log(key=OTHER)
    honest.seal("wheel")
    content = json.loads(honest.record("wheel"))
    lines = [json.dumps(item["entry"]).encode() for item in CONTENT["entries"]]
    tree = Tree(record_leaf(json.loads(line)) for line in lines)
    content["origin"] = CONTENT["origin"]
    content["checkpoint"] = Head(CONTENT["origin"], tree.size, tree.root()).sign(OTHER)
    content["entries"] = [
        {"entry": json.loads(line), "index": index, "proof": proof_of(tree, index)}
        for index, line in enumerate(lines)
    ]
    found = record.verify(canonical(content))
    assert not found.ok
    assert "another key than its log began with: it was rebuilt" in str(found.findings[0])


def record_leaf(entry: dict[str, Any]) -> bytes:
    return read_entry(canonical(entry), 0).leaf_hash


def proof_of(tree: Tree, index: int) -> list[str]:
    return [to_base64(node) for node in tree.inclusion(index)]


def test_a_log_rebuilt_throughout_shows_another_key() -> None:
    forged = Log(key=OTHER)
    forged.seal("wheel")
    data = forged.record("wheel")
    assert record.verify(data).fingerprint == OTHER.public.fingerprint
    assert not record.verify(data, key=KEY.public.fingerprint).ok


def test_a_seal_over_another_number_of_entries_is_found() -> None:
    log = Log()
    log.seal("wheel", entries=5)
    with pytest.raises(Refused, match="closed over 5 entries of the job; it holds 6"):
        log.record("wheel")


class OddLog(Log):
    """A log whose own key has signed something that no store would write."""

    def __init__(self, *first: tuple[str, dict[str, Any]], ids: IdMaker | None = None) -> None:
        super().__init__()
        self.lines, self.counts = [], {"wheel": 0}
        self.ids = ids or self.ids
        for kind, body in first:
            self.add(kind, {"public_key": KEY.public.text, "origin": self.origin, **body})
        self.add_to("wheel", {"fastener": 1})
        self.add_to("wheel", {"also": [], "entries": 1}, RECORD_MADE)

    def chosen(self, job: str) -> list[Entry]:  # noqa: ARG002 - the method it stands for asks for a job; here all there is belongs to it
        return self.entries


@pytest.mark.parametrize(
    ("log", "start", "part"),
    [
        (OddLog(("note", {})), 0, "The log's first entry, which names its key, is missing"),
        (OddLog(("note", {}), (LOG_OPENED, {})), 1, "The log's first entry, which names its key"),
        (OddLog((LOG_OPENED, {"origin": "barn"})), 0, "The log began under another name"),
        (OddLog((LOG_OPENED, {"public_key": None})), 0, "The log's first entry names no key."),
        (OddLog((LOG_OPENED, {"public_key": "AAAA"})), 0, "The log's first entry names no key."),
        (OddLog((LOG_OPENED, {"public_key": OTHER.public.text})), 0, "with another key than its"),
        (OddLog((LOG_OPENED, {}), ids=lambda: FIXED_ID), 0, "another entry has the same id"),  # type: ignore[arg-type] # any callable makes ids
    ],
)
def test_even_the_right_key_cannot_sign_what_is_no_log(log: OddLog, start: int, part: str) -> None:
    with pytest.raises(Refused) as caught:
        log.record("wheel", start)
    assert part in str(caught.value)


def test_a_change_of_key_belongs_to_no_job() -> None:
    log = OddLog((LOG_OPENED, {}))
    log.add_to("wheel", {"reason": "planned"}, "key_changed")
    rows = [
        Row(number, number - 1, json.loads(line)["id"], json.loads(line), None)
        for number, line in enumerate(log.lines, 1)
    ]
    assert check_sequence(rows, "wheel") == []
    assert [str(row.problem) for row in rows if row.problem] == [
        "a change of key belongs to no job"
    ]


def test_the_odd_log_without_oddness_holds() -> None:
    assert record.verify(OddLog((LOG_OPENED, {})).record("wheel")).ok


def test_a_second_record_of_a_job_holds_the_first_seal_too() -> None:
    log = Log()
    log.seal("wheel")
    log.add_to("wheel", {"fastener": 1, "read": "80"}, "recheck")
    log.seal("wheel")
    found = record.verify(log.record("wheel"))
    assert (found.ok, found.entries) == (True, 11)


@pytest.mark.parametrize(
    ("data", "part"),
    [
        (b"", "trailer.json: line 1, column 1: this is not JSON"),
        (b"%PDF-1.7\n\xff", "trailer.json: byte 10 is not UTF-8 text"),
        (b"{}", "trailer.json is not a record of this program"),
        (b"[]", "trailer.json is not a record of this program"),
        (GOOD[:-1], "this is not JSON"),
        (GOOD[: len(GOOD) // 2], "this is not JSON"),
        (GOOD + GOOD, "this is not JSON"),
        (GOOD.replace(b'"version":1}', b'"version":2}', 99), "version"),
        (GOOD[:-1] + b',"version":1}', "the name 'version' stands twice"),
        (GOOD.replace(b'"index":0', b'"index":0.0'), "0.0 is not a whole number"),
    ],
)
def test_files_that_are_no_record(data: bytes, part: str) -> None:
    found = record.verify(data, name="trailer.json")
    assert not found.ok
    assert part in str(found.findings[0])


def test_a_newer_form_is_named_as_such() -> None:
    found = record.verify(changed(lambda c: c.update(version=2)), name="trailer.json")
    assert not found.ok
    assert "version 2 of the record's form is not known here" in str(found.findings[0])


def test_saved_anew_with_the_same_content_is_told_but_is_no_change() -> None:
    found = record.verify(json.dumps(CONTENT, indent=2).encode(), key=KEY.public.text)
    assert found.ok
    assert "saved this file anew" in str(found.notes[0])


def one_byte_changed(random_: random.Random) -> bytes:
    data = bytearray(GOOD)
    data[random_.randrange(len(data))] ^= random_.randrange(1, 256)
    return bytes(data)


def same_content(data: bytes) -> bool:
    try:
        return bool(json.loads(data) == CONTENT)
    except ValueError:
        return False


@pytest.mark.parametrize(
    "count", [500, pytest.param(10_000, marks=pytest.mark.soak)], ids=["500", "10000"]
)
def test_single_byte_changes_are_found(count: int) -> None:
    random_ = random.Random(20260131)
    missed = []
    for _ in range(count):
        data = one_byte_changed(random_)
        if record.verify(data).ok and not same_content(data):
            missed.append(data)
    assert missed == []


def leaves_of(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a content, objects and lists too."""
    found = [path] if path else []
    if isinstance(value, dict | list):
        keys = value.keys() if isinstance(value, dict) else range(len(value))
        for key in keys:
            found += leaves_of(value[key], (*path, key))
    return found


PLACES = leaves_of(CONTENT)
VALUES = (
    st.none()
    | st.booleans()
    | st.integers(-2, 20)
    | st.sampled_from(["", "wheel", "head", "0", "AAAA", KEY.public.text, OTHER.public.text])
    | st.lists(st.integers(0, 3), max_size=2)
    | st.dictionaries(st.sampled_from(["id", "entries", "also"]), st.integers(0, 9), max_size=2)
)


@given(st.sampled_from(PLACES), VALUES, st.sampled_from(["set", "drop", "add", "copy"]))
def test_forgeries_of_any_member_are_found(path: tuple[Any, ...], value: Any, how: str) -> None:
    forged = copy.deepcopy(CONTENT)
    parent = forged
    for key in path[:-1]:
        parent = parent[key]
    if how == "set":
        parent[path[-1]] = value
    elif how == "drop":
        del parent[path[-1]]
    elif how == "copy" and isinstance(parent, list):
        parent.insert(path[-1], copy.deepcopy(parent[path[-1]]))
    elif how == "add" and isinstance(parent[path[-1]], dict):
        parent[path[-1]]["more"] = value
    assume(forged != CONTENT or type(value) is bool)
    data = canonical(forged)
    assume(data != GOOD)
    found = record.verify(data)
    assert not found.ok
    assert found.findings


@given(st.permutations(range(len(CONTENT["entries"]))))
def test_any_other_order_of_the_entries_is_found(order: list[int]) -> None:
    assume(order != sorted(order))
    forged = {**CONTENT, "entries": [CONTENT["entries"][number] for number in order]}
    assert not record.verify(canonical(forged)).ok


@given(st.sets(st.integers(0, len(CONTENT["entries"]) - 1), max_size=8))
def test_any_part_of_the_entries_is_found(kept: set[int]) -> None:
    forged = {**CONTENT, "entries": [CONTENT["entries"][number] for number in sorted(kept)]}
    assert not record.verify(canonical(forged)).ok


@given(st.binary(max_size=200))
def test_no_bytes_whatever_raise(data: bytes) -> None:
    assert not record.verify(data).ok
    at = len(GOOD) // 2
    assert not record.verify(GOOD[:at] + data + GOOD[at + 200 :]).ok
