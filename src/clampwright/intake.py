"""The gate for bytes that come from outside: how much of what is taken, in one table.

Whatever reads a file, a request or a line of a wrench names its row in ``intake.csv`` beside this
file, and what lies past the row is refused before a parser meets it. A limit stands there with its
reason; `docs/reference/limits.md` shows the table.
"""

from __future__ import annotations

import csv
import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from http.cookies import CookieError, SimpleCookie
from importlib.resources import files
from types import MappingProxyType
from typing import Any
from urllib.parse import parse_qsl

from clampwright.errors import BadFile
from clampwright.words import Words, words

MOST_DIGITS = 400
"""Digits of one number: the largest double has 309."""


@dataclass(frozen=True, slots=True)
class Row:
    """What is taken of one sort of content; None where the size sets no limit.

    Parameters
    ----------
    reader : str
        Name of the row.
    of : str
        What is read.
    bytes : int or None
        Largest size.
    lines : int or None
        Most lines, rows, or files.
    width : int or None
        Longest line in characters, or most columns.
    depth : int or None
        Deepest nesting.
    why : str
        Where the figures come from.
    """

    reader: str
    of: str
    bytes: int | None
    lines: int | None
    width: int | None
    depth: int | None
    why: str


@cache
def rows() -> Mapping[str, Row]:
    """Return the table, by name of the row.

    Returns
    -------
    mapping of str to Row

    Examples
    --------
    >>> rows()["toml"].bytes
    1000000
    """
    text = files("clampwright").joinpath("intake.csv").read_text("utf-8")
    found = {}
    for row in csv.DictReader(text.splitlines()):
        sizes = {name: int(row[name]) if row[name] else None for name in _SIZES}
        found[row["reader"]] = Row(reader=row["reader"], of=row["of"], why=row["why"], **sizes)
    return MappingProxyType(found)


_SIZES = ("bytes", "lines", "width", "depth")


def most(reader: str, size: str = "bytes") -> int:
    """Return one limit of a row that has it.

    Parameters
    ----------
    reader : str
    size : {"bytes", "lines", "width", "depth"}

    Returns
    -------
    int

    Examples
    --------
    >>> most("toml", "depth")
    12
    """
    found: int | None = getattr(rows()[reader], size)
    if found is None:
        raise LookupError(f"{reader} has no limit of {size}")
    return found


def sized(data: bytes, reader: str, name: str) -> bytes:
    """Refuse what is larger than its row says.

    Parameters
    ----------
    data : bytes
    reader : str
        Name of the row.
    name : str
        Name of the file, for messages.

    Returns
    -------
    bytes
        The same.

    Raises
    ------
    BadFile
    """
    limit = rows()[reader].bytes
    if limit is not None and len(data) > limit:
        raise BadFile(
            words(
                "{file}: {size} bytes is too large; at most {limit} are taken",
                file=name,
                size=len(data),
                limit=limit,
            ),
            file=name,
        )
    return data


def text_of(data: bytes, reader: str, name: str) -> str:
    r"""Return text whose size, number of lines and longest line are within its row.

    Parameters
    ----------
    data : bytes
        UTF-8, with a byte-order mark or without.
    reader : str
        Name of the row.
    name : str
        Name of the file, for messages.

    Returns
    -------
    str

    Raises
    ------
    BadFile
        Too large, too many lines, too long a line, or no UTF-8.

    Examples
    --------
    >>> text_of(b"\xef\xbb\xbfa = 1\n", "toml", "job.toml")
    'a = 1\n'
    """
    sized(data, reader, name)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise BadFile(
            words("{file}, line {line}: this is not UTF-8 text", file=name, line=line),
            file=name,
            line=line,
            expected="UTF-8 text",
        ) from error
    check_lines(text, reader, name)
    return text


