"""One byte form for one content, and clear refusals."""

import math
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import BadFile, Refused
from clampwright.proof import canonical, parse_strict
from clampwright.proof.strictjson import MAX_DEPTH, MAX_INTEGER, normalised

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12).map(normalised)
CONTENTS = st.recursive(
    st.none() | st.booleans() | st.integers(-MAX_INTEGER, MAX_INTEGER) | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=12,
)


@given(CONTENTS)
def test_there_and_back_again(content: Any) -> None:
    data = canonical(content)
    assert parse_strict(data) == content
    assert canonical(parse_strict(data)) == data


@given(st.dictionaries(TEXTS, st.integers(0, 9), max_size=6), st.randoms())
def test_order_of_writing_does_not_matter(content: dict[str, int], random: Any) -> None:
    items = list(content.items())
    random.shuffle(items)
    assert canonical(dict(items)) == canonical(content)


BORDER = st.text(st.sampled_from("az\ud7ff\ue000\uffff\U00010000\U0010ffff"), max_size=3)


@given(st.dictionaries(TEXTS | BORDER.map(normalised), CONTENTS, max_size=5))
def test_the_bytes_are_those_of_the_reference(content: dict[str, Any]) -> None:
    """RFC 8785, by the package of that name, names in the order of UTF-16 included."""
    assert canonical(content) == rfc8785.dumps(content)


def test_the_order_of_names_is_that_of_utf_16() -> None:
    assert canonical({"\ue000": 1, "\U00010000": 2}) == '{"\U00010000":2,"\ue000":1}'.encode()


def nested(depth: int) -> Any:
    content: Any = 1
    for _ in range(depth):
        content = [content]
    return content


@pytest.mark.parametrize(
    ("content", "part"),
    [
        ({"value": 41.5}, "/value: 41.5 is a binary float"),
        ({"a": [math.nan]}, "/a/0: nan is a binary float"),
        ({"a": 2**53}, "/a: 9007199254740992 is too large"),
        ({"a": -(2**53)}, "/a: -9007199254740992 is too large"),
        ({"a": 10**40 - 1}, f"/a: {'9' * 40} is too large"),
        ({"a": 10**40}, "/a: ≥ 10^40 is too large"),
        ({"a": 10**5000}, "/a: ≥ 10^40 is too large"),
        ({"a": -(10**5000)}, "/a: ≤ -10^40 is too large"),
        ({"name": "o\u0308"}, "/name: the text is not in Unicode form NFC"),
        ({"o\u0308": 1}, "not in Unicode form NFC"),
        ({"a": "\ud800"}, "half a character"),
        ({1: "a"}, "the name 1 is not text"),
        ({"a": b"x"}, "/a: bytes cannot be written"),
        ({"a": {1, 2}}, "set cannot be written"),
        (nested(MAX_DEPTH + 1), "nested too deep"),
        ({"a": "x" * 1_000_001}, "too many; at most 1000000"),
    ],
)
def test_what_has_no_single_form_is_refused(content: Any, part: str) -> None:
    with pytest.raises(Refused) as caught:
        canonical(content)
    assert part in str(caught.value)


def test_the_limits_themselves_are_inside() -> None:
    for content in (MAX_INTEGER, -MAX_INTEGER, [0, True, None], nested(MAX_DEPTH)):
        assert parse_strict(canonical(content)) == content
    assert parse_strict(b"-9007199254740991") == -MAX_INTEGER
    text = "x" * 8
    assert canonical(text, max_bytes=10) == b'"xxxxxxxx"'
    assert parse_strict(b'"xxxxxxxx"', max_bytes=10) == text
    with pytest.raises(Refused, match="10 bytes are too many; at most 9"):
        canonical(text, max_bytes=9)
    with pytest.raises(BadFile, match="10 bytes are too many; at most 9"):
        parse_strict(b'"xxxxxxxx"', max_bytes=9)
    assert canonical([[1]], max_depth=2) == b"[[1]]"
    with pytest.raises(Refused, match="/0: nested too deep"):
        canonical([[1]], max_depth=1)
    assert canonical({"a": {"b": 1}}, max_depth=2) == b'{"a":{"b":1}}'
    with pytest.raises(Refused, match="/a: nested too deep"):
        canonical({"a": {"b": 1}}, max_depth=1)
    with pytest.raises(Refused, match=r"^/: nested too deep"):
        canonical([], max_depth=0)


@pytest.mark.parametrize(
    ("content", "part"),
    [
        ({"a": [{"b": ["x", "o\u0308"]}]}, "/a/0/b/1: the text is not in"),
        ("o\u0308", "/: the text is not in"),
        (2.5, "/: 2.5 is a binary float"),
        (b"x", "/: bytes cannot be written as JSON"),
        ({7: 1}, "/: the name 7 is not text"),
        ({"a": {"o\u0308": 1}}, "/a: the text is not in"),
        ({"a": {7: 1}}, "/a: the name 7 is not text"),
        ([0, [1, 2.5]], "/1/1: 2.5 is a binary float"),
        (("x", object()), "/1: object cannot be written as JSON"),
        ({"a": "\udfff"}, "/a: the text holds half a character"),
    ],
)
def test_a_refusal_says_where(content: Any, part: str) -> None:
    with pytest.raises(Refused) as caught:
        canonical(content)
    assert str(caught.value).startswith(part)


