"""Kinds of lines that installed packages read: what no mapping of fields can say.

A line may hold its figures in hexadecimal, with a sum to check it, or packed in one word. Such a
kind is code; a package brings it, with examples of its own lines that it must read right each time
it is loaded.
"""

from __future__ import annotations

import logging
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from clampwright.errors import ClampwrightError, Missing
from clampwright.extensions import FAULTS, LINE, Found, fault, found
from clampwright.trace.columns import Role, scale_of
from clampwright.words import words

ORDER: tuple[Role, ...] = ("time", "torque", "angle", "rate")
LONGEST_LINE = 10_000
_NAME = re.compile(r"[a-z][a-z0-9-]{0,39}")
log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class LineKind:
    """How the lines of one sort of device are read.

    Parameters
    ----------
    name : str
    units : mapping of {"time", "torque", "angle", "rate"} to str
        What a line tells, and in which unit; values come in the order time, torque, angle or rate.
    rate_hz : float or None
        Samples a second, where the lines carry no time.
    reads : callable
        Given a line; returns its values, or None for a line that is no sample.
    """

    name: str
    units: Mapping[Role, str]
    rate_hz: float | None
    reads: Callable[[str], Sequence[float] | None] = field(compare=False)

    def read(self, line: str) -> tuple[float, ...] | None:
        """Read one line; what the package gets wrong is no sample, and is told once.

        Parameters
        ----------
        line : str

        Returns
        -------
        tuple of float or None
        """
        try:
            return self.values(line)
        except ClampwrightError as error:
            _tell_once(str(error.message))
            return None

    def values(self, line: str) -> tuple[float, ...] | None:
        """Return the values of a line, checked.

        Parameters
        ----------
        line : str

        Returns
        -------
        tuple of float or None

        Raises
        ------
        ClampwrightError
            When the package fails, or returns something else than the values it has named.
        """
        try:
            got = self.reads(line)
            values = None if got is None else tuple(float(value) for value in got)
        except FAULTS as error:
            raise ClampwrightError(
                words("the kind of line {name} fails: {problem}", name=self.name,
                      problem=fault(error))
            ) from error  # fmt: skip
        if values is None:
            return None
        if len(values) != len(self.units) or not all(math.isfinite(value) for value in values):
            raise ClampwrightError(
                words(
                    "the kind of line {name} must give {count} figures a line, and gave {values}",
                    name=self.name,
                    count=len(self.units),
                    values=str(values)[:80],
                )
            )
        return values


@lru_cache(maxsize=64)
def _tell_once(sentence: str) -> None:
    log.warning("%s", sentence)


@lru_cache(maxsize=1)
def added_kinds() -> Found[LineKind]:
    """Return the kinds of lines that installed packages bring.

    Returns
    -------
    Found of LineKind
    """
    return found(LINE, check_kind)


def kind_named(name: str) -> LineKind:
    """Return a kind of line.

    Parameters
    ----------
    name : str

    Returns
    -------
    LineKind

    Raises
    ------
    Missing
        Says which there are, or why it was left out.
    """
    kinds = added_kinds()
    if one := kinds.named(name):
        return one.value
    needed = "kind of line"
    if why := kinds.why_not(name):
        raise Missing(why, needed)
    raise Missing(
        words(
            "no installed package brings the kind of line {name!r}; installed: {known}",
            name=name[:60],
            known=", ".join(one.name for one in kinds.brought) or "-",
        ),
        needed,
    )


def check_kind(name: str, module: object) -> LineKind:
    """Take a kind of line out of a package, and let it read its own examples.

    Parameters
    ----------
    name : str
        Of the entry point.
    module : module
        With ``UNITS``, ``read``, ``EXAMPLES``, and ``RATE_HZ`` where lines carry no time.

    Returns
    -------
    LineKind

    Raises
    ------
    ClampwrightError
        Says what is wrong.
    """
    if not _NAME.fullmatch(name):
        raise ClampwrightError(words("a kind of line is named in small letters, figures and -"))
    units, reads = getattr(module, "UNITS", None), getattr(module, "read", None)
    if not isinstance(units, dict) or not callable(reads):
        raise ClampwrightError(words("it must have UNITS, a mapping, and read, a function"))
    rate = getattr(module, "RATE_HZ", None)
    _check_units(units, rate)
    ordered = {role: units[role] for role in ORDER if role in units}
    kind = LineKind(name, ordered, None if rate is None else float(rate), reads)
    _check_examples(kind, getattr(module, "EXAMPLES", ()))
    return kind


def _check_units(units: Mapping[object, object], rate: object) -> None:
    roles = set(units)
    if "torque" not in roles or len(roles & {"angle", "rate"}) != 1 or roles - set(ORDER):
        raise ClampwrightError(words("UNITS must name torque, either angle or rate, and time"))
    if ("time" in roles) == (rate is not None):
        raise ClampwrightError(words("either UNITS names time, or RATE_HZ the samples a second"))
    if rate is not None and not (isinstance(rate, int | float) and 0 < rate < 1e6):
        raise ClampwrightError(words("RATE_HZ must be a number above 0"))
    for role in ORDER:
        if role in units:
            scale_of(role, str(units[role]), "UNITS")


def _check_examples(kind: LineKind, examples: Sequence[tuple[str, Sequence[float] | None]]) -> None:
    if not any(told is not None for _line, told in examples) or not any(
        told is None for _line, told in examples
    ):
        raise ClampwrightError(
            words("EXAMPLES must hold a line with its values, and one that is no sample (None)")
        )
    for line, told in examples:
        got = kind.values(line)
        wanted = None if told is None else tuple(float(value) for value in told)
        same = (got is None) == (wanted is None) and all(
            math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12)
            for a, b in zip(got or (), wanted or (), strict=False)
        )
        if not same or len(got or ()) != len(wanted or ()):
            raise ClampwrightError(
                words(
                    "its own example {line!r} should give {wanted} and gives {got}",
                    line=line[:60],
                    wanted=str(wanted),
                    got=str(got),
                )
            )
