"""TOML files a person writes: read strictly, and refused in words that say where and what.

One function for all of them, so that a misspelt key is met the same way in a job and in a drawer:
the line, the key, and the nearest key that exists.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterator, Sequence
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from clampwright.errors import BadFile
from clampwright.intake import text_of, toml_of
from clampwright.words import words

Location = tuple[int | str, ...]


class FileModel(BaseModel):
    """Base of every table of a hand-written file: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


Model = TypeVar("Model", bound=FileModel)


def read_toml(data: bytes, name: str, model: type[Model]) -> Model:
    """Parse TOML and check it against a model.

    Parameters
    ----------
    data : bytes
        The file's content, UTF-8.
    name : str
        The file's name, for messages.
    model : type of FileModel
        What the file must hold.

    Returns
    -------
    FileModel
        An instance of `model`.

    Raises
    ------
    BadFile
        With file, line and what was expected.
    """
    text = text_of(data, "toml", name)
    try:
        content = toml_of(text, name)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(str(error), name) from error
    try:
        return model.model_validate(content)
    except ValidationError as error:
        first = min(error.errors(), key=_rank)
        raise _bad_file(first, text, name, model) from error


def _rank(detail: ErrorDetails) -> int:
    """Name an unknown key before a missing one: it is often the same key, misspelt."""
    return 0 if detail["type"] == "extra_forbidden" else 1


def _syntax_error(message: str, name: str) -> BadFile:
    where = re.search(r"\(at line (\d+), column (\d+)\)", message)
    line, column = (int(where[1]), int(where[2])) if where else (None, None)
    return BadFile(
        words(
            "{file}, line {line}: this is not TOML: {problem}",
            file=name,
            line=line or 1,
            problem=re.sub(r"\s*\(at .*\)$", "", message),
        ),
        file=name,
        line=line,
        column=column,
        expected="TOML",
    )


def _bad_file(detail: ErrorDetails, text: str, name: str, model: type[FileModel]) -> BadFile:
    location = detail["loc"]
    line = _line_of_any(text, location)
    key = ".".join(str(part + 1 if isinstance(part, int) else part) for part in location)
    if detail["type"] == "extra_forbidden":
        known = _known_keys(model, location[:-1])
        near = difflib.get_close_matches(str(location[-1]), known, n=1, cutoff=0.5)
        advice = near[0] if near else ", ".join(sorted(known))
        message = words(
            "{file}, line {line}: the key {key!r} is not known here; did you mean {advice}?",
            file=name,
            line=line or 1,
            key=str(location[-1]),
            advice=advice,
        )
    elif detail["type"] == "union_tag_invalid":
        tag, known = (
            str(detail["ctx"]["tag"]),
            re.findall("'([^']*)'", detail["ctx"]["expected_tags"]),
        )
        near = difflib.get_close_matches(tag, known, n=1, cutoff=0.5)
        advice = near[0] if near else ", ".join(known)
        message = words(
            "{file}, line {line}: {key}: the {what} {tag!r} is not known here; did you mean "
            "{advice}?",
            file=name,
            line=line or 1,
            key=key,
            what=detail["ctx"]["discriminator"].strip("'"),
            tag=tag,
            advice=advice,
        )
    elif detail["type"] == "missing":
        advice = str(location[-1])
        message = words("{file}, line {line}: {key} is missing", file=name, line=line or 1, key=key)
    else:
        advice = re.sub(r"^(Value|Assertion) error, ", "", detail["msg"])
        advice = re.sub(r"^Input should be ", "it should be ", advice)
        message = words(
            "{file}, line {line}: {key}: {problem}",
            file=name,
            line=line or 1,
            key=key,
            problem=advice,
        )
    return BadFile(message, file=name, line=line, expected=advice)


Node = dict[str, Any]


def _known_keys(model: type[BaseModel], location: Sequence[int | str]) -> list[str]:
    """Keys allowed at a location, found by walking the model's JSON Schema."""
    schema: Node = model.model_json_schema()
    definitions: Node = schema.get("$defs", {})
    nodes = _resolved(schema, definitions)
    for part in location:
        nodes = [
            resolved
            for node in nodes
            for child in _children(node, part)
            for resolved in _resolved(child, definitions)
        ]
    return sorted({key for node in nodes for key in node.get("properties", {})})


