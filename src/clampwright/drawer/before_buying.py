"""What to look at before a wrench is bought, borrowed, kept or taken to a job."""

from __future__ import annotations

import csv
from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Literal, get_args

from clampwright.drawer.tools import WRENCHES
from clampwright.errors import OutOfRange, Refused
from clampwright.words import Words, words

Moment = Literal["new", "used", "borrowed", "job"]
MOMENTS: tuple[Moment, ...] = get_args(Moment)


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at.

    Parameters
    ----------
    key : str
    moment : str
        ``new``, ``used``, ``borrowed`` (each includes what suits the one before) or ``job``.
    kinds : tuple of str
        Kinds of wrench it holds for; empty for all.
    say, why : Words
    seconds : int
        How long it takes; only told before a job.
    source : str
    """

    key: str
    moment: Moment
    kinds: tuple[str, ...]
    say: Words
    why: Words
    seconds: int
    source: str


@lru_cache(maxsize=1)
def all_looks() -> tuple[Look, ...]:
    """Return everything there is to look at."""
    text = resources.files(__package__).joinpath("wrench_checks.csv").read_text("utf-8")
    moments: dict[str, Moment] = {one: one for one in MOMENTS}
    return tuple(
        Look(
            row["key"],
            moments[row["moment"]],
            () if row["kinds"] == "all" else tuple(row["kinds"].split()),
            Words(row["say"]),
            Words(row["why"]),
            int(row["seconds"]),
            row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    )


def looks_for(moment: str, kind: str | None = None) -> tuple[Look, ...]:
    """Return what to look at on a wrench.

    Parameters
    ----------
    moment : str
        ``new``, ``used``, ``borrowed`` or ``job``. A used or borrowed wrench must suit the work as
        a new one does.
    kind : str, optional
        ``beam``, ``dial``, ``click`` or ``electronic``; all kinds if not given.

    Returns
    -------
    tuple of Look

    Raises
    ------
    Refused
        For a moment or a kind that does not exist.

    Examples
    --------
    >>> [look.key for look in looks_for("job", "beam")]
    ['look', 'date', 'zero', 'socket']
    """
    if moment not in MOMENTS:
        raise Refused(
            words("{moment!r} is none of {known}", moment=moment, known=", ".join(MOMENTS))
        )
    if kind is not None and kind not in WRENCHES:
        raise Refused(
            words(
                "{kind!r} is no kind of wrench; it is one of {known}",
                kind=kind,
                known=", ".join(sorted(WRENCHES)),
            )
        )
    wanted = {moment} | ({"new"} if moment in {"used", "borrowed"} else set())
    return tuple(
        one
        for one in all_looks()
        if one.moment in wanted and (kind is None or not one.kinds or kind in one.kinds)
    )


def minute_of(kind: str) -> int:
    """Return how long the check before a job takes for a kind of wrench, s."""
    return sum(one.seconds for one in looks_for("job", kind))


def open_looks(kind: str, ticked: Collection[str]) -> tuple[Look, ...]:
    """Return what was not ticked of the check before a job.

    Parameters
    ----------
    kind : str
    ticked : collection of str
        Keys of what was looked at and found right.

    Returns
    -------
    tuple of Look

    Raises
    ------
    Refused
        When a key is none of this check.
    """
    looks = looks_for("job", kind)
    strange = sorted(set(ticked) - {one.key for one in looks})
    if strange:
        raise Refused(
            words(
                "{key!r} is no part of the check of a {kind} wrench; its parts are {known}",
                key=strange[0],
                kind=kind,
                known=", ".join(one.key for one in looks),
            )
        )
    return tuple(one for one in looks if one.key not in ticked)


@dataclass(frozen=True, slots=True)
class Costs:
    """What keeping a wrench costs beside a new one, as the user entered it.

    Parameters
    ----------
    calibration : float
        One calibration.
    new : float
        A new wrench, with its certificate.
    repair : float
        What must be done to the old one first; 0 for nothing.
    chance : float
        Share of such wrenches that come back unfit after all, 0 to 1: then calibration and repair
        were paid in vain and the new one is bought too.
    every_months : float
        Time from one calibration to the next, months, the same for both.
    old_lasts, new_lasts : float
        How many years each is expected to serve.

    Raises
    ------
    OutOfRange
        When a figure cannot be.
    """

    calibration: float
    new: float
    repair: float = 0.0
    chance: float = 0.0
    every_months: float = 12.0
    old_lasts: float = 3.0
    new_lasts: float = 10.0

    def __post_init__(self) -> None:
        for name, value, low, high in (
            ("calibration", self.calibration, 0.0, 1e6),
            ("new", self.new, 0.0, 1e7),
            ("repair", self.repair, 0.0, 1e6),
            ("chance", self.chance, 0.0, 1.0),
            ("every_months", self.every_months, 1.0, 60.0),
            ("old_lasts", self.old_lasts, 0.25, 100.0),
            ("new_lasts", self.new_lasts, 0.25, 100.0),
        ):
            if not low <= value <= high:
                raise OutOfRange(
                    words(
                        "{name} is {value:g}; it lies between {low:g} and {high:g}",
                        name=name,
                        value=value,
                        low=low,
                        high=high,
                    ),
                    value=value,
                    low=low,
                    high=high,
                )


@dataclass(frozen=True, slots=True)
class Comparison:
    """What each way costs a year.

    Parameters
    ----------
    keep, replace : float
        In the user's own currency, a year.
    words : Words
        Which is cheaper, by how much, and what it does not say.
    """

    keep: float
    replace: float
    words: Words


def calibrate_or_replace(costs: Costs) -> Comparison:
    """Compare what it costs a year to keep a wrench or to buy a new one.

    Parameters
    ----------
    costs : Costs

    Returns
    -------
    Comparison

    Notes
    -----
    Plain arithmetic, no interest. Keep: repair and calibration once, with the given chance a new
    wrench on top, over the years it is expected to serve, and the calibrations after the first.
    New: its price over its years, and the calibrations after the first interval, which its
    certificate covers. Common practice, no source.

    Examples
    --------
    >>> print(calibrate_or_replace(Costs(60.0, 180.0, old_lasts=5, new_lasts=10)).words)
    keeping it costs about 60 a year, a new one about 72: keeping is cheaper by 12 a year
    """
    keep = _a_year(costs.repair + costs.calibration, costs, costs.old_lasts)
    keep += costs.chance * costs.new / costs.old_lasts
    new = _a_year(costs.new, costs, costs.new_lasts)
    if abs(keep - new) < 0.05 * max(keep, new, 1e-9):
        told = words(
            "keeping it costs about {keep:.0f} a year, a new one about {new:.0f}: no difference "
            "that matters; take the one you trust",
            keep=keep,
            new=new,
        )
    elif keep < new:
        told = words(
            "keeping it costs about {keep:.0f} a year, a new one about {new:.0f}: keeping is "
            "cheaper by {less:.0f} a year",
            keep=keep,
            new=new,
            less=new - keep,
        )
    else:
        told = words(
            "keeping it costs about {keep:.0f} a year, a new one about {new:.0f}: a new one is "
            "cheaper by {less:.0f} a year",
            keep=keep,
            new=new,
            less=keep - new,
        )
    return Comparison(keep, new, told)


def _a_year(first: float, costs: Costs, years: float) -> float:
    """Spread the first cost, which covers one interval, and the calibrations after it."""
    later = max(years * 12.0 / costs.every_months - 1.0, 0.0)
    return (first + later * costs.calibration) / years
