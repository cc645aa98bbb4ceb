"""One line of the log: what it may hold."""

from typing import Any

import pytest

from clampwright.errors import BadFile, Refused
from clampwright.proof.entry import MAX_DEPTH, compose, entry_problem, is_time, read_entry
from clampwright.proof.merkle import leaf_hash
from clampwright.proof.strictjson import canonical, parse_strict

GOOD: dict[str, Any] = {
    "id": "017f22e2-79b0-7cc3-98c4-dc0c0c07398f",
    "kind": "pull",
    "body": {"read": {"unit": "N·m", "value": "41.5"}},
    "job": "wheel",
    "job_seq": 3,
    "device_id": "bench",
    "device_time": "2026-01-31T14:05:00+01:00",
    "recorded": "2026-01-31T13:05:00.250000Z",
}


def test_there_and_back() -> None:
    data = compose(**GOOD)
    entry = read_entry(data, 7)
    assert (entry.index, entry.data) == (7, data)
    for name, value in GOOD.items():
        assert getattr(entry, name) == value
    assert entry.content == parse_strict(data)
    assert parse_strict(data).keys() == {
        *("body", "device", "id", "job", "job_seq", "kind", "recorded", "version")
    }


@pytest.mark.parametrize(
    ("change", "part"),
    [
        ({"id": "7"}, "the id '7' is not a UUID"),
        ({"id": 7}, "is not a UUID"),
        ({"kind": "Pull"}, "the kind 'Pull' must be small letters"),
        ({"kind": ""}, "the kind '' must be"),
        ({"body": []}, "the body of an entry is an object"),
        ({"body": {"value": 41.5}}, "/body/value: 41.5 is a binary float"),
        ({"job": ""}, "the job's name must be 1 to 200 characters"),
        ({"job": "x" * 201}, "the job's name must be"),
        ({"job": "a\nb"}, "the job's name must be"),
        ({"job": None}, "without a job has no place"),
        ({"job_seq": None}, "place in its job must be 0 or"),
        ({"job_seq": -1}, "place in its job must be 0 or"),
        ({"job_seq": True}, "place in its job must be 0 or"),
        ({"device_id": ""}, "the device's id must be"),
        ({"device_time": "yesterday"}, "'yesterday' is not a time after RFC 3339"),
        ({"device_time": "2026-02-30T10:00:00Z"}, "is not a time after RFC 3339"),
        ({"device_time": "2026-01-31T14:05:00"}, "is not a time after RFC 3339"),
        ({"recorded": "2026-01-31T14:05:00+01:00"}, "is not a time in UTC"),
    ],
)
def test_what_an_entry_may_not_hold(change: dict[str, Any], part: str) -> None:
    with pytest.raises(Refused) as caught:
        compose(**{**GOOD, **change})
    assert part in str(caught.value)


def test_other_members_are_refused() -> None:
    content = parse_strict(compose(**GOOD))
    assert entry_problem(content) is None
    assert "other members than it may have: note" in str(entry_problem({**content, "note": "x"}))
    lost = {key: value for key, value in content.items() if key != "recorded"}
    assert "recorded" in str(entry_problem(lost))
    assert "version '2' is not known" in str(entry_problem({**content, "version": 2}))
    assert "version" in str(entry_problem({**content, "version": True}))
    assert entry_problem([]) is not None
    assert entry_problem({**content, "device": {"id": "x"}}) is not None
    with pytest.raises(Refused, match="entry 3: an entry has other members"):
        read_entry(canonical({"a": 1}), 3)
    with pytest.raises(BadFile, match="entry 3: not in its exact form"):
        read_entry(b'{"a": 1}', 3)


@pytest.mark.parametrize(
    "change",
    [
        {"job": "x" * 200},
        {"job": "x"},
        {"job_seq": 0},
        {"job": None, "job_seq": None},
        {"kind": "a"},
        {"kind": "a" + "_" * 63},
        {"device_id": "x" * 200},
        {"body": {}},
    ],
)
def test_the_limits_themselves_are_inside(change: dict[str, Any]) -> None:
    entry = read_entry(compose(**{**GOOD, **change}), 0)
    for name, value in change.items():
        assert getattr(entry, name) == value
    assert entry.leaf_hash == leaf_hash(entry.data)


@pytest.mark.parametrize(
    ("change", "part"),
    [
        ({"kind": "a" * 65}, "small letters"),
        ({"kind": 7}, "the kind '7' must be small letters"),
        ({"device_id": "x" * 201}, "the device's id must be 1 to 200 characters"),
        ({"device_id": "a\nb"}, "the device's id must be"),
        ({"device_id": 7}, "the device's id must be"),
        ({"job": 7}, "the job's name must be 1 to 200 characters"),
        ({"job_seq": "0"}, "place in its job must be 0 or"),
        ({"recorded": "2026-01-31 14:05:00Z"}, "'2026-01-31 14:05:00Z' is not a time in UTC"),
        ({"recorded": 7}, "is not a time in UTC"),
        ({"device_time": 7}, "'7' is not a time after RFC 3339"),
    ],
)
def test_just_outside_is_outside(change: dict[str, Any], part: str) -> None:
    with pytest.raises(Refused) as caught:
        compose(**{**GOOD, **change})
    assert part in str(caught.value)


def test_a_body_nests_as_deep_as_an_entry_may_and_no_deeper() -> None:
    def nested(levels: int) -> dict[str, Any]:
        body: dict[str, Any] = {}
        for _ in range(levels):
            body = {"in": body}
        return body

    # The entry itself and its body are two levels.
    assert read_entry(compose(**{**GOOD, "body": nested(MAX_DEPTH - 2)}), 0).id == GOOD["id"]
    with pytest.raises(Refused, match="nested too deep"):
        compose(**{**GOOD, "body": nested(MAX_DEPTH - 1)})


def test_an_id_and_a_kind_that_are_none_are_told_in_whole_sentences() -> None:
    content = parse_strict(compose(**GOOD))
    assert str(entry_problem({**content, "id": "7"})) == (
        "the id '7' is not a UUID of version 7 in lower case"
    )
    assert str(entry_problem({**content, "kind": "A"})) == (
        "the kind 'A' must be small letters, digits and _"
    )


def test_what_is_odd_in_an_entry_is_named() -> None:
    content = parse_strict(compose(**GOOD))
    odd = {**content, "z": 1, "a": 2}
    del odd["kind"]
    assert str(entry_problem(odd)).endswith("than it may have: a, kind, z")
    devices: list[Any] = [[], {}, {"id": "x", "time": GOOD["recorded"], "more": 1}]
    for device in devices:
        assert "an id and a time, nothing else" in str(entry_problem({**content, "device": device}))


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("2026-02-28T14:05:00Z", True),
        ("2026-02-28T14:05:00.5+01:00", True),
        ("2026-02-28T14:05:00.123456789-11:30", True),
        ("2026-02-29T14:05:00Z", False),
        ("2026-02-28T24:05:00Z", False),
        ("2026-02-28T14:05:00", False),
        ("2026-02-28t14:05:00z", False),
        ("2026-02-28T14:05:00.Z", False),
        ("２026-02-28T14:05:00Z", False),
        (None, False),
        (7, False),
    ],
)
def test_what_a_time_is(text: object, *, is_one: bool) -> None:
    assert is_time(text) is is_one
