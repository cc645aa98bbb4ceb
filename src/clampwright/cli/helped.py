"""Help of commands in the language of the person: its paragraphs are sentences of the catalogue."""

from __future__ import annotations

import copy
import inspect
import re
from collections.abc import Iterator

import click

from clampwright.locale import language, say, spoken

_BETWEEN = re.compile(r"\n\s*\n")
_AS_IT_STANDS = "\b"
"""Begins a paragraph whose lines `click` does not fill anew."""


def paragraphs(text: str | None) -> list[str]:
    r"""Return the paragraphs of a help text, each on one line unless its lines are to stay.

    Parameters
    ----------
    text : str or None
        As a docstring or an option has it.

    Returns
    -------
    list of str

    Examples
    --------
    >>> paragraphs("Plan JOB: order\n    and passes.\n\n    Exit status 1.")
    ['Plan JOB: order and passes.', 'Exit status 1.']
    """
    parts = _BETWEEN.split(inspect.cleandoc(text or ""))
    return [
        part if part.startswith(_AS_IT_STANDS) else " ".join(part.split())
        for part in parts
        if part.strip()
    ]


def texts(command: click.Command) -> Iterator[str]:
    """Give every paragraph of a command's help, its options' and its subcommands' too.

    Parameters
    ----------
    command : click.Command
    """
    for text in (command.help, command.short_help, command.epilog):
        yield from paragraphs(text)
    for option in command.params:
        if isinstance(option, click.Option):
            yield from paragraphs(option.help)
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            if (inner := command.get_command(context, name)) is not None:
                yield from texts(inner)


def in_the_persons_language(command: click.Command) -> click.Command:
    """Return a command whose help is in the person's language; the command itself stays.

    Parameters
    ----------
    command : click.Command

    Returns
    -------
    click.Command
    """
    if language().partition("_")[0] not in spoken()[1:]:
        return command
    made = copy.copy(command)
    made.help, made.epilog = _told(command.help), _told(command.epilog)
    made.short_help = _told(command.short_help)
    made.params = [_option(one) for one in command.params]
    if isinstance(made, click.Group):
        made.commands = {name: in_the_persons_language(one) for name, one in made.commands.items()}
    return made


def _option(one: click.Parameter) -> click.Parameter:
    if not isinstance(one, click.Option) or not one.help:
        return one
    made = copy.copy(one)
    made.help = _told(one.help)
    return made


def _told(text: str | None) -> str | None:
    return None if text is None else "\n\n".join(say(part) for part in paragraphs(text))
