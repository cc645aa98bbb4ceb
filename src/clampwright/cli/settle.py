"""Open questions of a procedure, asked one after the other on the terminal."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import text_of
from clampwright.errors import Ambiguous
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.procedure.check_physics import Reckoning
    from clampwright.procedure.reading import Reading
    from clampwright.work.settling import Answer, Ask


def settle(reading: Reading, reckoning: Reckoning | None = None) -> int:
    """Ask until one reading is left.

    Parameters
    ----------
    reading : Reading
        An ambiguous one.
    reckoning : Reckoning or None
        Informs the questions where size and strength are known.

    Returns
    -------
    int
        Number of the reading, from 1.

    Raises
    ------
    Ambiguous
        When no choice can settle it, or the person leaves without one.
    """
    from clampwright.work.settling import asked, settled

    question = asked(reading, reckoning)
    if question is None:
        settled(reading, None)  # raises: says that the text itself must say it
    number = 1
    for sentence in reading.why:
        click.echo(text_of(sentence))
    while question is not None:
        answer = _answer(question)
        number, question = answer.numbers[0], answer.then
    return number


def _answer(question: Ask) -> Answer:
    if question.number:
        click.echo(text_of(words("Step {number}: which one is meant?", number=question.number)))
    else:
        click.echo(text_of(words("Is it meant as it stands here?")))
    for number, answer in enumerate(question.answers, 1):
        click.echo(f"  {number}  {'; '.join(text_of(line) for line in answer.lines)}")
        for known in answer.informs:
            click.echo(f"     {text_of(known)}")
    while True:
        click.echo(text_of(words("Number, or q to leave:")) + " ", nl=False)
        typed_line = sys.stdin.readline() if sys.stdin is not None else ""
        typed = typed_line.strip()
        if not typed_line or typed.casefold() in {"q", "quit"}:
            raise Ambiguous(words("left without a choice: the question is still open"))
        if typed.isdecimal() and 1 <= int(typed) <= len(question.answers):
            return question.answers[int(typed) - 1]
        count = len(question.answers)
        click.echo(text_of(words("Type a number from 1 to {count}.", count=count)))