def check_lines(text: str, reader: str, name: str) -> None:
    """Refuse too many lines, and a line that is too long.

    Parameters
    ----------
    text : str
    reader : str
        Name of the row.
    name : str
        Name of the file, for messages.

    Raises
    ------
    BadFile
    """
    row = rows()[reader]
    count = text.count("\n")
    if row.lines is not None and count > row.lines:
        raise BadFile(
            words(
                "{file}: {count} lines are too many; at most {limit} are taken",
                file=name,
                count=count,
                limit=row.lines,
            ),
            file=name,
        )
    if row.width is None or len(text) <= row.width:
        return
    at = 0
    for number in range(1, count + 2):
        end = text.find("\n", at)
        end = len(text) if end < 0 else end
        if end - at > row.width:
            raise BadFile(
                words(
                    "{file}, line {line}: {count} characters are too long a line; at most {limit} "
                    "are taken",
                    file=name,
                    line=number,
                    count=end - at,
                    limit=row.width,
                ),
                file=name,
                line=number,
            )
        at = end + 1


def json_of(data: bytes | str, reader: str, name: str, *, otherwise: Words | None = None) -> Any:
    """Read JSON within its row: size, depth, numbers, and text that is whole.

    Parameters
    ----------
    data : bytes or str
    reader : str
        Name of the row.
    name : str
        Name of the file, for messages.
    otherwise : Words, optional
        What to say where it is no JSON; else line and column are said.

    Returns
    -------
    object

    Raises
    ------
    BadFile
        Too large, too deep, not JSON, NaN or infinities, a number too long, or half a character.

    Examples
    --------
    >>> json_of('{"torque": 45.5}', "given", "given.json")
    {'torque': 45.5}
    """
    raw = data.encode("utf-8", "surrogatepass") if isinstance(data, str) else data
    sized(raw, reader, name)
    try:
        text = raw.decode("utf-8-sig")
        check_depth(text, reader, name)
        content = json.loads(
            text,
            object_pairs_hook=_whole,
            parse_constant=_no_constant,
            parse_int=_integer,
            parse_float=_finite,
        )
        _check_text(content)
    except json.JSONDecodeError as error:
        said = otherwise or words(
            "{file}, line {line}, column {column}: this is not JSON: {problem}",
            file=name,
            line=error.lineno,
            column=error.colno,
            problem=error.msg,
        )
        raise BadFile(
            said, file=name, line=error.lineno, column=error.colno, expected="JSON"
        ) from error
    except UnicodeError as error:
        said = otherwise or words("{file}: this is not UTF-8 text", file=name)
        raise BadFile(said, file=name, expected="UTF-8 text") from error
    except _Unfit as error:
        said = otherwise or words(
            "{file}: {what} is not a number that can be taken", file=name, what=str(error)[:40]
        )
        raise BadFile(said, file=name, expected="JSON") from error
    return content


def answer_of(data: bytes | str) -> dict[str, Any]:
    """Read what a server of this program answered to a program on this machine.

    Parameters
    ----------
    data : bytes or str

    Returns
    -------
    dict

    Raises
    ------
    BadFile
        When it is no JSON object within the row ``server answer``.
    """
    content = json_of(data, "server answer", "answer")
    if not isinstance(content, dict):
        raise BadFile(words("the answer is no answer of this program"), file="answer")
    return content


class _Unfit(Exception):  # noqa: N818 - carries a number inside this module, never leaves it
    pass


def _no_constant(text: str) -> float:
    raise _Unfit(text)


def _integer(text: str) -> int:
    # The length is looked at first: turning a text of many digits into a number costs their square.
    if len(text) > MOST_DIGITS:
        raise _Unfit(text)
    return int(text)


def _finite(text: str) -> float:
    number = float(text) if len(text) <= MOST_DIGITS else float("inf")
    if number in {float("inf"), float("-inf")}:
        raise _Unfit(text)
    return number


