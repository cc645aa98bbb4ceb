"""Whether a measured value conforms, how surely, and what wrong decisions cost.

A decision always names its rule: "pass" without a rule may mean a chance of one half.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from clampwright.distributions import normal_probability, normal_quantile
from clampwright.drawer.metrology import _inputs
from clampwright.drawer.metrology._inputs import Floats
from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.words import Words, words

Rule = Literal["simple", "guarded", "probability"]
Verdict = Literal["pass", "fail", "conditional pass", "conditional fail"]

NODES = 400
REACH = 9.0


def conformance_probability(
    value: float, *, u: float, low: float | None = None, high: float | None = None
) -> float:
    """Chance that the true value lies within its limits, normal distribution.

    ``p_c = Φ((T_U − y)/u) − Φ((T_L − y)/u)``

    Parameters
    ----------
    value : float
        Measured value.
    u : float
        Its *standard* uncertainty, same unit; above 0.
    low, high : float, optional
        Limits, same unit; one of them may be missing.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        The uncertainty is not above 0, or the limits do not rise.
    Missing
        There is no limit at all.

    References
    ----------
    JCGM 106:2012, 7 (from memory).

    Examples
    --------
    >>> round(conformance_probability(-5.47, u=0.05, high=-5.40), 4)
    0.9192
    """
    y, scatter = float(_inputs.number("value", value)), _inputs.one_above("u", u)
    least, most = _limits(low, high)
    # The nearer tail keeps its digits.
    if most - y < y - least:
        return normal_probability((most - y) / scatter) - normal_probability((least - y) / scatter)
    return normal_probability((y - least) / scatter) - normal_probability((y - most) / scatter)


def guard_band(u: float, *, confidence: float = 0.95) -> float:
    """Guard band that leaves at most ``1 − confidence`` of risk at a limit.

    ``g = z(confidence) u``

    Parameters
    ----------
    u : float
        Standard uncertainty; above 0.
    confidence : float
        Least probability of conformance of what is accepted, 0.5 to 1.

    Returns
    -------
    float
        Unit of `u`. For 95 % 1.645 u; a guard of 2 u leaves 2.3 %.

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    JCGM 106:2012, 8; ISO 14253-1 (both from memory).

    Examples
    --------
    >>> print(f"{4.0 - guard_band(0.5):.6f}")
    3.177573
    """
    level = _inputs.share("confidence", confidence)
    _inputs.within("confidence", level, low=0.5, high=1.0)
    return normal_quantile(level) * _inputs.one_above("u", u)


def action_threshold(limit: float, *, u_rel: float, confidence: float) -> float:
    """Measured value from which one may be that sure that the true one is above a limit.

    ``v = v_lim / (1 − z u_rel)``

    Parameters
    ----------
    limit : float
        Upper limit; above 0.
    u_rel : float
        Standard uncertainty as a fraction of the *measured* value.
    confidence : float
        How sure, 0.5 to 1.

    Returns
    -------
    float
        Unit of `limit`.

    Raises
    ------
    OutOfRange
        An argument lies outside its range, or the uncertainty leaves no such value.

    References
    ----------
    JCGM 106:2012, example of a speed limit (from memory).

    Examples
    --------
    >>> print(f"{action_threshold(100, u_rel=0.02, confidence=0.999):.3f}")
    106.588
    """
    most, part = _inputs.one_above("limit", limit), _inputs.one_above("u_rel", u_rel)
    left = 1.0 - normal_quantile(_inputs.share("confidence", confidence)) * part
    return most / _inputs.one_above("1 − z u_rel", left)


@dataclass(frozen=True, slots=True)
class Conformity:
    """A decision with its rule and its chance of being right.

    Parameters
    ----------
    verdict : {"pass", "fail", "conditional pass", "conditional fail"}
        Conditional where the value lies within the guard band on either side of a limit.
    probability : float
        Chance that the true value lies within the limits.
    accepted : tuple of float
        Acceptance limits that were used; infinite on an open side.
    rule : Words
        The rule in words, to be printed beside the verdict.
    """

    verdict: Verdict
    probability: float
    accepted: tuple[float, float]
    rule: Words


def decide(
    value: float,
    *,
    u: float,
    low: float | None = None,
    high: float | None = None,
    rule: Rule = "guarded",
    confidence: float = 0.95,
    k: float = 2.0,
) -> Conformity:
    """Hold a value against its limits by a named rule.

    Parameters
    ----------
    value, u : float
        Measured value and its standard uncertainty.
    low, high : float, optional
        Limits; one of them may be missing.
    rule : {"simple", "guarded", "probability"}
        ``simple``: the uncertainty is not looked at. ``guarded``: a guard band of k u inside the
        limits passes, outside them fails. ``probability``: passes from a probability of conformance
        of `confidence` on.
    confidence : float
        For ``probability``.
    k : float
        For ``guarded``.

    Returns
    -------
    Conformity

    Raises
    ------
    OutOfRange
        An argument lies outside its range, or the guard bands leave nothing to accept.
    Missing
        There is no limit at all.
    ClampwrightError
        An unknown rule.

    References
    ----------
    JCGM 106:2012; ILAC-G8; ISO/IEC 17025:2017, 7.8.6: the rule is part of the statement (all from
    memory).

    Examples
    --------
    >>> found = decide(3.5, u=0.5, low=-4, high=4)
    >>> found.verdict, round(found.probability, 5), str(found.rule)
    ('conditional pass', 0.84134, 'guard band of 2 u')
    """
    chance = conformance_probability(value, u=u, low=low, high=high)
    least, most = _limits(low, high)
    said = _rule(rule, confidence, k)
    guard = 0.0 if rule == "simple" else _inputs.one_above("k", k) * u
    if rule == "probability":
        guard = guard_band(u, confidence=confidence)
    inside = (least + guard, most - guard)
    if not inside[0] < inside[1]:
        raise OutOfRange(
            words(
                "u is {u:g}: the guard bands of {guard:g} leave nothing between the limits"
                " {low:g} and {high:g}; a better measurement is needed",
                u=u,
                guard=guard,
                low=least,
                high=most,
            ),
            value=u,
            high=(most - least) / 2.0,
        )
    verdict: Verdict
    if inside[0] <= value <= inside[1]:
        verdict = "pass"
    elif least <= value <= most:
        verdict = "conditional pass"
    elif least - guard <= value <= most + guard:
        verdict = "conditional fail"
    else:
        verdict = "fail"
    return Conformity(verdict, chance, inside, said)


def _rule(rule: Rule, confidence: float, k: float) -> Words:
    if rule == "simple":
        return words("simple acceptance: at the limit the risk is one half")
    if rule == "guarded":
        return words("guard band of {k:g} u", k=k)
    if rule == "probability":
        return words("probability of conformance of at least {share:g} %", share=100 * confidence)
    raise ClampwrightError(
        words(
            "rule is {given}; it must be one of: {known}",
            given=repr(rule),
            known="simple, guarded, probability",
        )
    )


@dataclass(frozen=True, slots=True)
class Risk:
    """Shares of all tools that a way of testing them leaves.

    Parameters
    ----------
    bad : float
        Truly outside the limits before testing.
    wrongly_accepted, wrongly_rejected : float
        Bad but accepted; good but rejected.
    """

    bad: float
    wrongly_accepted: float
    wrongly_rejected: float


def global_risk(*, scatter: float, u: float, limit: float, acceptance: float | None = None) -> Risk:
    """Wrong decisions over many tools whose true errors scatter around zero.

    Parameters
    ----------
    scatter : float
        Standard deviation of the true errors; above 0.
    u : float
        Standard uncertainty of the test; above 0.
    limit : float
        Permissible error, both sides; above 0.
    acceptance : float, optional
        Largest *measured* error that is accepted; `limit` (simple acceptance) if not given.

    Returns
    -------
    Risk

    Raises
    ------
    OutOfRange
        An argument is not above 0.

    References
    ----------
    JCGM 106:2012, 9.5, global consumer's and producer's risk (from memory); integrated piecewise by
    Gauss and Legendre.

    Examples
    --------
    >>> risk = global_risk(scatter=1.8, u=0.5, limit=4)
    >>> print(f"{risk.bad:.5f} {risk.wrongly_accepted:.6f} {risk.wrongly_rejected:.6f}")
    0.02627 0.005239 0.011233
    """
    spread, test = _inputs.one_above("scatter", scatter), _inputs.one_above("u", u)
    most = _inputs.one_above("limit", limit)
    accept = most if acceptance is None else _inputs.one_above("acceptance", acceptance)

    def share(a: float, b: float, *, accepted: bool) -> float:
        nodes, weights = _gauss()
        x = (b + a) / 2.0 + (b - a) / 2.0 * nodes
        density = np.exp(-0.5 * (x / spread) ** 2) / (spread * math.sqrt(2.0 * math.pi))
        taken = np.array(
            [
                normal_probability((accept - true) / test)
                - normal_probability((-accept - true) / test)
                for true in x
            ]
        )
        part = taken if accepted else 1.0 - taken
        return float((b - a) / 2.0 * (weights @ (density * part)))

    return Risk(
        2.0 * normal_probability(-most / spread),
        2.0 * share(most, most + REACH * max(spread, test), accepted=True),
        2.0 * share(0.0, most, accepted=False),
    )


@lru_cache(maxsize=1)
def _gauss() -> tuple[Floats, Floats]:
    return np.polynomial.legendre.leggauss(NODES)


def _limits(low: float | None, high: float | None) -> tuple[float, float]:
    if low is None and high is None:
        raise Missing(words("a value conforms to limits: give low, high or both"), "limit")
    least = -math.inf if low is None else float(_inputs.number("low", low))
    most = math.inf if high is None else float(_inputs.number("high", high))
    if not least < most:
        raise OutOfRange(
            words(
                "the limits {low:g} and {high:g} leave nothing between them", low=least, high=most
            ),
            value=least,
            high=most,
        )
    return least, most
