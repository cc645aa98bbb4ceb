"""A published relation: what goes in, what comes out, where it holds and who says so."""

from __future__ import annotations

import importlib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from clampwright.errors import OutOfRange
from clampwright.words import Words, words

Shape = Literal["number", "whole", "list", "matrix", "choice"]
Basis = Literal["seen", "memory", "derived"]

BASIS_WORDS: dict[str, Words] = {
    "seen": words("the source was read"),
    "memory": words("from memory of the source"),
    "derived": words("derived here from mechanics"),
}
"""What stands behind a relation's source."""


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a relation.

    Parameters
    ----------
    name : str
        As the function calls it.
    symbol : str
        As the formula shows it.
    unit : str
        Unit in which the function takes it; empty for a plain number.
    meaning : Words
    low, high : float or None
        Valid range in `unit`; None where it is open.
    low_open, high_open : bool
        Whether the limit itself is outside.
    why : Words or None
        Why the range is what it is.
    shape : {"number", "whole", "list", "matrix", "choice"}
    choices : tuple of str
        For a choice.
    default : float, str or None
        Taken where nothing is given; None where it must be given or may be left out.
    optional : bool
        Whether it may be left out (with `default`, or not passed at all).
    """

    name: str
    symbol: str
    unit: str
    meaning: Words
    low: float | None = None
    high: float | None = None
    low_open: bool = False
    high_open: bool = False
    why: Words | None = None
    shape: Shape = "number"
    choices: tuple[str, ...] = ()
    default: float | str | None = None
    optional: bool = False

    def holds(self, value: float) -> bool:
        """Tell whether a number (in `unit`) lies in the valid range."""
        if self.low is not None and (value < self.low or (self.low_open and value == self.low)):
            return False
        beyond = self.high is not None and (
            value > self.high or (self.high_open and value == self.high)
        )
        return not beyond

    def range_text(self) -> str:
        """Return the valid range as text, such as ``> 0 mm, ≤ 300 mm``; empty if open."""
        unit = f" {self.unit}" if self.unit else ""
        parts = []
        if self.low is not None:
            parts.append(f"{'>' if self.low_open else '≥'} {_limit(self.low)}{unit}")
        if self.high is not None:
            parts.append(f"{'<' if self.high_open else '≤'} {_limit(self.high)}{unit}")
        return ", ".join(parts)


@dataclass(frozen=True, slots=True)
class Output:
    """One output of a relation.

    Parameters
    ----------
    name, symbol, unit : str
        As in `Input`.
    meaning : Words
    take : str
        Attribute of the function's result, or number of its place in a tuple; empty where the
        function returns just this.
    """

    name: str
    symbol: str
    unit: str
    meaning: Words
    take: str = ""


@dataclass(frozen=True, slots=True)
class Example:
    """A worked example with its printed result.

    Parameters
    ----------
    given : mapping of str to str
        Values with unit, as a person would write them.
    printed : mapping of str to str
        Figures of outputs as printed, in the output's unit or the one written with them.
    source : str
        Where the figures come from.
    """

    given: Mapping[str, str]
    printed: Mapping[str, str]
    source: str


@dataclass(frozen=True, slots=True)
class Relation:
    """A published relation.

    Parameters
    ----------
    name : str
        In the field's terms, such as ``torque_from_clamp_long_form``.
    title : Words
    topic : str
        The table it stands in, such as ``torque_tension``.
    room : str
        The room that computes it, such as ``joint``.
    inputs : tuple of Input
    outputs : tuple of Output
        The first one is the result proper.
    function : str
        ``module:function``; imported by `resolve` only.
    formula : str
        Plain maths text.
    source : str
        With edition and clause.
    basis : {"seen", "memory", "derived"}
    holds_for : Words
        Where it holds, and where it does not.
    rivals : tuple of str
        Names of relations that answer the same question.
    example : Example
    """

    name: str
    title: Words
    topic: str
    room: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    function: str
    formula: str
    source: str
    basis: Basis
    holds_for: Words
    rivals: tuple[str, ...]
    example: Example

    def resolve(self) -> Callable[..., Any]:
        """Import and return the function that computes it.

        Returns
        -------
        callable
        """
        module, _, name = self.function.partition(":")
        function: Callable[..., Any] = getattr(importlib.import_module(module), name)
        return function

    def input_named(self, key: str) -> Input | None:
        """Return the input of a name or symbol, or None.

        Parameters
        ----------
        key : str
            ``clamp``, ``F``, ``mu_th``, ``μ_th``, ``d_2`` or ``d2``.

        Returns
        -------
        Input or None
        """
        for one in self.inputs:
            if key == one.name:
                return one
        wanted = plain_symbol(key)
        fitting = [one for one in self.inputs if plain_symbol(one.symbol) == wanted]
        return fitting[0] if len(fitting) == 1 else None

    def mathml(self) -> str:
        """Return the formula as MathML for a page."""
        from clampwright.formula.notation import mathml  # noqa: PLC0415 - for pages only

        return mathml(self.formula)

    def check_range(self, one: Input, value: float) -> None:
        """Refuse a value outside an input's valid range.

        Parameters
        ----------
        one : Input
        value : float
            In the input's unit.

        Raises
        ------
        OutOfRange
            Names the input, the value, the range, why it is so, and the source.
        """
        if not math.isfinite(value):
            raise OutOfRange(
                words(
                    "{symbol} ({name}) is {value:g}; a finite number is needed",
                    symbol=one.symbol,
                    name=one.name,
                    value=value,
                ),
                value=value,
                low=one.low,
                high=one.high,
                source=self.source,
            )
        if one.holds(value):
            return
        raise OutOfRange(
            words(
                "{symbol} ({name}) is {value:g} {unit}; {title} holds for {range}"
                " ({why}; {source})",
                symbol=one.symbol,
                name=one.name,
                value=value,
                unit=one.unit,
                title=self.title,
                range=one.range_text(),
                why=one.why or words("valid range"),
                source=self.source,
            ),
            value=value,
            low=one.low,
            high=one.high,
            source=self.source,
        )


def _limit(value: float) -> str:
    """Return a limit as people read it: 10 000 000 rather than 1e+07."""
    return f"{value:,.0f}".replace(",", " ") if abs(value) >= 1e5 else f"{value:g}"


_GREEK = str.maketrans(
    {
        "μ": "mu",
        "µ": "mu",
        "α": "alpha",
        "β": "beta",
        "γ": "gamma",
        "δ": "delta",
        "ε": "epsilon",
        "θ": "theta",
        "λ": "lambda",
        "ν": "nu",
        "σ": "sigma",
        "τ": "tau",
        "φ": "phi",
        "ρ": "rho",
        "Δ": "delta",
        "_": None,
        "{": None,
        "}": None,
        ",": None,
        "'": None,
        "′": None,
        " ": None,
    }
)


def plain_symbol(symbol: str) -> str:
    """Return a symbol in letters of a plain keyboard, without the marks between them.

    Parameters
    ----------
    symbol : str

    Returns
    -------
    str

    Examples
    --------
    >>> plain_symbol("μ_th"), plain_symbol("d_2")
    ('muth', 'd2')
    """
    return symbol.translate(_GREEK)
