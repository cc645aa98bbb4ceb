"""A relation whose inputs are uncertain: value, standard uncertainty, band, and what would help.

The standard uncertainty and its parts come by the law of propagation, the band by quadrature: no
random numbers, the same answer twice. The variables are turned so that the first one runs where the
result is steepest; that one is integrated exactly, and what the others add is little and smooth.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.formula.calculation import Calculation, compute
from clampwright.formula.relation import Input, Output
from clampwright.formula.values import parse_one
from clampwright.joint import _quadrature
from clampwright.joint._checks import Floats
from clampwright.joint.propagation import (
    Propagated,
    checked_correlation,
    combined_u,
    propagate,
)
from clampwright.joint.uncertain import LogNormal, Normal
from clampwright.units import Unreadable, parse_number
from clampwright.words import Words, words

MOST_U_REL = 0.5
"""Largest relative standard uncertainty of an input that cannot be negative."""

LOW, HIGH = 0.05, 0.95
WORTH = 0.15
"""An input with a smaller share of the variance than this is not worth a sentence of its own."""


@dataclass(frozen=True, slots=True)
class SpreadPart:
    """What one input adds.

    Parameters
    ----------
    input : Input
    u : float
        Sensitivity times standard uncertainty, with its sign, in the unit of the result.
    share : float
        Its share of the squared standard uncertainty (1 in sum where inputs are independent).
    left : float
        What would be left of the standard uncertainty if this input were known twice as well.
    """

    input: Input
    u: float
    share: float
    left: float


@dataclass(frozen=True, slots=True)
class Spread:
    """What the uncertainty of inputs makes of a result.

    Parameters
    ----------
    output : Output
        The first result of the relation.
    nominal : float
        With every input at its value.
    mean, u : float
        Mean, and standard uncertainty by the law of propagation.
    p05, p95 : float
        5 % and 95 % points.
    parts : tuple of SpreadPart
        Largest first.
    """

    output: Output
    nominal: float
    mean: float
    u: float
    p05: float
    p95: float
    parts: tuple[SpreadPart, ...]

    def narrowing(self) -> tuple[Words, ...]:
        """Say what would narrow the band most.

        Returns
        -------
        tuple of Words
        """
        found: list[Words] = []
        for part in self.parts:
            if part.share < WORTH and found:
                break
            found.append(
                words(
                    "{what} ({symbol}) makes {share:.0f} % of the variance: known twice as well, "
                    "it would leave {left:.0f} % of the standard uncertainty",
                    what=part.input.meaning,
                    symbol=part.input.symbol,
                    share=100.0 * part.share,
                    left=100.0 * part.left,
                )
            )
        return tuple(found)


def spread(
    done: Calculation,
    u: Mapping[str, float],
    *,
    together: Mapping[tuple[str, str], float] | None = None,
) -> Spread:
    """Let inputs of a relation be uncertain.

    Parameters
    ----------
    done : Calculation
        The relation with its values.
    u : mapping of str to float
        Standard uncertainties by input name, in the input's unit. An input that cannot be negative
        varies log-normally about its value, any other normally.
    together : mapping of (str, str) to float, optional
        Correlation of pairs, −1 to 1; pairs not named are independent. For inputs that vary
        log-normally it is that of the logarithms.

    Returns
    -------
    Spread

    Raises
    ------
    Missing
        No input is uncertain.
    Unreadable
        An input is not of this relation, or no single number.
    OutOfRange
        An uncertainty is negative or above half of the value, a correlation outside −1 to 1, or
        the relation does not hold for what the inputs may be.
    ClampwrightError
        The correlations cannot all be, or the result is no single number.

    References
    ----------
    JCGM 100:2008, 5.1 and 5.2; JCGM 101:2008, clause 5 (from memory).

    Examples
    --------
    >>> from clampwright.formula import relation
    >>> from clampwright.formula.calculation import calculate
    >>> done = calculate(relation("clamp_from_torque_nut_factor"),
    ...                  {"T": "50 N·m", "d": "10 mm", "K": "0.2"})
    >>> found = spread(done, {"torque": 1.5, "nut_factor": 0.02})
    >>> print(f"{found.nominal:.0f} N, {found.p05:.0f} to {found.p95:.0f} N")
    25000 N, 21064 to 29673 N
    """
    names = tuple(name for name, size in u.items() if size)
    if not names:
        raise Missing(words("no input is uncertain: give a standard uncertainty"), "u")
    inputs = {name: _distribution(done, name, u[name]) for name in names}
    r = _correlation(names, together or {})
    output = done.relation.outputs[0]
    propagated = propagate(
        lambda **values: _result(done, output, values),
        {name: Normal(_value(done, name), u[name]) for name in names},
        correlation=r,
    )
    by = {part.name: part.u for part in propagated.parts}
    values, weight = _values(
        done, output, inputs, _turned(np.array([by[name] for name in names]), r)
    )
    p05, p95 = _points(values, weight)
    return Spread(
        output=output,
        nominal=propagated.value,
        mean=_quadrature.moments(values, weight)[0],
        u=propagated.u,
        p05=p05,
        p95=p95,
        parts=_parts(done, propagated, names, r),
    )


def _parts(
    done: Calculation, propagated: Propagated, names: Sequence[str], r: Floats | None
) -> tuple[SpreadPart, ...]:
    known = {one.name: one for one in done.relation.inputs}
    by = {part.name: part.u for part in propagated.parts}
    found = []
    for part in propagated.parts:
        halved = [by[name] * (0.5 if name == part.name else 1.0) for name in names]
        left = combined_u(halved, correlation=r) / propagated.u if propagated.u else 0.0
        found.append(SpreadPart(known[part.name], part.u, part.share, left))
    return tuple(found)


def read_uncertainties(done: Calculation, texts: Mapping[str, str]) -> dict[str, float]:
    """Read standard uncertainties as a person writes them.

    Parameters
    ----------
    done : Calculation
    texts : mapping of str to str
        By input name or symbol: a share of the value, such as ``10 %``, or a number with its unit.

    Returns
    -------
    dict of str to float
        By input name, in the input's unit.

    Raises
    ------
    Unreadable, Ambiguous
        A text cannot be read, or an input is not of this relation.

    References
    ----------
    A reading of texts, no relation; what is done with them is in JCGM 100:2008.

    Examples
    --------
    >>> from clampwright.formula import relation
    >>> from clampwright.formula.calculation import calculate
    >>> done = calculate(relation("clamp_from_torque_nut_factor"),
    ...                  {"T": "50 N·m", "d": "10 mm", "K": "0.2"})
    >>> read_uncertainties(done, {"T": "1.5 N·m", "K": "10 %"})
    {'torque': 1.5, 'nut_factor': 0.02}
    """
    found: dict[str, float] = {}
    for key, text in texts.items():
        one = _uncertain_input(done, key)
        value = _value(done, one.name)
        if text.strip().endswith("%"):
            found[one.name] = abs(value) * float(parse_number(text.strip().removesuffix("%"))) / 100
        else:
            found[one.name] = parse_one(text, one)
    return found


def read_together(done: Calculation, texts: Sequence[str]) -> dict[tuple[str, str], float]:
    """Read which inputs go together.

    Parameters
    ----------
    done : Calculation
    texts : sequence of str
        Two names or symbols with a comma between, and their correlation after ``=``; 1 without it.

    Returns
    -------
    dict of (str, str) to float

    Raises
    ------
    Unreadable
        A text is none such.

    References
    ----------
    A reading of texts, no relation; what is done with them is in JCGM 100:2008, 5.2.

    Examples
    --------
    >>> from clampwright.formula import relation
    >>> from clampwright.formula.calculation import calculate
    >>> done = calculate(relation("clamp_from_torque_nut_factor"),
    ...                  {"T": "50 N·m", "d": "10 mm", "K": "0.2"})
    >>> read_together(done, ["T,K=0.5"])
    {('torque', 'nut_factor'): 0.5}
    """
    found: dict[tuple[str, str], float] = {}
    for text in texts:
        names, _sign, number = text.partition("=")
        pair = [part.strip() for part in re.split(r"[,;]", names) if part.strip()]
        if len(pair) != 2:
            raise Unreadable(
                words(
                    "{text!r} does not say what goes together; write two inputs, such as "
                    "mu_th,mu_b=0.9",
                    text=text[:40],
                ),
                text,
            )
        one, other = (_uncertain_input(done, name).name for name in pair)
        found[one, other] = float(parse_number(number)) if number.strip() else 1.0
    return found


def _uncertain_input(done: Calculation, key: str) -> Input:
    one = done.relation.input_named(key.strip())
    if one is None or one.shape != "number":
        known = [each.name for each in done.relation.inputs if each.shape == "number"]
        raise Unreadable(
            words(
                "{key!r} is no input that can be uncertain here; there are {known}",
                key=key.strip()[:40],
                known=", ".join(known),
            ),
            key,
        )
    return one


def _value(done: Calculation, name: str) -> float:
    value = done.values.get(name)
    if not isinstance(value, int | float):
        raise Missing(words("{name} is uncertain but has no value", name=name), name)
    return float(value)


def _distribution(done: Calculation, name: str, u: float) -> Normal | LogNormal:
    one, value = _uncertain_input(done, name), _value(done, name)
    if not u >= 0.0:
        raise OutOfRange(
            words("the standard uncertainty of {name} is {u:g}; it must not be negative",
                  name=name, u=u),
            value=u, low=0.0,
        )  # fmt: skip
    if one.low is None or one.low < 0.0 or value <= 0.0:
        return Normal(value, u)
    if u > MOST_U_REL * value:
        raise OutOfRange(
            words(
                "the standard uncertainty of {name} is {u:g}, more than half of its value "
                "{value:g}: nothing is known of it then",
                name=name,
                u=u,
                value=value,
            ),
            value=u,
            high=MOST_U_REL * value,
            source="limit ours",
        )
    return LogNormal(value, float(np.sqrt(np.log1p((u / value) ** 2))))


def _correlation(names: Sequence[str], together: Mapping[tuple[str, str], float]) -> Floats | None:
    if not together:
        return None
    r = np.eye(len(names))
    for (one, other), value in together.items():
        if one not in names or other not in names or one == other:
            raise ClampwrightError(
                words(
                    "{one} and {other} cannot go together: both must be uncertain, and two inputs",
                    one=one,
                    other=other,
                )
            )
        i, j = names.index(one), names.index(other)
        r[i, j] = r[j, i] = value
    return checked_correlation(r, len(names))


def _values(
    done: Calculation,
    output: Output,
    inputs: Mapping[str, Normal | LogNormal],
    turned: Floats,
) -> tuple[Floats, Floats]:
    """Return the result on a grid, along the steepest direction first, and the outer weights."""
    along = _quadrature.inner().z
    for nodes in (_quadrature.outer(len(inputs) - 1), _quadrature.few(len(inputs) - 1)):
        grid = np.vstack(
            [np.repeat(along, len(nodes.weight))[None, :], np.tile(nodes.z, len(along))]
        )
        rows = turned @ grid
        drawn = {
            name: given.from_normal(row)
            for (name, given), row in zip(inputs.items(), rows, strict=True)
        }
        found = _whole(done, output, drawn)
        if found is not None and found.shape == (grid.shape[1],):
            return found.reshape(len(along), -1), nodes.weight
    one_by_one = zip(*(row.tolist() for row in drawn.values()), strict=True)
    single = [_result(done, output, dict(zip(drawn, row, strict=True))) for row in one_by_one]
    return np.array(single).reshape(len(along), -1), nodes.weight


def _turned(steep: Floats, r: Floats | None) -> Floats:
    """Return what turns independent variables, the steepest first, into correlated ones."""
    root = np.eye(len(steep))
    if r is not None:
        values, vectors = np.linalg.eigh(r)
        root = vectors * np.sqrt(np.maximum(values, 0.0))
    slope = root.T @ steep
    if not np.any(slope):
        return root
    basis, _ = np.linalg.qr(np.column_stack([slope, np.eye(len(steep))]))
    if basis[:, 0] @ slope < 0.0:
        basis = -basis
    found: Floats = root @ basis
    return found


def _points(values: Floats, weight: Floats) -> tuple[float, float]:
    if (np.diff(values, axis=0) >= 0.0).all():
        low, high = (_quadrature.quantile(values, weight, share) for share in (LOW, HIGH))
    else:
        low, high = (_quadrature.level(values, weight, share) for share in (LOW, HIGH))
    return low, high


def _whole(done: Calculation, output: Output, drawn: Mapping[str, Floats]) -> Floats | None:
    """Return the result for arrays; None where the relation takes none."""
    values: dict[str, Any] = {**done.values, **drawn}
    try:
        found = compute(done.relation, values)[output.name]
    except (TypeError, ValueError):
        return None
    except OutOfRange:
        raise
    except ClampwrightError:
        return None
    return np.asarray(found, dtype=np.float64) if isinstance(found, list) else None


def _result(done: Calculation, output: Output, values: Mapping[str, object]) -> float:
    given = {name: float(np.asarray(value)) for name, value in values.items()}
    found = compute(done.relation, {**done.values, **given})[output.name]
    if not isinstance(found, int | float):
        raise ClampwrightError(
            words("{name} is no single number: it has no band", name=output.name)
        )
    return float(found)
