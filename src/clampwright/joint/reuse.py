"""Using a fastener again that was turned past yield: what stretch it has spent, what is left.

Lasting stretch is spent for good. The maker's figure (largest length, or "replace") always goes
first; without one, a fastener that has yielded is replaced.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint._tables import rows
from clampwright.joint.hardening import follow_hardening
from clampwright.joint.model import Fastening
from clampwright.joint.stress_strain import Law
from clampwright.joint.torque_angle import Step, follow
from clampwright.words import Words, words

MOST_USES = 50


@dataclass(frozen=True, slots=True)
class LengthCheck:
    """What a measured length says about using a fastener again.

    Parameters
    ----------
    lasting : float
        Lasting stretch, mm.
    allowed : float or None
        Largest lasting stretch by the maker's figure, mm.
    fit : bool
        Whether it may be used again as far as its length tells.
    reason : Words
    """

    lasting: float
    allowed: float | None
    fit: bool
    reason: Words


def length_check(
    *,
    new_length: float,
    length: float,
    largest_length: float | None = None,
    reading_u: float = 0.0,
    past_yield: bool,
) -> LengthCheck:
    """Judge a used fastener by its free length.

    Parameters
    ----------
    new_length : float
        Free length when new, mm.
    length : float
        Free length now, mm.
    largest_length : float, optional
        Largest free length that the maker allows, mm.
    reading_u : float
        Standard uncertainty of a reading, mm; two of them are kept clear of the limit.
    past_yield : bool
        Whether it was tightened past yield (by angle, or to yield).

    Returns
    -------
    LengthCheck

    Raises
    ------
    OutOfRange
        A length is not positive, or the uncertainty below 0.
    ClampwrightError
        The largest length is below the new one.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> check = length_check(new_length=60, length=60.35, largest_length=60.3, past_yield=True)
    >>> check.fit, str(check.reason)
    (False, 'it is 60.350 mm long; the maker allows 60.300 mm: replace it')
    """
    new = float(_checks.above("new_length", new_length, unit="mm"))
    now = float(_checks.above("length", length, unit="mm"))
    doubt = 2.0 * float(_checks.not_negative("reading_u", reading_u, unit="mm"))
    if largest_length is None:
        reason = (
            words("it was tightened past yield and the maker gives no length: replace it")
            if past_yield
            else words("it was not tightened past yield; judge it by thread and surface")
        )
        return LengthCheck(now - new, None, fit=not past_yield, reason=reason)
    most = float(_checks.above("largest_length", largest_length, unit="mm"))
    if most < new:
        raise ClampwrightError(
            words(
                "largest_length ({most:g} mm) is below new_length ({new:g} mm); check both",
                most=most,
                new=new,
            )
        )
    if now + doubt <= most:
        reason = words(
            "it is {length:.3f} mm long; the maker allows {most:.3f} mm", length=now, most=most
        )
        return LengthCheck(now - new, most - new, fit=True, reason=reason)
    reason = (
        words(
            "it is {length:.3f} mm long; the maker allows {most:.3f} mm: replace it",
            length=now,
            most=most,
        )
        if now > most
        else words(
            "it is {length:.3f} mm long, too near the maker's {most:.3f} mm for this reading:"
            " replace it",
            length=now,
            most=most,
        )
    )
    return LengthCheck(now - new, most - new, fit=False, reason=reason)


@dataclass(frozen=True, slots=True)
class ReuseBudget:
    """Lasting stretch use by use against what may be spent.

    Parameters
    ----------
    stretch : ndarray, shape (uses,)
        Lasting stretch after each use, mm; the worst of the friction samples given.
    clamp : ndarray, shape (uses,)
        Smallest clamp load of each use, N.
    budget : float
        What may be spent, mm.
    uses : int
        Whole uses that stay within the budget.
    """

    stretch: Floats
    clamp: Floats
    budget: float
    uses: int


def reuse_budget(
    fastening: Fastening,
    steps: Sequence[Step],
    *,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    budget: float,
    law: Law | None = None,
    most: int = MOST_USES,
) -> ReuseBudget:
    """How often a fastener can be tightened by the same steps before its stretch is spent.

    Parameters
    ----------
    fastening : Fastening
        With clamp rate, yield stress and plastic length.
    steps : sequence of Step
        One tightening; between two it is loosened all the way.
    mu_thread, mu_bearing : array_like
        Friction coefficients; samples, or both ends of a range. Low thread friction stretches most.
    budget : float
        Lasting stretch that may be spent, mm: the maker's figure (`stretch_budget` for a study).
    law : Law, optional
        Law of hardening; the fastening's own bilinear one if not given.
    most : int
        Uses after which to stop counting.

    Returns
    -------
    ReuseBudget

    Raises
    ------
    Missing
        There are no steps, or as `clampwright.joint.torque_angle.follow`.
    OutOfRange
        As `clampwright.joint.torque_angle.follow`; a budget not positive.

    Notes
    -----
    Friction rises with use on many surfaces and threads wear; neither is in it.

    References
    ----------
    Derived; see `clampwright.joint.torque_angle`.

    Examples
    --------
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, yield_stress=940,
    ...                  clamp_rate=829.66, plastic_length=22)
    >>> spent = reuse_budget(bolt, [Step("snug", 30), Step("angle", 90)], mu_thread=0.12,
    ...                      mu_bearing=0.10, budget=0.5)
    >>> spent.uses, [round(float(stretch), 3) for stretch in spent.stretch[:3]]
    (2, [0.226, 0.447, 0.661])
    """
    if not steps:
        raise Missing(words("a tightening needs at least one step"), "steps")
    limit = float(_checks.above("budget", budget, unit="mm"))
    uses = _shapes.whole("most", most, low=1, high=1000)
    plan = [*steps, Step("loosen")] * uses
    states = (
        follow(fastening, plan, mu_thread=mu_thread, mu_bearing=mu_bearing)
        if law is None
        else follow_hardening(fastening, law, plan, mu_thread=mu_thread, mu_bearing=mu_bearing)
    )
    last = states[len(steps) - 1 :: len(steps) + 1]
    if any(state.plastic_stretch is None for state in last):
        raise Missing(
            words(
                "lasting stretch needs the yield stress and the length that stretches plastically"
                " (free thread in the grip + half the diameter)"
            ),
            "plastic_length",
        )
    stretch = np.array([np.max(np.asarray(state.plastic_stretch)) for state in last])
    clamp = np.array([np.min(state.clamp) for state in last])
    broke = np.array([not np.all(state.reached) for state in last])
    return ReuseBudget(stretch, clamp, limit, int(np.sum((stretch <= limit) & ~broke)))


def stretch_budget(fastening: Fastening, *, uniform_strain: float, share: float) -> float:
    """Lasting stretch that a share of the uniform strain allows, ``share · ε_u · l_p``.

    Parameters
    ----------
    fastening : Fastening
        With a plastic length.
    uniform_strain : float
        Strain at which the neck begins, above 0 and below 0.5: the exponent m of the law, far less
        than the elongation after fracture.
    share : float
        Above 0, up to 1.

    Returns
    -------
    float
        mm, for a study; the maker's figure goes first.

    Raises
    ------
    Missing
        The fastening has no plastic length.
    OutOfRange
        A number lies outside its range.

    References
    ----------
    Ours.

    Examples
    --------
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, plastic_length=22)
    >>> round(stretch_budget(bolt, uniform_strain=0.05, share=0.5), 3)
    0.55
    """
    if fastening.plastic_length is None:
        raise Missing(
            words(
                "the length that stretches plastically is needed"
                " (free thread in the grip + half the diameter)"
            ),
            "plastic_length",
        )
    _checks.above("uniform_strain", uniform_strain)
    strain = _checks.within("uniform_strain", uniform_strain, low=0.0, high=0.5, source="ours")
    _checks.above("share", share)
    part = _checks.within("share", share, low=0.0, high=1.0, source="share of the strain")
    return float(part * strain * fastening.plastic_length)


def elongation_after_fracture(strength_class: str) -> float:
    """Least elongation after fracture of a strength class.

    Parameters
    ----------
    strength_class : str
        8.8, 10.9 or 12.9.

    Returns
    -------
    float
        Share of the gauge length; the uniform strain is far less.

    Raises
    ------
    Missing
        The class is not in the table.

    References
    ----------
    ISO 898-1, from memory.

    Examples
    --------
    >>> elongation_after_fracture("10.9")
    0.09
    """
    table = {row["strength_class"]: float(row["elongation_percent"]) for row in rows("elongation")}
    if strength_class not in table:
        raise Missing(
            words(
                "no elongation is known for class {name}; known: {known}",
                name=str(strength_class),
                known=", ".join(table),
            ),
            "strength_class",
        )
    return table[strength_class] / 100.0
