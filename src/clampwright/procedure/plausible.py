"""Figures that nobody can have meant: asked about, never taken and never dropped."""

from __future__ import annotations

import csv
import re
from functools import lru_cache

from clampwright.procedure.amounts import Amount
from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import shown
from clampwright.procedure.quantities import in_newton_metres
from clampwright.procedure.vocabulary import FOLDER, fold
from clampwright.words import Words, words

# Our own limits, no source; a person can always confirm the figure.
HAND_LIMIT_NM = 2500.0
PART_LIMIT_NM = 600.0
LARGEST_TURN_DEG = 720.0
LARGEST_ANGLE_DEG = 450.0


@lru_cache(maxsize=1)
def _large_parts() -> re.Pattern[str]:
    """Return the pattern of parts that a large torque can hold, of all languages."""
    with (FOLDER / "large_parts.csv").open(encoding="utf-8", newline="") as file:
        stems = [stem for row in csv.DictReader(file) for stem in row["stems"].split()]
    return re.compile("|".join(map(re.escape, stems)))


def doubt(amount: Amount, clause: Clause, name: str = "") -> Words | None:
    """Return why a figure cannot be believed, or None.

    Parameters
    ----------
    amount : Amount
    clause : Clause
        Where it stands; a thread size in it bounds the torque.
    name : str
        What it is for, as named before the clause.

    Returns
    -------
    Words or None
    """
    if amount.letter == "A":
        return _doubt_angle(amount)
    torque = in_newton_metres(amount)
    if torque is None:
        return None
    size = _thread(clause, name)
    if size is not None and torque > _most_for(size):
        return words(
            "{value} {unit} is more than an M{size:g} thread of any class can take;"
            " is it a misprint?",
            value=shown(amount.value if amount.value is not None else amount.high),
            unit=amount.unit,
            size=size,
        )
    if torque > (PART_LIMIT_NM if _small_part(clause) else HAND_LIMIT_NM):
        return words(
            "{value} {unit} is far more than a hand wrench or this part can take;"
            " is it a misprint?",
            value=shown(amount.value if amount.value is not None else amount.high),
            unit=amount.unit,
        )
    return None


def _doubt_angle(amount: Amount) -> Words | None:
    if amount.value is None:
        return None
    degrees = float(amount.value) * (360.0 if amount.unit == "turn" else 1.0)
    limit = LARGEST_TURN_DEG * 10 if amount.unit == "turn" else LARGEST_ANGLE_DEG
    if degrees <= limit:
        return None
    return words(
        "{value} {unit} is {turns:.3g} turns, which is not believable here; what is meant?",
        value=shown(amount.value),
        unit=amount.unit,
        turns=degrees / 360.0,
    )


def _thread(clause: Clause, name: str) -> float | None:
    texts = [
        clause.tokens[index].text
        for item in clause.items
        for index in item.tokens
        if clause.tokens[index].letter == "M"
    ]
    named = re.findall(r"\bM ?(\d{1,2})(?!\d)", " ".join([*texts, name]))
    return max((float(size) for size in named), default=None)


def _most_for(diameter: float) -> float:
    """Return twice the torque that breaks a 12.9 bolt, in N·m; a rough upper bound.

    T = K d F with K = 0.2 and F = 0.9 x 1100 MPa x 0.62 d^2 (coarse thread), doubled.
    """
    return 2 * 0.2 * diameter * 0.9 * 1100 * 0.62 * diameter**2 / 1000


def _small_part(clause: Clause) -> bool:
    for _, token in clause.words():
        if token.value("FASTENER") == "part":
            return not any(_large_parts().search(fold(t.text)) for t in clause.tokens[:40])
    return False
