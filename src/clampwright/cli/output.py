"""How commands answer: as text for people, or as one JSON object for programs."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import click

from clampwright.errors import Ambiguous, ClampwrightError
from clampwright.locale import say
from clampwright.words import Words

DONE, FINDING, USER_ERROR = 0, 1, 2
"""Exit status, the same for every command."""

MAX_INPUT = 10_000_000
"""Largest file a command takes, bytes."""

Command = TypeVar("Command", bound=Callable[..., Any])


def json_option(command: Command) -> Command:
    """Add ``--json`` to a command."""
    return click.option(
        "--json", "as_json", is_flag=True, help="Print one JSON object instead of text."
    )(command)


def print_json(data: Mapping[str, Any]) -> None:
    """Print one JSON object on one line."""
    text = json.dumps(data, ensure_ascii=False)
    if not text.isprintable():  # what acts unseen on a terminal is written by its number
        text = "".join(one if one.isprintable() else json.dumps(one)[1:-1] for one in text)
    click.echo(text)


def wants_json() -> bool:
    """Return whether the running command was asked for JSON."""
    context = click.get_current_context(silent=True)
    return bool(context and context.params.get("as_json"))


def show_error(error: ClampwrightError) -> int:
    """Show an error meant for a person; return the exit status.

    Parameters
    ----------
    error : ClampwrightError

    Returns
    -------
    int
    """
    readings = error.readings if isinstance(error, Ambiguous) else ()
    if "--json" in sys.argv[1:]:
        print_json({"error": say(error.message), "readings": list(readings)})
        return error.exit_status
    click.echo(say(error.message), err=True)
    for reading in readings:
        click.echo(f"  - {reading}", err=True)
    return error.exit_status


def read_file(path: str) -> bytes:
    """Return the content of a file; ``-`` is standard input.

    Parameters
    ----------
    path : str

    Returns
    -------
    bytes

    Raises
    ------
    ClampwrightError
        When it cannot be read or is too large.
    """
    from clampwright.words import words

    try:
        if path == "-" and sys.stdin is None:
            raise ClampwrightError(words("standard input is closed; name a file"))
        if path == "-":
            data: bytes = sys.stdin.buffer.read(MAX_INPUT + 1)
        else:
            with Path(path).open("rb") as file:
                data = file.read(MAX_INPUT + 1)
    except OSError as error:
        raise ClampwrightError(
            words("{file} cannot be read: {problem}", file=path, problem=str(error.strerror))
        ) from error
    if len(data) > MAX_INPUT:
        raise ClampwrightError(
            words("{file} is larger than {limit} bytes", file=path, limit=MAX_INPUT)
        )
    return data


def read_text(path: str) -> str:
    """Return the content of a text file (UTF-8); ``-`` is standard input."""
    from clampwright.words import words

    data = read_file(path)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ClampwrightError(
            words("{file}: byte {position} is not UTF-8 text", file=path, position=error.start)
        ) from error


def text_of(sentence: Words | str | None) -> str:
    """Turn a sentence into text in the person's language."""
    return say(sentence) if sentence else ""