@pytest.mark.parametrize(
    ("data", "part"),
    [
        (b"12345678901234567", "/: 12345678901234567 is too large a whole number"),
        (b"123456789012345678", "paper: 123456789012345678 is too large a whole number"),
        (b"-1234567890123456", None),
        (b"1" * 50, f"{'1' * 40} is too large"),
        (b"0." + b"1" * 50, f"paper: 0.{'1' * 38} is not a whole number"),
        (b'[1,\n"a', "line 2, column 1: this is not JSON"),
        (b"[" * 32 + b"]" * 32, None),
        (b"[" * 33 + b"]" * 33, "/: nested too deep"),
        (b'{"a":' * 33 + b"1" + b"}" * 33, "/: nested too deep"),
        (b"[]" * 40, "this is not JSON"),  # side by side is not deep
        (b"[[1],[2],[3]" + b",[4]" * 40 + b"]", None),
        (b'"\\"[["', None),
        (b"[1]x", "this is not JSON"),
        (b'"\xc3\xa4', "this is not JSON"),
        (b"[1 ,2]", "not in its exact form from byte 3"),
        (b"[1,2] ", "not in its exact form from byte 6"),
    ],
)
def test_what_is_read_and_what_not_quite(data: bytes, part: str | None) -> None:
    if part is None:
        assert canonical(parse_strict(data, "paper")) == data
        return
    with pytest.raises(BadFile) as caught:
        parse_strict(data, "paper")
    assert str(caught.value).startswith("paper: ")
    assert part in str(caught.value)


def test_without_a_name_it_is_an_entry() -> None:
    with pytest.raises(BadFile, match=r"^entry: line 1, column 1: this is not JSON") as caught:
        parse_strict(b"x")
    assert caught.value.file == "entry"


def test_a_list_that_holds_itself_is_refused() -> None:
    loop: list[Any] = []
    loop.append(loop)
    with pytest.raises(Refused, match="too deep"):
        canonical(loop)


@pytest.mark.parametrize(
    ("data", "part"),
    [
        (b'{"a":1,"a":2}', "the name 'a' stands twice"),
        (b'{"b":{"a":1,"a":1}}', "the name 'a' stands twice"),
        (b'{"a":1,"b":2,"b":3}', "the name 'b' stands twice"),
        (b'{"a":NaN}', "NaN is not a number"),
        (b'{"a":-Infinity}', "-Infinity is not a number"),
        (b'{"a":1.0}', "1.0 is not a whole number"),
        (b'{"a":1e2}', "1e2 is not a whole number"),
        (b'{"a":9007199254740992}', "too large a whole number"),
        (b'{"a":' + b"1" * 5000 + b"}", "too large a whole number"),
        (b'{"a":1}\n', "not in its exact form from byte 8"),
        (b'{ "a":1}', "not in its exact form from byte 2"),
        (b'{"b":1,"a":2}', "not in its exact form"),
        (b'{"a":"\\u0041"}', "not in its exact form"),
        (b'{"a":-0}', "not in its exact form"),
        (b'\xef\xbb\xbf{"a":1}', "this is not JSON"),
        (b'{"a":"\xff"}', "byte 7 is not UTF-8"),
        (b'{"a":"\\ud800"}', "half a character"),
        ('{"a":"o\u0308"}'.encode(), "paper.json: /a: the text is not in Unicode form NFC"),
        (b'{"a":1', "line 1, column 7: this is not JSON (Expecting ',' delimiter)"),
        (b"", "this is not JSON"),
        (b"[" * 100_000, "nested too deep"),
        (b'{"a":' * 500_000, "too many"),
        (b'"' + b'\\"' * 400_000, "this is not JSON"),
        (b'"' + b'\\"' * 400_000 + b"\\", "this is not JSON"),
    ],
)
def test_doubtful_json_is_refused(data: bytes, part: str) -> None:
    with pytest.raises(BadFile) as caught:
        parse_strict(data, "paper.json")
    assert str(caught.value).startswith("paper.json: ")
    assert part in str(caught.value)
    assert caught.value.file == "paper.json"


def test_another_byte_form_is_taken_when_asked() -> None:
    assert parse_strict(b'{ "b": "\\u0041", "a": [ ] }\n', exact=False) == {"a": [], "b": "A"}


def test_brackets_in_text_do_not_count_as_nesting() -> None:
    content = {"a": "[{" * 500, "b": '"[' * 100}
    assert parse_strict(canonical(content)) == content


def test_normalised_reaches_names_and_lists() -> None:
    assert normalised({"o\u0308": ["o\u0308", 1, None, ("u\u0308",)]}) == {
        "\u00f6": ["\u00f6", 1, None, ["\u00fc"]]
    }