def _resolved(node: Node, definitions: Node) -> list[Node]:
    """Follow references and alternatives to the plain nodes behind them."""
    if "$ref" in node:
        return _resolved(definitions[node["$ref"].rpartition("/")[2]], definitions)
    alternatives = node.get("anyOf") or node.get("oneOf") or []
    return [n for one in alternatives for n in _resolved(one, definitions)] or [node]


def _children(node: Node, part: int | str) -> Iterator[Node]:
    if isinstance(part, int):
        if isinstance(node.get("items"), dict):
            yield node["items"]
    elif part in node.get("properties", {}):
        yield node["properties"][part]
    elif isinstance(node.get("additionalProperties"), dict):
        yield node["additionalProperties"]
    else:  # pydantic puts the name of a union's member into the location
        yield node


_HEADER = re.compile(r"^\s*(\[\[?)([^\]]+)\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"""^\s*((?:"[^"]*"|'[^']*'|[A-Za-z0-9_-]+)(?:\s*\.\s*[\w"'-]+)*)\s*=""")


def _line_of_any(text: str, location: Location) -> int | None:
    """Find the line of a location into which pydantic may have put the name of a union's member."""
    without = [
        (*location[:place], *location[place + 1 :])
        for place, part in enumerate(location)
        if isinstance(part, str) and place and isinstance(location[place - 1], int)
    ]
    found = [line for one in (location, *without) if (line := line_of(text, one)) is not None]
    return max(found, default=None)


def line_of(text: str, location: Location) -> int | None:
    """Find the line of a key, or of the nearest table above it that stands in the text.

    Parameters
    ----------
    text : str
        The TOML text (valid).
    location : tuple of int or str
        Path to the key; integers count the tables of an array from 0.

    Returns
    -------
    int or None
        Line number counted from 1; None when nothing of the path stands in the text.

    Examples
    --------
    >>> line_of("title = 'a'", ("title",))
    1
    """
    best, best_length = None, 0
    for number, path in _paths(text):
        length = _shared(path, location)
        if length == len(path) and length > best_length:
            best, best_length = number, length
    return best


def end_of(text: str, location: Location) -> int | None:
    r"""Find where a table ends: the last line that belongs to it and to the tables inside it.

    Blank lines and remarks right before the next table belong to that one.

    Parameters
    ----------
    text : str
        The TOML text (valid).
    location : tuple of int or str
        Path to the table; integers count the tables of an array from 0.

    Returns
    -------
    int or None
        Line number counted from 1; None when the table does not stand in the text.

    Examples
    --------
    >>> end_of("[[a]]\nb = 1\n\n# next\n[[a]]\nb = 2", ("a", 0))
    2
    """
    begun, lines = False, text.splitlines()
    end = len(lines)
    for number, path in _paths(text):
        if path[: len(location)] == location:
            begun = True
        elif begun:
            end = number - 1
            break
    while begun and end and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    return end if begun else None


def _shared(path: Location, wanted: Location) -> int:
    count = 0
    for mine, theirs in zip(path, wanted, strict=False):
        if mine != theirs:
            break
        count += 1
    return count


def _paths(text: str) -> Iterator[tuple[int, Location]]:
    """Yield every line that opens a table or sets a key, with its path."""
    table: Location = ()
    counts: dict[Location, int] = {}
    fence = ""
    for number, line in enumerate(text.splitlines(), 1):
        if fence:
            fence = "" if fence in line else fence
            continue
        if header := _HEADER.match(line):
            table = _table_path(header[2], array=header[1] == "[[", counts=counts)
            yield number, table
        elif key := _KEY.match(line):
            yield number, (*table, *_parts(key[1]))
            fence = _opens_multiline(line[key.end() :])


def _table_path(dotted: str, *, array: bool, counts: dict[Location, int]) -> Location:
    path: Location = ()
    parts = _parts(dotted)
    for position, part in enumerate(parts, 1):
        path = (*path, part)
        if array and position == len(parts):
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _parts(dotted: str) -> list[str]:
    return [part.strip().strip("\"'") for part in dotted.split(".")]


def _opens_multiline(rest: str) -> str:
    for fence in ('"""', "'''"):
        if rest.lstrip().startswith(fence) and rest.count(fence) == 1:
            return fence
    return ""
