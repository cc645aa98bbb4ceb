"""What the history of a joint says, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from clampwright.words import Words, words
from clampwright.work.history import Drift, Spent


def clamp_words(clamp: tuple[float, float, float]) -> Words:
    """Return the clamp load a job planned.

    Parameters
    ----------
    clamp : tuple of float
        Nominal, 5 % and 95 %, N.

    Examples
    --------
    >>> str(clamp_words((49944.0, 47453.0, 51720.0)))
    'clamp load planned: 49.9 kN (47.5 to 51.7 kN, 5 to 95 %)'
    """
    nominal, low, high = (value / 1000 for value in clamp)
    return words(
        "clamp load planned: {nominal:.1f} kN ({low:.1f} to {high:.1f} kN, 5 to 95 %)",
        nominal=nominal,
        low=low,
        high=high,
    )


def drift_words(drift: Drift) -> Words:
    """Return what a drift says, with what it is about.

    Parameters
    ----------
    drift : Drift
    """
    if drift.quantity == "angle":
        return words("angle from snug to the end: {says}", says=drift.says)
    return words("torque at the end: {says}", says=drift.says)


def spent_lines(spent: Sequence[Spent]) -> list[Words]:
    """Return how far the stretch of fasteners is spent; those that stand alike share a line.

    Parameters
    ----------
    spent : sequence of Spent

    Examples
    --------
    >>> import datetime as dt
    >>> once = Spent(4, dt.date(2026, 3, 1), True, 1, 1, (0.42, 0.48), 0.88)
    >>> for line in spent_lines([once, replace(once, fastener=5)]):
    ...     print(line)
    fasteners 4, 5: tightened by angle or stretch since 2026-03-01, when new: 1; seen to stretch
    for good: 1; reckoned 0.42 to 0.48 mm of lasting stretch, unusual beyond 0.88 mm; the maker's
    figure, or "replace", goes first
    """
    alike: dict[Spent, list[int]] = {}
    for one in spent:
        alike.setdefault(replace(one, fastener=0), []).append(one.fastener)
    return [_line(one, numbers) for one, numbers in alike.items()]


def _line(spent: Spent, numbers: Sequence[int]) -> Words:
    since = words("{day}, when new", day=spent.since.isoformat())
    if not spent.known_new:
        since = words("{day} (whether new then, nobody said)", day=spent.since.isoformat())
    return words(
        "{fasteners}: tightened by angle or stretch since {since}: {times}; seen to stretch for "
        'good: {seen}; {stretch}; the maker\'s figure, or "replace", goes first',
        fasteners=_fasteners(numbers),
        since=since,
        times=spent.times,
        seen=spent.seen,
        stretch=_stretch(spent),
    )


def _fasteners(numbers: Sequence[int]) -> Words:
    if len(numbers) == 1:
        return words("fastener {number}", number=numbers[0])
    return words("fasteners {numbers}", numbers=", ".join(map(str, numbers)))


def _stretch(spent: Spent) -> Words:
    if spent.stretch is None or spent.allowed is None:
        return words("its lasting stretch cannot be reckoned: measure its length")
    low, high = spent.stretch
    values = {"low": low, "high": high, "allowed": spent.allowed}
    if high > spent.allowed:
        return words(
            "reckoned {low:.2f} to {high:.2f} mm of lasting stretch, more than the {allowed:.2f} "
            "mm that are usual: measure its length, or replace it",
            **values,
        )
    return words(
        "reckoned {low:.2f} to {high:.2f} mm of lasting stretch, unusual beyond {allowed:.2f} mm",
        **values,
    )
