"""Joints that are adjusted, not only tightened: what the trade does when a reading is not right.

No figure stands here: without the maker's own there is none to set by.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Literal

from clampwright.words import Words

Way = Literal["crush_sleeve", "spacers", "bearing", "slotted_nut"]
"""``crush_sleeve``: rotating torque approached in small steps, never slackened; ``spacers``: the
same set by spacers; ``bearing``: seated, backed off, set, locked; ``slotted_nut``: on to the next
slot within the limits."""

NEVER_SLACKENED: frozenset[Way] = frozenset({"crush_sleeve"})
"""Ways whose fastener, once slackened, is started again with a new part only."""


@dataclass(frozen=True, slots=True)
class AdjustingAdvice:
    """What to do after a reading that is not within.

    Parameters
    ----------
    advice : Words
    source : str
    """

    advice: Words
    source: str


@lru_cache(maxsize=1)
def _rows() -> dict[tuple[str, str], AdjustingAdvice]:
    text = files(__package__).joinpath("adjusting.csv").read_text(encoding="utf-8")
    return {
        (row["way"], row["verdict"]): AdjustingAdvice(Words(row["advice"]), row["source"])
        for row in csv.DictReader(text.splitlines())
    }


def advise_adjusting(way: str, verdict: str) -> AdjustingAdvice | None:
    """Return what the trade does with an adjusting joint after a verdict.

    Parameters
    ----------
    way : str
        See `Way`; empty for other joints.
    verdict : str

    Returns
    -------
    AdjustingAdvice or None

    Examples
    --------
    >>> str(advise_adjusting("crush_sleeve", "over").advice).split(":")[0]
    'Do not slacken the nut'
    """
    return _rows().get((way, verdict))
