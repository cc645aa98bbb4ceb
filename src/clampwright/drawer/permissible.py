"""How far a hand torque tool may be off by standard: used where no certificate says better."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from clampwright.errors import OutOfRange
from clampwright.words import words

SMALL_TOOL = 10.0
"""N·m. The boundary looks at the tool's largest torque, not at the torque in hand."""

CLASS_OF_KIND = {
    "beam": ("I", "A"),
    "dial": ("I", "B"),
    "electronic": ("I", "C"),
    "click": ("II", "A"),
}
"""Type and class in ISO 6789-1:2017 (clause 4, from memory) of the four kinds of wrench."""


@dataclass(frozen=True, slots=True)
class Permissible:
    """One row of the table of permissible deviations.

    Parameters
    ----------
    type, letter : str
        ``I`` or ``II`` and the class letter.
    description : str
    small, large : float
        Limit of the relative deviation, percent, for tools up to and above `SMALL_TOOL`.
    source : str
    """

    type: str
    letter: str
    description: str
    small: float
    large: float
    source: str


@lru_cache(maxsize=1)
def permissible_table() -> dict[tuple[str, str], Permissible]:
    """Return all rows of the table, by type and class letter."""
    text = resources.files(__package__).joinpath("permissible_deviation.csv").read_text("utf-8")
    rows = [
        Permissible(
            row["type"],
            row["class"],
            row["description"],
            float(row["limit_percent_up_to_10_nm"]),
            float(row["limit_percent_above_10_nm"]),
            row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    ]
    return {(row.type, row.letter): row for row in rows}


def permissible_deviation(tool_type: str, letter: str, *, largest_torque: float) -> float:
    """Return the permissible relative deviation of a hand torque tool.

    Parameters
    ----------
    tool_type : str
        ``I`` (indicating) or ``II`` (setting).
    letter : str
        Class letter, A to G.
    largest_torque : float
        Upper end of the tool's range, N·m.

    Returns
    -------
    float
        Limit of every single deviation, percent; it holds on both sides of zero.

    Raises
    ------
    OutOfRange
        When the standard has no such class, or the torque is not above zero.

    Notes
    -----
    ISO 6789-1:2017, clause 5.1.5, from memory.

    Examples
    --------
    >>> permissible_deviation("II", "A", largest_torque=100.0)
    4.0
    >>> permissible_deviation("II", "A", largest_torque=10.0)
    6.0
    """
    row = permissible_table().get((tool_type, letter))
    if row is None or not largest_torque > 0:
        raise OutOfRange(
            words(
                "no permissible deviation is known for type {type} class {letter} with a largest "
                "torque of {torque:g} N·m; types are I (A to E) and II (A to G)",
                type=tool_type,
                letter=letter,
                torque=largest_torque,
            ),
            value=largest_torque,
            low=0.0,
            source="ISO 6789-1:2017 (from memory)",
        )
    return row.small if largest_torque <= SMALL_TOOL else row.large
