"""What a reader is told of a record: of its keys, of what was kept elsewhere, and how much."""

import copy
import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from outside import Authority
from small_log import KEY, OTHER, Log

from clampwright.proof import canonical, record
from clampwright.proof.anchors import read_anchor
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.keychain import KEY_CHANGED
from clampwright.proof.keys import SigningKey
from clampwright.proof.timestamp import TimeStamp, read_chain, read_stamp, stamp_request
from clampwright.proof.verification import MAX_FINDINGS, Verification
from clampwright.proof.witness import countersign

THIRD = SigningKey.from_seed(bytes(range(2, 34)))
NEIGHBOUR = SigningKey.from_seed(bytes(range(3, 35)))
Change = Callable[[dict[str, Any]], object]


def sealed(log: Log) -> bytes:
    log.seal("wheel")
    return log.record("wheel")


LOG = Log()
GOOD = sealed(LOG)
CONTENT = json.loads(GOOD)
COMPARE = (
    "No key was demanded. Compare this fingerprint with the one the workshop gave you by another "
    f"way: {KEY.public.fingerprint}"
)


def changed(change: Change, data: bytes = GOOD) -> bytes:
    content = json.loads(data)
    change(content)
    return canonical(content)


def findings(found: Verification) -> list[str]:
    return [str(one) for one in found.findings]


def notes(found: Verification) -> list[str]:
    return [str(one) for one in found.notes]


def spoil(*numbers: int) -> Change:
    """Change the body of some entries."""

    def change(content: dict[str, Any]) -> None:
        for number in numbers:
            content["entries"][number]["entry"]["body"]["read"] = "99"

    return change


def test_the_result_as_plain_data() -> None:
    head = read_checkpoint(CONTENT["checkpoint"]).head
    same: dict[str, object] = {
        "readable": True,
        "origin": LOG.origin,
        "key": {"fingerprint": KEY.public.fingerprint, "text": KEY.public.text},
        "log": {"size": 15, "root": head.root.hex()},
        "job": "wheel",
        "made": "2026-01-31T13:05:00.250000Z",
        "entries": 9,
    }
    assert record.verify(GOOD).as_json() == {
        **same, "ok": True, "findings": [], "notes": [COMPARE], "first_bad": None
    }  # fmt: skip
    entry = CONTENT["entries"][3]["entry"]
    problem = f"(place 4 in the log, id {entry['id']}): it is not what was signed"
    assert record.verify(changed(spoil(3)), key=KEY.public.text).as_json() == {
        **same,
        "ok": False,
        "findings": [f"Entry 4 of the file {problem}"],
        "notes": [],
        "first_bad": {"index": 4, "id": entry["id"]},
    }


def test_the_very_first_entry_can_be_the_one_that_does_not_fit() -> None:
    found = record.verify(changed(spoil(0)))
    assert found.as_json()["first_bad"] == {"index": 0, "id": CONTENT["entries"][0]["entry"]["id"]}


@pytest.mark.parametrize(
    ("data", "part"),
    [
        (b"x", "record: line 1, column 1: this is not JSON (Expecting value)"),
        (b"[]", "record is not a record of this program"),
        (changed(lambda c: c.update(format="other")), "record is not a record of this program"),
        (changed(lambda c: c.update(version=2)), "record: version 2 of the record's form"),
        (changed(lambda c: c.update(version=True)), "record: version True of the record's form"),
        (changed(lambda c: c.pop("version")), "record: version None of the record's form"),
    ],
)
def test_what_cannot_be_read_as_a_record_is_no_broken_one(data: bytes, part: str) -> None:
    found = record.verify(data)
    (finding,) = findings(found)
    assert finding.startswith(part)
    assert (found.ok, found.readable, found.as_json()["readable"]) == (False, False, False)


def test_a_record_that_does_not_hold_is_still_a_record() -> None:
    found = record.verify(changed(spoil(3)))
    assert (found.ok, found.readable) == (False, True)


def test_a_name_that_differs_from_the_signed_one_is_told_with_both() -> None:
    found = record.verify(changed(lambda c: c.update(origin="other-yard")))
    assert findings(found) == [
        f"The record says it is from other-yard, its signed head says {LOG.origin}.",
        "The log began under another name than the record says.",
    ]


def test_a_record_without_a_readable_key_says_nothing_of_the_keys_in_the_log() -> None:
    found = record.verify(changed(lambda c: c.update(key="AAAA")))
    assert findings(found) == [
        "The key in the record is not a key.",
        "The log's head is not signed by the key in the record.",
    ]
    assert (found.key, found.fingerprint, notes(found)) == (None, None, [])


def test_another_key_than_the_one_demanded_is_told_by_its_fingerprint() -> None:
    found = record.verify(GOOD, key=OTHER.public.fingerprint)
    (finding,) = findings(found)
    assert finding == (
        "The record is signed with another key than the one demanded; its key has the fingerprint "
        f"{KEY.public.fingerprint}"
    )


# How much is told.


