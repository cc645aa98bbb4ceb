"""What was understood of a procedure, as plain data for the pages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from clampwright.locale import say
from clampwright.procedure.check_physics import Reckoning
from clampwright.procedure.check_warnings import CAUTIONS
from clampwright.procedure.describe import describe, remarks
from clampwright.procedure.marked import ROLES, Marked, marked
from clampwright.procedure.reading import Reading
from clampwright.procedure.stage import Stage
from clampwright.web.rendering import as_sentence
from clampwright.words import words
from clampwright.work.settling import Ask, asked


def reading_view(text: str, reading: Reading, reckoning: Reckoning | None) -> dict[str, Any]:
    """Return a reading for the page that shows it and asks.

    Parameters
    ----------
    text : str
        The text that was read.
    reading : Reading
    reckoning : Reckoning or None
        Informs the questions where size and strength are known.

    Returns
    -------
    dict
    """
    error = reading.error
    first = asked(reading, reckoning)
    return {
        "status": reading.status,
        "error": as_sentence(say(error.say)) if error else "",
        **marked_view(marked(text, reading)),
        "stages": [stage_text(stage) for stage in reading.stages],
        "why": [as_sentence(say(why)) for why in reading.why],
        "readings": [[stage_text(stage) for stage in one] for one in reading.candidates],
        "ask": ask_view(first) if first else None,
        "notes": list(_notes(reading)),
    }


def marked_view(found: Marked) -> dict[str, Any]:
    """Return a marked text: its pieces, and what each mark means.

    Parameters
    ----------
    found : Marked

    Returns
    -------
    dict
        ``pieces`` and ``marks``.
    """
    return {
        "pieces": [
            {"text": piece.text, "mark": piece.mark, "role": piece.role or ""}
            for piece in found.pieces
        ],
        "marks": [
            {
                "mark": piece.mark,
                "text": piece.one_line,
                "role": piece.role,
                "role_words": say(ROLES[piece.role or "reported"]),
                "meaning": say(piece.meaning),
            }
            for piece in found.marks
        ],
    }


def ask_view(one: Ask) -> dict[str, Any]:
    """Return a question with its answers, and the questions that follow from each.

    Parameters
    ----------
    one : Ask

    Returns
    -------
    dict
    """
    return {
        "number": one.number,
        "answers": [
            {
                "text": "; ".join(say(line) for line in answer.lines),
                "informs": [as_sentence(say(line)) for line in answer.informs],
                "numbers": list(answer.numbers),
                "then": ask_view(answer.then) if answer.then else None,
            }
            for answer in one.answers
        ],
    }


def stage_text(stage: Stage) -> str:
    """Return a stage in plain words, with all it says.

    Parameters
    ----------
    stage : Stage

    Returns
    -------
    str
    """
    return "; ".join(say(part) for part in (describe(stage), *remarks(stage)))


def _notes(reading: Reading) -> Iterator[str]:
    if reading.lubrication:
        yield as_sentence(say(words("Surface: {state}", state=_listed(reading.lubrication))))
    if reading.reuse:
        yield as_sentence(say(words("Fasteners: {rule}", rule=reading.reuse.replace("_", " "))))
    for code in reading.warnings:
        caution = CAUTIONS.get(code)
        if caution is None:
            yield as_sentence(code.replace("_", " "))
        elif not reading.ambiguous or caution.severity == "note":
            yield as_sentence(say(caution.message))


def _listed(codes: Sequence[str]) -> str:
    return ", ".join(code.replace("_", " ") for code in codes)