def _whole(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Refuse text with half a character (RFC 8259, 8.2): it cannot be written anywhere again."""
    for key, value in pairs:
        key.encode()
        _check_text(value)
    return dict(pairs)


def _check_text(value: object) -> None:
    if isinstance(value, str):
        if not value.isascii():
            value.encode()
    elif isinstance(value, list):
        for one in value:
            _check_text(one)


def form_of(data: bytes, name: str = "form") -> dict[str, str]:
    """Read a form as a browser sends it (WHATWG URL standard, "application/x-www-form-urlencoded").

    Parameters
    ----------
    data : bytes
    name : str
        For messages.

    Returns
    -------
    dict of str to str
        Fields cut to the width of the row ``form``; of a field that stands twice the last.

    Raises
    ------
    BadFile
        Too large, or too many fields.

    Examples
    --------
    >>> form_of(b"name=A%20B&age=")
    {'name': 'A B', 'age': ''}
    """
    row = rows()["form"]
    text = sized(data, "form", name).decode("utf-8", "replace")
    try:
        pairs = parse_qsl(text, keep_blank_values=True, max_num_fields=most("form", "lines"))
    except ValueError as error:
        raise BadFile(
            words("{file}: more than {limit} fields", file=name, limit=most("form", "lines")),
            file=name,
        ) from error
    return {key: value[: row.width] for key, value in pairs}


def cookies_of(header: str) -> dict[str, str]:
    """Read the cookies of a request; none from what is no such header.

    Parameters
    ----------
    header : str

    Returns
    -------
    dict of str to str

    Examples
    --------
    >>> cookies_of("a=1; b=2")
    {'a': '1', 'b': '2'}
    """
    if len(header) > most("cookies"):
        return {}
    jar = SimpleCookie()
    try:
        jar.load(header)
    except CookieError:
        return {}
    return {name: morsel.value for name, morsel in jar.items()}


# Each also takes what is never closed, so that a hostile text is passed over once, not again and
# again from each of its quotes.
_JSON_STRING = re.compile(r'"(?:[^"\\]|\\.)*+(?:"|\\?\Z)', re.DOTALL)
_TOML_SKIPPED = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:"{3,5}|\\?\Z)'
    r"|'''(?:[^']|'(?!''))*+(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]|\\.)*+(?:"|\\?$|\\?\Z)'
    r"|'[^'\n]*+(?:'|$|\Z)"
    r"|\#[^\n]*+",
    re.DOTALL | re.MULTILINE,
)
_BRACKETS = re.compile(r"[\[{]+|[\]}]+")


def check_depth(text: str, reader: str, name: str) -> None:
    """Refuse JSON that is nested too deep, before a parser runs out of stack over it.

    Parameters
    ----------
    text : str
    reader : str
        Name of the row.
    name : str
        Name of the file, for messages.

    Raises
    ------
    BadFile
    """
    limit = rows()[reader].depth
    if limit is not None:
        _check_brackets(_JSON_STRING.sub("", text), limit, name)


def _check_brackets(text: str, limit: int, name: str) -> None:
    depth = 0
    for found in _BRACKETS.finditer(text):
        brackets = found[0]
        depth += len(brackets) if brackets[0] in "[{" else -len(brackets)
        if depth > limit:
            raise _too_deep(name, limit)


def _too_deep(name: str, limit: int) -> BadFile:
    return BadFile(
        words("{file}: nested more than {limit} deep", file=name, limit=limit),
        file=name,
        expected="plain content",
    )


def toml_of(text: str, name: str) -> dict[str, Any]:
    """Parse TOML whose depth, keys and numbers are within the row ``toml``.

    Parameters
    ----------
    text : str
        From `text_of`, which has looked at its size.
    name : str
        Name of the file, for messages.

    Returns
    -------
    dict

    Raises
    ------
    BadFile
        Nested too deep, a key of too many parts, or a number of too many digits.
    tomllib.TOMLDecodeError
        When it is no TOML.

    Examples
    --------
    >>> toml_of("a.b = 1", "job.toml")
    {'a': {'b': 1}}
    """
    limit = most("toml", "depth")
    bare = _TOML_SKIPPED.sub("x", text)
    _check_brackets(bare, limit, name)
    # A key of many parts costs the square of their number, and lets tables nest past the stack.
    if re.search(rf"(?<![\w-])[\w-]++(?:[ \t]*+\.[ \t]*+[\w-]++){{{limit}}}", bare):
        raise _too_deep(name, limit)
    if long := re.search(rf"(?<!\w)[0-9A-Fa-f_]{{{MOST_DIGITS}}}", bare):
        raise BadFile(
            words("{file}: {what} is not a number that can be taken", file=name, what=long[0][:40]),
            file=name,
            expected="a shorter number",
        )
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise _too_deep(name, limit) from error