def test_as_many_findings_as_can_be_read_are_told_and_the_rest_is_counted() -> None:
    def change(content: dict[str, Any]) -> None:
        content.update({f"odd{number}": 1 for number in range(MAX_FINDINGS - 1)})

    many = changed(change)
    assert len(findings(record.verify(many))) == MAX_FINDINGS - 1
    just = findings(record.verify(changed(spoil(3), many)))
    assert len(just) == MAX_FINDINGS
    assert just[-1].startswith("Entry 4 of the file")
    over = record.verify(changed(spoil(3, 4, 5), many))
    assert findings(over) == [*just, "2 more do not fit."]
    assert over.first_bad_index == 4


def under_another_head(*, signed: bool, entries: int) -> Verification:
    """Put a record's entries under a head they do not belong to."""
    longer = Log()
    longer.add("note", {})
    note = longer.note(key=KEY if signed else OTHER)

    def change(content: dict[str, Any]) -> None:
        content["checkpoint"] = note
        del content["entries"][entries:]

    return record.verify(changed(change))


@pytest.mark.parametrize("entries", [1, 9])
def test_under_a_head_that_was_changed_no_entry_is_blamed(entries: int) -> None:
    found = under_another_head(signed=False, entries=entries)
    assert findings(found) == [
        "The log's head is not signed by the key in the record.",
        "Under this head no entry of the file can be checked.",
    ]
    assert (found.first_bad_index, found.first_bad_id, found.entries) == (None, None, entries)


def test_under_a_head_that_is_signed_the_entries_are_blamed() -> None:
    found = under_another_head(signed=True, entries=2)
    assert [one.partition(" (")[0] for one in findings(found)] == [
        "Entry 1 of the file",
        "Entry 2 of the file",
    ]
    assert found.first_bad_index == 0


def test_without_entries_no_head_is_blamed_for_them() -> None:
    found = record.verify(changed(lambda c: c.update(entries=[], checkpoint="x")))
    assert len(findings(found)) == 2
    assert findings(found)[1] == "The record holds no entries."


def test_a_sound_record_with_another_key_in_it_is_told_as_a_whole() -> None:
    """The entries fit under the head: only the head's signature does not."""
    found = record.verify(changed(lambda c: c.update(key=OTHER.public.text)))
    assert findings(found) == [
        "The log's head is not signed by the key in the record.",
        "The record is signed with another key than its log began with: it was rebuilt.",
    ]


# The keys of the log.


def test_changes_of_key_are_told_in_order_and_the_last_one_signs() -> None:
    log = Log()
    log.change_key(OTHER)
    log.change_key(THIRD, "lost", old=OTHER.public)
    data = sealed(log)
    found = record.verify(data, key=THIRD.public.fingerprint)
    first, second, third = (one.public.fingerprint[:9] for one in (KEY, OTHER, THIRD))
    planned = (
        f"The key was changed at place 14 of the log, from {first}… to {second}…; both keys signed "
        "the change."
    )
    lost = (
        f"The key was replaced at place 15 of the log, from {second}… to {third}…, without the old "
        "key's signature. That it is still the same workshop, only something outside this file can "
        "show: a head it gave out before (--against)."
    )
    assert (found.ok, notes(found)) == (True, [planned, lost])
    assert not record.verify(data, key=OTHER.public.fingerprint).ok


def test_a_change_of_key_that_is_not_signed_is_found() -> None:
    log = Log()
    body = log.change_key(OTHER).body
    log.lines.pop()
    log.also.pop()
    log.also.append(log.add(KEY_CHANGED, {**body, "signed_by_old": body["signed_by_new"]}).id)
    log.seal("wheel")
    found = record.verify(unchecked(log))
    assert findings(found) == [
        "Its keys do not follow: the change of key at place 14 is not signed by its keys."
    ]


def test_a_record_signed_with_a_key_from_before_the_change_is_found() -> None:
    log = Log()
    log.change_key(OTHER)
    log.seal("wheel")
    log.key = KEY
    found = record.verify(unchecked(log))
    assert findings(found) == [
        "The record is signed with another key than its log began with: it was rebuilt."
    ]


def unchecked(log: Log) -> bytes:
    """Write a record as somebody would who does not look whether it holds."""
    tree = log.tree
    content = copy.deepcopy(CONTENT)
    content.update(checkpoint=log.note(), key=log.key.public.text)
    content["entries"] = [
        {"entry": json.loads(one.data), "index": one.index, "proof": log.proof(tree, one.index)}
        for one in log.chosen("wheel")
    ]
    return canonical(content)


# What was kept outside the log.

GROWN = "the same log; its first 15 entries are as they were when that head was kept."
STRANGE = (
    "later.txt: its signature is of another key than those of this record; it is worth what the "
    "place is worth where it was kept."
)


