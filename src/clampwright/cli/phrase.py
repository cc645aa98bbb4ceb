"""Where a command gets the pass phrase of a signing key: a file, or the person at the terminal.

Never an argument or an environment variable with the phrase itself: other programs can see those.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from clampwright.cli.output import read_text, text_of
from clampwright.words import words

Command = TypeVar("Command", bound=Callable[..., Any])


def phrase_option(command: Command) -> Command:
    """Add ``--pass-phrase-file`` to a command."""
    return click.option(
        "--pass-phrase-file",
        "phrase_file",
        type=click.Path(dir_okay=False, path_type=Path),
        help="File whose first line opens the signing key.",
    )(command)


def pass_phrase(folder: Path, phrase_file: Path | None) -> str | None:
    """Return the pass phrase of a workshop's key, if one is needed.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's folder.
    phrase_file : pathlib.Path or None

    Returns
    -------
    str or None
        None when the key is not locked, or nobody can be asked: then signing says what is missing.
    """
    if phrase_file is not None:
        return (read_text(str(phrase_file)).splitlines() or [""])[0]
    from clampwright.store.keyfile import is_locked

    if not is_locked(folder / "workshop.key") or not sys.stdin.isatty():
        return None
    asked: str = click.prompt(text_of(words("Pass phrase of the signing key")), hide_input=True)
    return asked


def new_phrase(phrase_file: Path | None) -> str | None:
    """Return a new pass phrase: from a file, or asked for twice; nothing means none."""
    if phrase_file is not None:
        return (read_text(str(phrase_file)).splitlines() or [""])[0] or None
    if not sys.stdin.isatty():
        return None
    asked: str = click.prompt(
        text_of(words("New pass phrase (Enter for none)")),
        hide_input=True,
        confirmation_prompt=True,
        default="",
        show_default=False,
    )
    return asked or None
