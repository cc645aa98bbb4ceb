"""Many pulls, one answer each; a pull that cannot be read does not stop the others."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import IO, Any

from clampwright.errors import BadFile, ClampwrightError
from clampwright.intake import json_of
from clampwright.trace.archive import judge_archive
from clampwright.trace.given import Given, given_from_json
from clampwright.trace.model import Trace
from clampwright.trace.verdict import TraceVerdict, judge
from clampwright.words import Words, words

Answer = dict[str, Any]


def judged_list(
    lines: Iterable[bytes],
    read: Callable[[str], Trace],
    name: str = "list",
    given: Given | None = None,
) -> Iterator[Answer]:
    """Judge the traces named in a list of JSON objects, one a line.

    Parameters
    ----------
    lines : iterable of bytes
        Each a JSON object with ``id``, ``trace`` (a path) and ``given``; empty lines are passed
        over.
    read : callable
        Reads the trace of a path.
    name : str
        Name of the list, for messages.
    given : Given, optional
        What is known of those lines that have no ``given`` of their own.

    Yields
    ------
    dict
        ``id`` and the verdict as plain data; where a line or its trace cannot be taken the same
        with ``error``, the verdict ``not known`` and nothing found.
    """
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        case: Mapping[str, Any] = {}
        try:
            case = _case(line, name, number, given)
            known = case.get("given", given)
            if not isinstance(known, Given):
                known = given_from_json(known, f"{name}:{number}")
            yield {"id": case.get("id"), **judge(read(case["trace"]), known).as_json()}
        except ClampwrightError as error:
            yield _failed(case.get("id"), error.message)


def judged_archive(file: IO[bytes], given: Given, name: str = "archive") -> Iterator[Answer]:
    """Judge the pulls of a Parquet archive, in constant memory.

    Parameters
    ----------
    file : binary file
        See `clampwright.trace.parquet_archive.traces_in`.
    given : Given
        What is known; the same for all.
    name : str
        Name of the file, for messages.

    Yields
    ------
    dict
        As `judged_list`.
    """
    for judged in judge_archive(file, given, name):
        try:
            yield {"id": judged.pull, **judged.whole().as_json()}
        except BadFile as error:
            yield _failed(judged.pull, error.message)


def _case(line: bytes, name: str, number: int, given: Given | None) -> Mapping[str, Any]:
    otherwise = words(
        "{file}, line {line}: expected a JSON object with id, trace (a path) and given",
        file=name,
        line=number,
    )
    case = json_of(line, "list of pulls", name, otherwise=otherwise)
    good = isinstance(case, dict) and isinstance(case.get("trace"), str)
    if not good or not isinstance(case.get("given", given), dict | Given):
        raise BadFile(otherwise, file=name, line=number)
    found: Mapping[str, Any] = case
    return found


def _failed(pull: object, message: Words) -> Answer:
    nothing = TraceVerdict("not known", "normal", fault=False, reasons=(message,))
    return {"id": pull, "error": str(message), **nothing.as_json(), "pattern": None}
