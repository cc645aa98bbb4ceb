"""Control charts over the checks of a tool: whether it has moved, or is only scattering.

EWMA and CUSUM find small lasting shifts, the plain chart large ones. The run rules make the plain
chart quicker and four times as often wrong (`average_run_length`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from clampwright.distributions import normal_probability
from clampwright.drawer.metrology import _inputs
from clampwright.drawer.metrology._inputs import Floats
from clampwright.errors import OutOfRange
from clampwright.words import words

REACH = 9.0
"""Standard deviations to which the normal distribution is integrated; 2 in 10¹⁹ lie beyond."""

NODES = 240
LARGEST_SAMPLE = 25


@dataclass(frozen=True, slots=True)
class ChartConstants:
    """Factors of charts for samples of n normal readings.

    Parameters
    ----------
    n : int
    d2, d3 : float
        Mean and standard deviation of the range, in standard deviations.
    c4 : float
        Mean of the sample standard deviation over the true one.
    A2, A3 : float
        Limits of the mean from the mean range, and from the mean standard deviation.
    D3, D4 : float
        Limits of the range over its mean.
    B3, B4 : float
        Limits of the standard deviation over its mean.
    E2 : float
        Limits of single readings from the mean range.
    """

    n: int
    d2: float
    d3: float
    c4: float
    A2: float
    A3: float
    D3: float
    D4: float
    B3: float
    B4: float
    E2: float


@lru_cache(maxsize=32)
def chart_constants(n: int) -> ChartConstants:
    """Return the factors of control charts for samples of `n`.

    Parameters
    ----------
    n : int
        2 to 25.

    Returns
    -------
    ChartConstants

    Raises
    ------
    OutOfRange
        `n` lies outside 2 to 25.

    References
    ----------
    Integrals of the distribution of the range of n normal readings (Tippett, Biometrika 17
    (1925), from memory); the rest by the usual definitions with three standard deviations.

    Examples
    --------
    >>> factors = chart_constants(5)
    >>> round(factors.d2, 3), round(factors.c4, 4), round(factors.A2, 3), round(factors.D4, 3)
    (2.326, 0.94, 0.577, 2.114)
    """
    if not 2 <= n <= LARGEST_SAMPLE:
        raise OutOfRange(
            words("control chart factors are given for samples of 2 to 25, not {n}", n=n),
            value=float(n),
            low=2.0,
            high=float(LARGEST_SAMPLE),
        )
    d2, d3 = _range_moments(n)
    c4 = math.sqrt(2.0 / (n - 1)) * math.exp(math.lgamma(n / 2) - math.lgamma((n - 1) / 2))
    rest = 3.0 * math.sqrt(1.0 - c4**2) / c4
    return ChartConstants(
        n=n,
        d2=d2,
        d3=d3,
        c4=c4,
        A2=3.0 / (d2 * math.sqrt(n)),
        A3=3.0 / (c4 * math.sqrt(n)),
        D3=max(0.0, 1.0 - 3.0 * d3 / d2),
        D4=1.0 + 3.0 * d3 / d2,
        B3=max(0.0, 1.0 - rest),
        B4=1.0 + rest,
        E2=3.0 / d2,
    )


def _range_moments(n: int) -> tuple[float, float]:
    """Mean and standard deviation of the range of n standard normal readings.

    The range exceeds r with chance ``1 − n ∫ φ(x) [Φ(x + r) − Φ(x)]^(n−1) dx``; its moments are
    integrals of that. The inner integral by even steps, the outer one by Gauss and Legendre.
    """
    x = np.linspace(-REACH, REACH, 2 * NODES + 1)
    nodes, weights = np.polynomial.legendre.leggauss(NODES // 2)
    r = REACH * (nodes + 1.0)
    below = _normal(x[:, None] + r) - _normal(x)[:, None]
    density = np.exp(-0.5 * x**2) / math.sqrt(2.0 * math.pi) * (x[1] - x[0])
    beyond = 1.0 - n * (density @ below ** (n - 1))
    mean = REACH * float(weights @ beyond)
    square = 2.0 * REACH * float(weights @ (r * beyond))
    return mean, math.sqrt(square - mean**2)


def _normal(x: Floats) -> Floats:
    found: Floats = np.vectorize(normal_probability, otypes=[np.float64])(x)
    return found


def ewma(values: ArrayLike, *, weight: float, start: float) -> Floats:
    """Exponentially weighted moving average, ``z_i = λ x_i + (1 − λ) z_(i−1)``.

    Parameters
    ----------
    values : array_like, shape (n,)
        Results in the order of time.
    weight : float
        λ, above 0 to 1: 0.2 to 0.3 for small shifts.
    start : float
        z_0: the target, or the mean of good history.

    Returns
    -------
    ndarray, shape (n,)

    Raises
    ------
    OutOfRange
        The weight lies outside its range, or a value is not finite.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4 (from memory).

    Examples
    --------
    >>> ewma([52.0, 47.0, 53.0], weight=0.3, start=50.0).round(4).tolist()
    [50.6, 49.52, 50.564]
    """
    row = _inputs.readings("values", values)
    share = float(_inputs.above("weight", _inputs.within("weight", weight, low=0.0, high=1.0)))
    mean, found = float(_inputs.number("start", start)), np.empty_like(row)
    for i, value in enumerate(row):
        mean = share * value + (1.0 - share) * mean
        found[i] = mean
    return found


def ewma_limits(
    *, centre: float, s: float, weight: float, index: int | None = None, sigmas: float = 3.0
) -> tuple[float, float]:
    """Limits of an EWMA chart, ``centre ± L s √{λ/(2 − λ) [1 − (1 − λ)^(2i)]}``.

    Parameters
    ----------
    centre : float
        Where the results should lie.
    s : float
        Standard deviation of single results; above 0.
    weight : float
        λ.
    index : int, optional
        Number of the result, from 1, for the exact limits of the first ones; those of long running
        if not given.
    sigmas : float
        L.

    Returns
    -------
    tuple of float
        Lower and upper limit.

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4 (from memory).

    Examples
    --------
    >>> low, high = ewma_limits(centre=50, s=2.0539, weight=0.3)
    >>> print(f"{low:.4f} {high:.4f}")
    47.4116 52.5884
    """
    share = float(_inputs.above("weight", _inputs.within("weight", weight, low=0.0, high=1.0)))
    grown = 1.0
    if index is not None:
        grown -= (1.0 - share) ** (2 * int(_inputs.one_above("index", index)))
    wide = _inputs.one_above("sigmas", sigmas) * _inputs.one_above("s", s)
    half = wide * math.sqrt(share / (2.0 - share) * grown)
    middle = float(_inputs.number("centre", centre))
    return middle - half, middle + half


@dataclass(frozen=True, slots=True)
class Cusum:
    """Cumulative sums to both sides.

    Parameters
    ----------
    high, low : ndarray, shape (n,)
        Sums of what lies above the target plus `k`, and below the target less `k`.
    plain : ndarray, shape (n,)
        Plain sum of the differences from the target.
    signals : tuple of int
        Numbers (from 1) of the results at which a sum exceeds `h`.
    """

    high: Floats
    low: Floats
    plain: Floats
    signals: tuple[int, ...]


def cusum(values: ArrayLike, *, target: float, k: float, h: float) -> Cusum:
    """Cumulative sum chart in its tabular form.

    ``S_H = max(0, x − target − k + S_H)``, ``S_L = max(0, target − k − x + S_L)``

    Parameters
    ----------
    values : array_like, shape (n,)
        Results in the order of time.
    target : float
        Where they should lie.
    k : float
        Slack: half the shift to be found, unit of the values; 0 or more.
    h : float
        Limit of the sums, unit of the values; above 0.

    Returns
    -------
    Cusum

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3 (from memory).

    Examples
    --------
    >>> cusum([10.1, 10.6, 10.9], target=10, k=0.25, h=1.0).high.round(4).tolist()
    [0.0, 0.35, 1.0]
    """
    row = _inputs.readings("values", values)
    middle = float(_inputs.number("target", target))
    slack = float(_inputs.not_negative("k", k))
    limit = _inputs.one_above("h", h)
    above = below = 0.0
    high, low = np.empty_like(row), np.empty_like(row)
    for i, value in enumerate(row):
        above = max(0.0, value - middle - slack + above)
        below = max(0.0, middle - slack - value + below)
        high[i], low[i] = above, below
    over = np.flatnonzero((high > limit) | (low > limit)) + 1
    return Cusum(high, low, np.cumsum(row - middle), tuple(int(i) for i in over))


@dataclass(frozen=True, slots=True)
class RunRule:
    """So many of so many results in a row beyond so many standard deviations, on one side.

    Parameters
    ----------
    name : str
    needed, among : int
        ``needed`` of the last ``among`` results, the last one included.
    beyond : float
        Standard deviations from the centre.
    """

    name: str
    needed: int
    among: int
    beyond: float


WESTERN_ELECTRIC = (
    RunRule("one beyond 3 s", 1, 1, 3.0),
    RunRule("two of three beyond 2 s", 2, 3, 2.0),
    RunRule("four of five beyond 1 s", 4, 5, 1.0),
    RunRule("eight on one side", 8, 8, 0.0),
)
"""The four zone rules (NIST/SEMATECH e-Handbook 6.3.2, from memory)."""

RISING = "six in a row rising or falling"
ALTERNATING = "fourteen in a row alternating"


@dataclass(frozen=True, slots=True)
class Signal:
    """One alarm of a chart.

    Parameters
    ----------
    index : int
        Number of the result, from 1, at which it shows.
    rule : str
        Name of the rule.
    """

    index: int
    rule: str


def run_signals(
    values: ArrayLike,
    *,
    centre: float,
    s: float,
    rules: tuple[RunRule, ...] = WESTERN_ELECTRIC,
    trends: bool = False,
) -> tuple[Signal, ...]:
    """Alarms of a plain chart by run rules.

    Parameters
    ----------
    values : array_like, shape (n,)
        Results in the order of time.
    centre : float
        Where they should lie.
    s : float
        Their standard deviation while all is well; above 0.
    rules : tuple of RunRule
        The four zone rules if not given.
    trends : bool
        Also look for six in a row rising or falling and fourteen alternating.

    Returns
    -------
    tuple of Signal
        In the order of time. Every rule costs false alarms: see `average_run_length`.

    Raises
    ------
    OutOfRange
        The standard deviation is not above 0, or a value is not finite.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2 (from memory).

    Examples
    --------
    >>> run_signals([0.1, 2.2, 0.3, 2.4], centre=0, s=1)
    (Signal(index=4, rule='two of three beyond 2 s'),)
    """
    row = _inputs.readings("values", values)
    z = (row - float(_inputs.number("centre", centre))) / _inputs.one_above("s", s)
    found = [
        Signal(i + 1, rule.name)
        for rule in rules
        for i in range(row.size)
        for side in (z, -z)
        if _seen(side, i, rule)
    ]
    if trends:
        found += _trends(row)
    return tuple(sorted(found, key=lambda signal: signal.index))


def _seen(side: Floats, i: int, rule: RunRule) -> bool:
    if not side[i] > rule.beyond:
        return False
    last = side[max(0, i + 1 - rule.among) : i + 1]
    return int((last > rule.beyond).sum()) >= rule.needed


def _trends(row: Floats) -> list[Signal]:
    step = np.sign(np.diff(row))
    found = []
    for i in range(row.size):
        last = step[max(0, i - 5) : i]
        if last.size == 5 and abs(last.sum()) == 5:
            found.append(Signal(i + 1, RISING))
        wave = step[max(0, i - 13) : i]
        if wave.size == 13 and np.all(wave[1:] * wave[:-1] == -1):
            found.append(Signal(i + 1, ALTERNATING))
    return found


def average_run_length(
    *, shift: float = 0.0, rules: tuple[RunRule, ...] = WESTERN_ELECTRIC
) -> float:
    """How many results it takes on average until a chart with run rules signals.

    Parameters
    ----------
    shift : float
        How far the mean has moved, in standard deviations; 0 for false alarms.
    rules : tuple of RunRule
        The four zone rules if not given.

    Returns
    -------
    float
        Results, the one that signals included.

    Raises
    ------
    OutOfRange
        The shift is not finite.

    Notes
    -----
    Exact: the recent past of the chart is a Markov chain, whose states are found by following every
    zone from every state; the mean time to the signal solves a linear system.

    References
    ----------
    Champ and Woodall, Technometrics 29 (1987) 393 (from memory).

    Examples
    --------
    >>> print(f"{average_run_length(rules=WESTERN_ELECTRIC[:1]):.1f}")
    370.4
    >>> print(f"{average_run_length():.2f}")
    91.75
    """
    moved = float(_inputs.number("shift", shift))
    edges = sorted({side * rule.beyond for rule in rules for side in (-1.0, 1.0)})
    bounds = [-math.inf, *edges, math.inf]
    zones = [
        (_middle(a, b), normal_probability(b - moved) - normal_probability(a - moved))
        for a, b in pairwise(bounds)
    ]
    states: dict[tuple[tuple[int, ...], ...], int] = {}
    start = tuple((0,) * (rule.among - 1) for rule in rules for _ in (0, 1))
    states[start] = 0
    queue, moves = [start], []
    while queue:
        state = queue.pop()
        for place, chance in zones:
            after = _after(state, place, rules)
            if after is None:
                continue
            if after not in states:
                states[after] = len(states)
                queue.append(after)
            moves.append((states[state], states[after], chance))
    stay = np.eye(len(states))
    for a, b, chance in moves:
        stay[a, b] -= chance
    return float(np.linalg.solve(stay, np.ones(len(states)))[0])


def _middle(a: float, b: float) -> float:
    """Return a place inside a zone."""
    if math.isinf(a):
        return b - 1.0
    return a + 1.0 if math.isinf(b) else (a + b) / 2.0


def _after(
    state: tuple[tuple[int, ...], ...], place: float, rules: tuple[RunRule, ...]
) -> tuple[tuple[int, ...], ...] | None:
    """Return the recent past after one more result, or None where a rule signals."""
    found = []
    for number, past in enumerate(state):
        rule, side = rules[number // 2], 1.0 if number % 2 == 0 else -1.0
        now = int(side * place > rule.beyond)
        if now and sum(past) + 1 >= rule.needed:
            return None
        kept = (*past, now)[1:] if past else ()
        found.append(_what_counts(kept, rule))
    return tuple(found)


@lru_cache(maxsize=4096)
def _what_counts(past: tuple[int, ...], rule: RunRule) -> tuple[int, ...]:
    """Return the past without marks that can no longer make the rule signal (fewer states)."""
    for i, mark in enumerate(past):
        without = (*past[:i], 0, *past[i + 1 :])
        if mark and _alike(past, without, rule):
            past = without
    return past


def _alike(one: tuple[int, ...], two: tuple[int, ...], rule: RunRule) -> bool:
    """Tell whether two pasts signal at the same time whatever comes."""
    if one == two:
        return True
    signals = [sum(past) + 1 >= rule.needed for past in (one, two)]
    if signals[0] != signals[1]:
        return False
    return all(
        _alike((*one, now)[1:], (*two, now)[1:], rule) for now in (0, 1) if not (now and signals[0])
    )
