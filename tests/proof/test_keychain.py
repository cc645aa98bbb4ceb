"""Which key signs a log at which time, and every change of key that does not hold."""

from typing import Any

import pytest
from small_log import KEY, OTHER, Log

from clampwright.errors import Refused
from clampwright.proof.checkpoint import Head
from clampwright.proof.keychain import (
    KEY_CHANGED,
    KeyChain,
    KeyChange,
    compose_change,
    follow,
    statement,
)
from clampwright.proof.keys import PublicKey, SigningKey, to_base64
from clampwright.proof.verification import KeyLine

THIRD = SigningKey.from_seed(bytes(range(2, 34)))
HEAD = Head("yard.56475aa7", 3, bytes(range(32)))
FIRST = KEY.public


def line(head: Head = HEAD, **changed: Any) -> KeyLine:
    """A planned change from the first key to another, with some members changed."""
    body = compose_change(head, KEY, OTHER, "planned")
    return KeyLine(head.size, KEY_CHANGED, {**body, **changed})


def told(*lines: KeyLine, origin: str = HEAD.origin) -> str:
    return str(follow(FIRST, origin, lines))


def test_both_keys_sign_the_same_statement() -> None:
    assert statement(HEAD, FIRST, OTHER.public, "planned").decode().split("\n") == [
        "clampwright key change",
        "yard.56475aa7",
        "3",
        to_base64(bytes(range(32))),
        FIRST.text,
        OTHER.public.text,
        "planned",
        "",
    ]


def test_the_body_of_a_change() -> None:
    body = compose_change(HEAD, KEY, OTHER, "stolen")
    said = statement(HEAD, FIRST, OTHER.public, "stolen")
    assert body == {
        "before": {"key": FIRST.text, "root": to_base64(HEAD.root), "size": 3},
        "key": OTHER.public.text,
        "reason": "stolen",
        "signed_by_new": to_base64(OTHER.sign(said)),
        "signed_by_old": to_base64(KEY.sign(said)),
    }
    lost = compose_change(HEAD, FIRST, OTHER, "lost")
    assert lost["signed_by_old"] is None
    assert lost["signed_by_new"] == to_base64(
        OTHER.sign(statement(HEAD, FIRST, OTHER.public, "lost"))
    )


@pytest.mark.parametrize(
    ("old", "new", "reason", "part"),
    [
        (KEY, KEY, "planned", "the new key is the old one"),
        (FIRST, KEY, "lost", "the new key is the old one"),
        (KEY, OTHER, "bored", "'bored' is no reason to change a key"),
        (FIRST, OTHER, "planned", "a planned change of key is signed by the old key too"),
    ],
)
def test_what_is_no_change_of_key(old: Any, new: SigningKey, reason: Any, part: str) -> None:
    with pytest.raises(Refused, match=f"^{part}$"):
        compose_change(HEAD, old, new, reason)


def test_the_keys_of_a_log_are_followed_through_its_entries() -> None:
    log = Log()
    assert follow(FIRST, log.origin, log.entries) == KeyChain(FIRST)
    log.change_key(OTHER)
    log.add("note", {})
    log.change_key(THIRD, "lost", old=OTHER.public)
    chain = follow(FIRST, log.origin, log.entries)
    assert isinstance(chain, KeyChain)
    assert chain.changes == (
        KeyChange(14, FIRST, OTHER.public, "planned", vouched=True),
        KeyChange(16, OTHER.public, THIRD.public, "lost", vouched=False),
    )
    assert chain.current == THIRD.public
    assert [chain.key_for(size) for size in (0, 14, 15, 16, 17, 99)] == [
        *[FIRST] * 2,
        *[OTHER.public] * 2,
        *[THIRD.public] * 2,
    ]
    assert KeyChain(FIRST).current == KeyChain(FIRST).key_for(9) == FIRST


BEFORE = dict(line().body["before"])


@pytest.mark.parametrize(
    ("changed", "problem"),
    [
        ({"more": 1}, "has another form"),
        ({"before": None}, "has another form"),
        ({"before": [1, 2, 3]}, "has another form"),
        ({"before": {**BEFORE, "more": 1}}, "has another form"),
        ({"before": {"key": FIRST.text, "size": 3}}, "has another form"),
        ({"reason": "bored"}, "has another form"),
        ({"reason": None}, "has another form"),
        ({"before": {**BEFORE, "key": "AAAA"}}, "is not readable"),
        ({"before": {**BEFORE, "key": 7}}, "is not readable"),
        ({"before": {**BEFORE, "root": "AAAA"}}, "is not readable"),
        ({"before": {**BEFORE, "root": "no base64"}}, "is not readable"),
        ({"key": None}, "is not readable"),
        ({"key": to_base64(bytes(33))}, "is not readable"),
        ({"before": {**BEFORE, "size": 2}}, "was made for another place"),
        ({"before": {**BEFORE, "size": "3"}}, "was made for another place"),
        (
            {"before": {**BEFORE, "key": THIRD.public.text}},
            "starts from another key than the log had",
        ),
        ({"before": {**BEFORE, "root": to_base64(bytes(32))}}, "is not signed by its keys"),
        ({"key": THIRD.public.text}, "is not signed by its keys"),
        ({"reason": "lost"}, "is not signed by its keys"),
        ({"signed_by_new": None}, "is not signed by its keys"),
        ({"signed_by_new": 7}, "is not signed by its keys"),
        ({"signed_by_new": "no base64"}, "is not signed by its keys"),
        ({"signed_by_old": 7}, "is not signed by its keys"),
        ({"signed_by_old": ""}, "is not signed by its keys"),
        ({"signed_by_old": line().body["signed_by_new"]}, "is not signed by its keys"),
        ({"signed_by_new": line().body["signed_by_old"]}, "is not signed by its keys"),
        ({"signed_by_old": None}, "lacks the old key's signature"),
    ],
)
def test_a_change_that_does_not_hold_is_told(changed: dict[str, Any], problem: str) -> None:
    assert told(line(**changed)) == f"the change of key at place 3 {problem}"


def test_a_change_lacks_no_member() -> None:
    body = dict(line().body)
    del body["signed_by_old"]
    lacking = KeyLine(3, KEY_CHANGED, body)
    assert told(lacking) == "the change of key at place 3 has another form"
    assert told(KeyLine(3, KEY_CHANGED, {})) == "the change of key at place 3 has another form"


def test_a_truth_value_is_no_size() -> None:
    """In Python True equals 1, which would be the place of the second entry."""
    head = Head(HEAD.origin, 1, HEAD.root)
    sound = line(head)
    assert isinstance(follow(FIRST, HEAD.origin, [sound]), KeyChain)
    odd = line(head, before={**sound.body["before"], "size": True})
    assert told(odd) == "the change of key at place 1 has another form"


def test_a_change_belongs_to_its_log_and_its_place() -> None:
    assert told(line(), origin="barn") == "the change of key at place 3 is not signed by its keys"
    moved = KeyLine(4, KEY_CHANGED, line().body)
    assert told(moved) == "the change of key at place 4 was made for another place"
    assert told(line(), line()) == (
        "the change of key at place 3 starts from another key than the log had"
    )


def test_entries_of_other_kinds_are_passed_over() -> None:
    other = KeyLine(0, "note", {"before": None})
    chain = follow(FIRST, HEAD.origin, [other, line(), other])
    assert isinstance(chain, KeyChain)
    assert chain.current == PublicKey(OTHER.public.raw)