def test_a_head_that_was_kept_is_held_against_the_record() -> None:
    kept = read_anchor(GOOD, "earlier.json")
    found = record.verify(GOOD, key=KEY.public.text, anchors=[kept])
    assert (found.ok, notes(found)) == (True, [f"earlier.json: {GROWN}"])
    other = Log()
    other.seal("head")
    found = record.verify(GOOD, anchors=[read_anchor(other.note().encode(), "later.txt")])
    assert [one.partition(".txt: ")[2].partition(".")[0] for one in findings(found)] == [
        "the log went another way"
    ]


def test_any_key_of_the_log_may_have_signed_a_head_that_was_kept() -> None:
    log = Log()
    log.change_key(OTHER)
    data = sealed(log)
    for key, told in ((KEY, []), (OTHER, []), (THIRD, [STRANGE])):
        note = log.note(key=key)
        found = record.verify(
            data, key=OTHER.public.text, anchors=[read_anchor(note.encode(), "later.txt")]
        )
        assert found.ok
        assert notes(found)[2:] == told


def test_the_line_of_a_witness_is_told() -> None:
    head = read_checkpoint(CONTENT["checkpoint"]).head
    note = LOG.note() + countersign(head, "neighbour", NEIGHBOUR, 1_700_000_000).line
    kept = [read_anchor(note.encode(), "kept.txt")]
    found = record.verify(GOOD, anchors=kept, witnesses=[("neighbour", NEIGHBOUR.public)])
    assert notes(found)[-1] == "kept.txt: countersigned by neighbour at 2023-11-14T22:13:20+00:00."
    found = record.verify(GOOD, anchors=kept)
    assert notes(found)[-1].startswith("kept.txt: it bears a line of neighbour, whose key was not")
    found = record.verify(GOOD, anchors=kept, witnesses=[("neighbour", KEY.public)])
    assert findings(found) == ["kept.txt: the line of neighbour was not made with its key."]


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("outside") / "authority")


@pytest.fixture(scope="module")
def stamp(authority: Authority) -> TimeStamp:
    return read_stamp(authority.answer(stamp_request(CONTENT["checkpoint"]).data), "a.tsr")


def unproved(stamp: TimeStamp) -> str:
    return (
        f"{stamp.name}: its signature was not checked, for the authority's certificate was not "
        f"given (--chain). It says: CN=Invented Stamps, {stamp.time.isoformat()}."
    )


def test_time_stamps_are_told_one_after_the_other_beside_the_rest(stamp: TimeStamp) -> None:
    longer = Log()
    longer.lines = list(LOG.lines)
    longer.add("note", {})
    kept = read_anchor(longer.note().encode(), "kept.txt")
    bridge = read_anchor(longer.bridge(15).encode(), "bridge.txt")
    later = replace(stamp, name="b.tsr", imprint=stamp_request(longer.note()).imprint)
    found = record.verify(GOOD, anchors=[stamp, kept, bridge, later])
    assert notes(found) == [
        COMPARE,
        f"kept.txt: {GROWN}",
        f"bridge.txt: {GROWN}",
        "a.tsr: a time stamp over the head of this record.",
        unproved(stamp),
        "b.tsr: a time stamp over the head in kept.txt.",
        unproved(later),
    ]


def test_a_time_stamp_is_checked_by_the_certificates_given(
    authority: Authority, stamp: TimeStamp
) -> None:
    found = record.verify(
        GOOD, key=KEY.public.text, anchors=[stamp], chain=read_chain(authority.root, "root.pem")
    )
    assert found.ok
    assert notes(found)[1].startswith("a.tsr: CN=Invented Stamps saw its hash at ")


def test_time_stamps_that_do_not_hold_are_findings_beside_the_others(
    authority: Authority, stamp: TimeStamp
) -> None:
    chain = read_chain((authority.folder / "signer.pem").read_bytes(), "signer.pem")
    elsewhere = replace(stamp, name="b.tsr", imprint=bytes(32))
    found = record.verify(
        changed(lambda c: c.update(odd=1)), anchors=[stamp, elsewhere], chain=chain
    )
    first, second, third = findings(found)
    assert first == "The record holds 'odd', which is not signed."
    assert second.startswith("a.tsr: the time stamp does not hold by the certificates given: ")
    assert third.startswith("b.tsr: the time stamp is over none of the heads given.")
    assert notes(found) == [COMPARE, "a.tsr: a time stamp over the head of this record."]


def test_a_time_stamp_without_the_name_of_its_signer(stamp: TimeStamp) -> None:
    found = record.verify(GOOD, anchors=[replace(stamp, signer="")])
    assert notes(found)[2].endswith(f" It says: ?, {stamp.time.isoformat()}.")


def test_without_a_readable_head_nothing_can_be_held_against_it(stamp: TimeStamp) -> None:
    kept = read_anchor(GOOD, "earlier.json")
    odd = changed(lambda c: c.update(checkpoint="x"))
    found = record.verify(odd, anchors=[kept, stamp])
    assert [one[:31] for one in findings(found)] == [
        "The signed head of the log was ",
        "Under this head no entry of the",
    ]
    assert notes(found) == [COMPARE]
    assert (found.origin, found.size, found.root) == (None, None, None)
