"""How uncertain inputs make an uncertain result: the law of propagation (GUM).

Sensitivities are taken from the model itself, so that any function of the room will do.
`clampwright.joint.monte_carlo` is the same by sampling, for models that bend within the
uncertainty of their inputs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.distributions import coverage_factor
from clampwright.errors import ClampwrightError, Missing
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint.uncertain import Distribution
from clampwright.words import words

Model = Callable[..., ArrayLike]
"""Takes one number (or array) per input, by name; returns one number (or array)."""

_STEP = 0.05  # of a standard uncertainty: small for the slope, large against rounding
_WIDE = 0.08  # the same for second and third derivatives


@dataclass(frozen=True, slots=True)
class Part:
    """What one input adds.

    Parameters
    ----------
    name : str
    sensitivity : float
        Change of the result per change of the input.
    u : float
        Sensitivity times standard uncertainty, with its sign.
    share : float
        Its share of the squared standard uncertainty (1 in sum where inputs are uncorrelated).
    """

    name: str
    sensitivity: float
    u: float
    share: float


@dataclass(frozen=True, slots=True)
class Propagated:
    """Result of the law of propagation.

    Parameters
    ----------
    value : float
    u : float
        Combined standard uncertainty.
    dof : float or None
        Effective degrees of freedom before truncation; None where correlated inputs with few
        degrees of freedom make them unknown.
    parts : tuple of Part
        Largest first.
    """

    value: float
    u: float
    dof: float | None
    parts: tuple[Part, ...]

    def expanded(self, coverage: float = 0.95) -> float:
        """Return the expanded uncertainty ``U = t_p(ν_eff) u``, with ν_eff rounded down.

        Parameters
        ----------
        coverage : float

        Returns
        -------
        float

        Raises
        ------
        ClampwrightError
            The effective degrees of freedom are not known, or below 1.
        """
        if self.dof is None:
            raise ClampwrightError(
                words(
                    "effective degrees of freedom are not defined for correlated inputs that have"
                    " few; use Monte Carlo"
                )
            )
        return coverage_factor(coverage, truncated(self.dof)) * self.u

    def interval(self, coverage: float = 0.95) -> tuple[float, float]:
        """Return value minus and plus the expanded uncertainty.

        Parameters
        ----------
        coverage : float

        Returns
        -------
        tuple of float
        """
        half = self.expanded(coverage)
        return self.value - half, self.value + half


def combined_u(u: ArrayLike, *, correlation: ArrayLike | None = None) -> float:
    """Combine contributions ``c_i u_i`` into one standard uncertainty.

    ``u_c² = Σ (c_i u_i)² + 2 ΣΣ c_i c_j u_i u_j r_ij``

    Parameters
    ----------
    u : array_like, shape (n,)
        Contributions with their signs.
    correlation : array_like, shape (n, n), optional
        Correlation matrix; uncorrelated if not given.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        A number is NaN, a coefficient outside −1 to 1.
    ClampwrightError
        The matrix is no correlation matrix of this size.

    References
    ----------
    JCGM 100:2008, 5.1.2 and 5.2.2 (from memory).

    Examples
    --------
    >>> print(f"{combined_u([25, 9.7, 2.9, 16.6]):.2f}")
    31.67
    """
    part = _shapes.row("u", u)
    if correlation is None:
        return math.sqrt(float(part @ part))
    r = checked_correlation(correlation, len(part))
    return math.sqrt(max(float(part @ r @ part), 0.0))


def welch_satterthwaite(u: ArrayLike, dof: ArrayLike) -> float:
    """Effective degrees of freedom of a combined uncertainty, ``ν = u_c⁴ / Σ (u_i⁴/ν_i)``.

    Parameters
    ----------
    u : array_like, shape (n,)
        Contributions, uncorrelated.
    dof : array_like, shape (n,)
        Degrees of freedom of each, above 0; infinite where they are exact.

    Returns
    -------
    float
        Before truncation; infinite where all are.

    Raises
    ------
    OutOfRange
        A number is NaN, or degrees of freedom not above 0.
    ClampwrightError
        The rows differ in length.

    References
    ----------
    JCGM 100:2008, G.4.1 (from memory).

    Examples
    --------
    >>> print(f"{welch_satterthwaite([25, 9.7, 2.9, 16.6], [18, 25.6, 50, 2]):.2f}")
    16.76
    """
    part = _shapes.row("u", u)
    free = np.asarray(dof, dtype=np.float64)
    finite = np.isfinite(free)
    _checks.above("dof", np.where(np.isposinf(free), 1.0, free))
    _checks.shapes_fit(u=part, dof=free)
    free = np.broadcast_to(free, part.shape)
    finite = np.broadcast_to(finite, part.shape)
    doubt = float(np.sum(part[finite] ** 4 / free[finite]))
    if doubt == 0.0:
        return math.inf
    return float((part @ part) ** 2) / doubt


def truncated(dof: float) -> float:
    """Return effective degrees of freedom rounded down, as the guide asks.

    Parameters
    ----------
    dof : float
        1 or more, or infinite.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        Below 1.

    References
    ----------
    JCGM 100:2008, G.4.1 (from memory).

    Examples
    --------
    >>> truncated(16.76)
    16.0
    """
    if dof == math.inf:
        return math.inf
    _checks.within("dof", dof, low=1.0, high=math.inf, source="JCGM 100:2008, G.4.1")
    return float(math.floor(dof))


def propagate(
    model: Model,
    inputs: Mapping[str, Distribution],
    *,
    correlation: ArrayLike | None = None,
    second_order: bool = False,
) -> Propagated:
    """Value and standard uncertainty of a model by the law of propagation.

    Parameters
    ----------
    model : callable
        Takes each input by name; smooth near the inputs' values.
    inputs : mapping of str to Distribution
        The uncertain inputs. Whatever is exact belongs into the model.
    correlation : array_like, shape (n, n), optional
        Correlation matrix in the order of the inputs.
    second_order : bool
        Whether to add the terms of next order for uncorrelated, normally distributed inputs.

    Returns
    -------
    Propagated

    Raises
    ------
    Missing
        There is no input.
    OutOfRange
        As the model; a correlation outside −1 to 1.
    ClampwrightError
        The matrix is no correlation matrix; second order with correlation; the model gives no
        single number.

    References
    ----------
    JCGM 100:2008, 5.1.2 with its note (second order), 5.2.2, G.4.1 (from memory).

    Examples
    --------
    >>> from clampwright.joint.uncertain import Normal
    >>> found = propagate(lambda T, K: T / (K * 0.010),
    ...                   {"T": Normal(50, 1.0), "K": Normal(0.2, 0.02)})
    >>> print(f"{found.value:.0f} ± {found.u:.0f} N; most from {found.parts[0].name}")
    25000 ± 2550 N; most from K
    """
    if not inputs:
        raise Missing(words("a model needs at least one uncertain input"), "inputs")
    if second_order and correlation is not None:
        raise ClampwrightError(
            words("second-order terms are known for uncorrelated inputs only; use Monte Carlo")
        )
    shifted = _Shifted(model, inputs)
    slopes = np.array([shifted.slope(k) for k in range(len(inputs))])
    u = combined_u(slopes, correlation=correlation)
    dofs = [given.dof for given in inputs.values()]
    known = correlation is None or all(dof == math.inf for dof in dofs)
    dof = welch_satterthwaite(slopes, dofs) if known else None
    if second_order:
        u = math.sqrt(u**2 + shifted.second_order())
    total = float(slopes @ slopes) or 1.0
    parts = [
        Part(
            name, float(slope / given.u) if given.u else 0.0, float(slope), float(slope**2 / total)
        )
        for (name, given), slope in zip(inputs.items(), slopes, strict=True)
    ]
    parts.sort(key=lambda part: -part.share)
    return Propagated(shifted.at(), u, dof, tuple(parts))


def checked_correlation(correlation: ArrayLike, count: int) -> Floats:
    """Return a correlation matrix, checked.

    Parameters
    ----------
    correlation : array_like, shape (count, count)
    count : int

    Returns
    -------
    ndarray, shape (count, count)

    Raises
    ------
    OutOfRange
        A coefficient outside −1 to 1.
    ClampwrightError
        Wrong size, not symmetric, no ones on the diagonal, or impossible as a whole.

    References
    ----------
    JCGM 100:2008, 5.2.2: coefficients of correlation lie between −1 and 1.

    Examples
    --------
    >>> checked_correlation([[1, 0.5], [0.5, 1]], 2).tolist()
    [[1.0, 0.5], [0.5, 1.0]]
    """
    r = _shapes.square("correlation", correlation)
    _checks.within("correlation", r, low=-1.0, high=1.0, source="definition")
    good = len(r) == count and np.allclose(r, r.T) and np.allclose(np.diagonal(r), 1.0)
    if not good or float(np.linalg.eigvalsh(r)[0]) < -1e-9:
        raise ClampwrightError(
            words(
                "correlation must be a correlation matrix of {count} inputs: symmetric, ones on"
                " the diagonal, no impossible combination",
                count=count,
            )
        )
    return r


class _Shifted:
    """A model as a function of shifts, each in standard uncertainties of its input."""

    def __init__(self, model: Model, inputs: Mapping[str, Distribution]) -> None:
        self._model, self._inputs = model, inputs

    def at(self, *shifts: tuple[int, float]) -> float:
        by = dict(shifts)
        values = {
            name: given.value + by.get(k, 0.0) * given.u
            for k, (name, given) in enumerate(self._inputs.items())
        }
        found = _checks.number("the model's result", self._model(**values))
        if found.ndim:
            raise ClampwrightError(
                words(
                    "the model must give one number, not an array of shape {shape}",
                    shape=str(found.shape),
                )
            )
        return float(found)

    def slope(self, k: int) -> float:
        h = _STEP
        near = self.at((k, h)) - self.at((k, -h))
        far = self.at((k, 2 * h)) - self.at((k, -2 * h))
        return (8.0 * near - far) / (12.0 * h)

    def second_order(self) -> float:
        count = len(self._inputs)
        return sum(
            0.5 * self._mixed(i, j) ** 2 + self.slope(i) * self._third(i, j)
            for i in range(count)
            for j in range(count)
        )

    def _curvature(self, k: int, *fixed: tuple[int, float]) -> float:
        h = _WIDE
        around = [self.at((k, by), *fixed) for by in (-2 * h, -h, 0.0, h, 2 * h)]
        weights: Sequence[float] = (-1.0, 16.0, -30.0, 16.0, -1.0)
        return sum(w * f for w, f in zip(weights, around, strict=True)) / (12.0 * h**2)

    def _mixed(self, i: int, j: int) -> float:
        if i == j:
            return self._curvature(i)
        h = _WIDE
        same = self.at((i, h), (j, h)) + self.at((i, -h), (j, -h))
        opposite = self.at((i, h), (j, -h)) + self.at((i, -h), (j, h))
        return (same - opposite) / (4.0 * h**2)

    def _third(self, i: int, j: int) -> float:
        h = _WIDE
        if i == j:
            near = self.at((i, h)) - self.at((i, -h))
            far = self.at((i, 2 * h)) - self.at((i, -2 * h))
            return (far - 2.0 * near) / (2.0 * h**3)
        return (self._curvature(j, (i, h)) - self._curvature(j, (i, -h))) / (2.0 * h)
