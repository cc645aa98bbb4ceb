"""JSON with one byte form for one content: RFC 8785, and stricter where that lets doubt in.

Numbers are integers (measured values are decimal strings), text is in Unicode form NFC, names
stand once, nesting and size have limits. Whatever passes can be hashed and compared as bytes.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping
from typing import Any

import rfc8785

from clampwright.errors import BadFile, Refused
from clampwright.intake import most
from clampwright.words import Words, words

MAX_DEPTH = most("entry", "depth")
"""Nesting of objects and lists; entries need about six."""

MAX_BYTES = most("entry")
"""Size of one canonical text, unless the caller names another."""

MAX_INTEGER = 2**53 - 1
"""Largest integer every JSON reader keeps exactly (RFC 8785, section 3.2.2.3)."""

# Also takes a text that is never closed, so that a hostile file is passed over once, not again and
# again from each of its quotes.
_STRING = re.compile(rb'"(?:[^"\\]|\\.)*+(?:"|\\?\Z)', re.DOTALL)
_ENCODER = json.JSONEncoder(
    ensure_ascii=False, check_circular=False, sort_keys=True, separators=(",", ":")
)
_OTHER_ORDER = re.compile("[\ue000-\U0010ffff]")
_HALVES = re.compile("[\ud800-\udfff]")
_BRACKETS = re.compile(rb"[\[{]+|[\]}]+")


class _Fault(Exception):  # noqa: N818 - carries a sentence inside this module, never leaves it
    def __init__(self, message: Words) -> None:
        self.message = message


def canonical(content: object, *, max_bytes: int = MAX_BYTES, max_depth: int = MAX_DEPTH) -> bytes:
    """Return the one byte form of a content.

    Parameters
    ----------
    content : object
        Dictionaries with text keys, lists, tuples, text in form NFC, integers, booleans and None.
    max_bytes : int
        Largest size taken.
    max_depth : int
        Deepest nesting taken.

    Returns
    -------
    bytes
        UTF-8, after RFC 8785 (JSON Canonicalization Scheme).

    Raises
    ------
    Refused
        With the place of what cannot be taken: a binary float, text outside NFC, an integer past
        2**53 - 1, another type, too deep or too large.

    Examples
    --------
    >>> canonical({"unit": "N·m", "value": "41.5", "count": 2}).decode()
    '{"count":2,"unit":"N·m","value":"41.5"}'
    """
    try:
        _check(content, "", max_depth)
        data = _written(content)
        _check_size(data, max_bytes)
    except _Fault as fault:
        raise Refused(fault.message) from None
    return data


def normalised(content: object) -> Any:
    r"""Return a content with every text in Unicode form NFC, as `canonical` demands it.

    Parameters
    ----------
    content : object

    Returns
    -------
    object
        New dictionaries and lists; other values as they are.

    Examples
    --------
    >>> normalised({"name": "Scho\u0308n"}) == {"name": "Sch\u00f6n"}
    True
    """
    if isinstance(content, str):
        return unicodedata.normalize("NFC", content)
    if isinstance(content, Mapping):
        return {normalised(key): normalised(value) for key, value in content.items()}
    if isinstance(content, list | tuple):
        return [normalised(value) for value in content]
    return content


def parse_strict(
    data: bytes,
    name: str = "entry",
    *,
    max_bytes: int = MAX_BYTES,
    exact: bool = True,
) -> Any:
    """Read JSON that leaves no doubt about its content.

    Parameters
    ----------
    data : bytes
    name : str
        Name of the file or entry, for messages.
    max_bytes : int
        Largest size taken.
    exact : bool
        Demand the very bytes that `canonical` would write.

    Returns
    -------
    object

    Raises
    ------
    BadFile
        Double keys, NaN, infinities, numbers that are not integers, text outside NFC, too deep,
        too large, not JSON, or (with `exact`) another byte form of the same content.

    Examples
    --------
    >>> parse_strict(b'{"count":2}')
    {'count': 2}
    """
    try:
        _check_size(data, max_bytes)
        _check_nesting(data)
        content = _parsed(data)
        _check(content, "", MAX_DEPTH)
        if exact:
            _check_exact(data, _written(content))
    except _Fault as fault:
        raise BadFile(
            words("{file}: {problem}", file=name, problem=fault.message),
            file=name,
            expected="JSON in canonical form (RFC 8785)",
        ) from None
    return content


def _written(content: Any) -> bytes:
    """Return the bytes of a content that `_check` has let pass.

    Python's own encoder writes them many times sooner than one written in Python: it escapes what
    RFC 8785 escapes and nothing else. Only the order of names differs, by code point and not by
    UTF-16 code unit, and only where a character from U+E000 up takes part.
    """
    text = _ENCODER.encode(content)
    if _OTHER_ORDER.search(text):
        return rfc8785.dumps(content)
    return text.encode()


def _parsed(data: bytes) -> Any:
    try:
        return json.loads(
            data.decode("utf-8"),
            object_pairs_hook=_unique,
            parse_constant=_no_constant,
            parse_float=_no_float,
            parse_int=_integer,
        )
    except UnicodeDecodeError as error:
        raise _Fault(words("byte {at} is not UTF-8 text", at=error.start + 1)) from None
    except json.JSONDecodeError as error:
        raise _Fault(
            words(
                "line {line}, column {column}: this is not JSON ({problem})",
                line=error.lineno,
                column=error.colno,
                problem=error.msg,
            )
        ) from None


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    content = dict(pairs)
    if len(content) != len(pairs):
        seen: set[str] = set()
        double = next(key for key, _ in pairs if key in seen or seen.add(key))  # type: ignore[func-returns-value] # set.add is called for its effect; its None lets the search go on
        raise _Fault(words("the name {key!r} stands twice in one object", key=double))
    return content


def _no_constant(text: str) -> None:
    raise _Fault(words("{text} is not a number that can be kept", text=text))


def _no_float(text: str) -> None:
    raise _Fault(
        words("{text} is not a whole number; measured values are written as text", text=text[:40])
    )


def _integer(text: str) -> int:
    # The length is looked at first: turning a text of a million digits into a number is slow.
    if len(text) > 17:
        raise _Fault(words("{text} is too large a whole number", text=text[:40]))
    return int(text)


def _check_size(data: bytes, max_bytes: int) -> None:
    if len(data) > max_bytes:
        raise _Fault(
            words("{size} bytes are too many; at most {limit}", size=len(data), limit=max_bytes)
        )


def _check_nesting(data: bytes) -> None:
    """Refuse deep nesting before the parser meets it: it would run out of stack."""
    depth = 0
    for found in _BRACKETS.finditer(_STRING.sub(b"", data)):
        brackets = found[0]
        depth += len(brackets) if brackets[0] in b"[{" else -len(brackets)
        if depth > MAX_DEPTH:
            raise _too_deep("")


def _check_exact(data: bytes, wanted: bytes) -> None:
    if data != wanted:
        pairs = zip(data, wanted, strict=False)
        shorter = min(len(data), len(wanted))
        at = next((i for i, (a, b) in enumerate(pairs) if a != b), shorter)
        raise _Fault(words("not in its exact form from byte {at} on", at=at + 1))


def _too_deep(path: str) -> _Fault:
    return _Fault(words("{path}: nested too deep", path=path or "/"))


def _check(value: object, path: str, levels: int) -> None:
    """Walk a content and refuse what has no single byte form."""
    if value is None or isinstance(value, bool):
        return
    if isinstance(value, str):
        _check_text(value, path)
    elif isinstance(value, int):
        if abs(value) > MAX_INTEGER:
            # Python refuses to write a number of thousands of digits: it would take too long.
            told = str(value) if abs(value) < 10**40 else "≥ 10^40" if value > 0 else "≤ -10^40"
            raise _Fault(
                words("{path}: {value} is too large a whole number", path=path or "/", value=told)
            )
    elif levels == 0:
        raise _too_deep(path)
    elif isinstance(value, dict):
        _check_object(value, path, levels)
    elif isinstance(value, list | tuple):
        for number, item in enumerate(value):
            _check(item, f"{path}/{number}", levels - 1)
    else:
        raise _wrong_type(value, path)


def _check_object(value: dict[Any, object], path: str, levels: int) -> None:
    for key, item in value.items():
        if not isinstance(key, str):
            raise _Fault(
                words("{path}: the name {key} is not text", path=path or "/", key=repr(key))
            )
        _check_text(key, path)
        _check(item, f"{path}/{key}", levels - 1)


def _wrong_type(value: object, path: str) -> _Fault:
    if isinstance(value, float):
        return _Fault(
            words(
                "{path}: {value} is a binary float; write measured values as text, such as '41.5'",
                path=path or "/",
                value=repr(value),
            )
        )
    return _Fault(
        words(
            "{path}: {kind} cannot be written as JSON", path=path or "/", kind=type(value).__name__
        )
    )


def _check_text(text: str, path: str) -> None:
    if text.isascii():
        return
    if _HALVES.search(text):
        raise _Fault(words("{path}: the text holds half a character", path=path or "/"))
    if not unicodedata.is_normalized("NFC", text):
        raise _Fault(words("{path}: the text is not in Unicode form NFC", path=path or "/"))
