"""Which fasteners need a wrench and which do not: by the harm if they fail, with the reasons."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Literal

from clampwright.errors import OutOfRange
from clampwright.words import Words, words

Control = Literal["wrench", "small wrench", "feel"]

SMALL_THREAD = 6.0
"""Up to this nominal diameter, mm, a hand overshoots before it feels anything (common practice)."""

_STRENGTH: tuple[Control, ...] = ("feel", "small wrench", "wrench")


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason for a way of tightening.

    Parameters
    ----------
    key : str
    control : str
        ``wrench``, ``small wrench`` (one of small range) or ``feel``.
    say : Words
    source : str
    """

    key: str
    control: Control
    say: Words
    source: str


@dataclass(frozen=True, slots=True)
class Harmful:
    """One kind of joint in the sort by harm.

    Parameters
    ----------
    key : str
    level : int
        1 life or limb, 2 breakdown, 3 annoyance.
    title, why : Words
    source : str
    """

    key: str
    level: int
    title: Words
    why: Words
    source: str


@dataclass(frozen=True, slots=True)
class Advice:
    """How a fastener is to be tightened, and why.

    Parameters
    ----------
    control : str
        The strictest that any reason asks for.
    reasons : tuple of Reason
        Strictest first.
    """

    control: Control
    reasons: tuple[Reason, ...]

    def words(self) -> Words:
        """Say it in one line."""
        return _TOLD[self.control]


_TOLD = {
    "wrench": words("needs a torque wrench"),
    "small wrench": words("needs a torque wrench of small range"),
    "feel": words("can be done by feel"),
}


def advise(
    harm_level: int,
    *,
    torque_stated: bool = False,
    to_yield: bool = False,
    soft_thread: bool = False,
    soft_gasket: bool = False,
    diameter: float | None = None,
) -> Advice:
    """Return whether a fastener needs a torque wrench.

    Parameters
    ----------
    harm_level : int
        What happens if the joint fails: 1 life or limb, 2 breakdown, 3 annoyance.
    torque_stated : bool
        Whether its procedure gives a torque or an angle.
    to_yield : bool
        Whether it is pulled to yield, or by an angle.
    soft_thread : bool
        Whether its thread is cut in aluminium, magnesium or plastic.
    soft_gasket : bool
        Whether a soft gasket or seal lies between the parts.
    diameter : float, optional
        Nominal diameter, mm.

    Returns
    -------
    Advice

    Raises
    ------
    OutOfRange
        For a harm level or a diameter that cannot be.

    Examples
    --------
    >>> print(advise(3).words())
    can be done by feel
    >>> print(advise(3, soft_thread=True, diameter=8).words())
    needs a torque wrench of small range
    """
    if harm_level not in {1, 2, 3}:
        raise OutOfRange(
            words("harm level {level} does not exist; it is 1, 2 or 3", level=harm_level),
            value=harm_level,
            low=1,
            high=3,
        )
    if diameter is not None and not 0 < diameter <= 500:
        raise OutOfRange(
            words("a thread of {diameter:g} mm cannot be; write it in mm", diameter=diameter),
            value=diameter,
            low=0.0,
            high=500.0,
        )
    small = diameter is not None and diameter <= SMALL_THREAD
    holds = {
        "stated": torque_stated,
        "life": harm_level == 1,
        "breakdown": harm_level == 2,
        "yield": to_yield,
        "soft_thread": soft_thread,
        "gasket": soft_gasket,
        "small": small,
    }
    reasons = [one for one in reasons_table() if holds.get(one.key)]
    if not reasons:
        reasons = [one for one in reasons_table() if one.key == "annoyance"]
    reasons.sort(key=lambda one: -_STRENGTH.index(one.control))
    return Advice(reasons[0].control, tuple(reasons))


@lru_cache(maxsize=1)
def reasons_table() -> tuple[Reason, ...]:
    """Return all reasons there are."""
    controls: dict[str, Control] = {one: one for one in _STRENGTH}
    return tuple(
        Reason(row["key"], controls[row["control"]], Words(row["say"]), row["source"])
        for row in _rows("by_feel.csv")
    )


@lru_cache(maxsize=1)
def harm_table() -> tuple[Harmful, ...]:
    """Return the kinds of joints by harm, the worst first."""
    return tuple(
        Harmful(
            row["key"], int(row["level"]), Words(row["title"]), Words(row["why"]), row["source"]
        )
        for row in _rows("harm.csv")
    )


@lru_cache(maxsize=1)
def limits_of_the_rule() -> tuple[tuple[Words, str], ...]:
    """Return what the rule cannot do, each with its source."""
    return tuple((Words(row["say"]), row["source"]) for row in _rows("feel_limits.csv"))


def _rows(name: str) -> list[dict[str, str]]:
    text = resources.files(__package__).joinpath(name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))
