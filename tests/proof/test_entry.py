"""One line of the log: what it may hold."""

from typing import Any

import pytest

from clampwright.errors import BadFile, Refused
from clampwright.proof.entry import compose, entry_problem, read_entry
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
