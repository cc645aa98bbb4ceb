"""Criteria and priors of a person's own, each with its source, in force while one judges.

The tables beside the code are what we hold for ordinary; a workshop that knows its joints better
states its own figures in a TOML file::

    [limits.soft_slope_ratio]
    value = 0.5
    source = "forty pulls on the rubber-seated cover, spring"

    [priors.galling]
    value = 9
    source = "stainless bolts: three of forty galled"
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Annotated, Any

from pydantic import Field, create_model

from clampwright.errors import BadFile
from clampwright.tomlfile import FileModel, read_toml
from clampwright.trace.likelihood import OWN_PRIORS, table_of_priors
from clampwright.trace.limits import OWN, Limit, limits
from clampwright.words import Words, words


class _Own(FileModel):
    """A figure and where it comes from."""

    value: float
    source: Annotated[str, Field(min_length=1, max_length=300)]


class _OwnPrior(_Own):
    """How common a pattern is."""

    value: Annotated[float, Field(ge=0.0, le=1e9)]


@lru_cache(maxsize=1)
def _form() -> Any:
    """Return the form of the file: a table for each criterion and each pattern there is."""
    criteria: dict[str, Any] = dict.fromkeys(limits(), (_Own | None, None))
    patterns: dict[str, Any] = dict.fromkeys(table_of_priors(), (_OwnPrior | None, None))
    own = create_model("OwnLimits", __base__=FileModel, **criteria)
    priors = create_model("OwnPriors", __base__=FileModel, **patterns)
    return create_model(
        "Tuning", __base__=FileModel, limits=(own, own()), priors=(priors, priors())
    )


@dataclass(frozen=True, slots=True)
class Tuning:
    """Own criteria and priors.

    Parameters
    ----------
    limits : mapping of str to Limit
        Those that differ from the table, with their own source.
    priors : mapping of str to float
        By pattern, in the unit of the table.
    sources : mapping of str to str
        Of the priors.
    """

    limits: Mapping[str, Limit]
    priors: Mapping[str, float]
    sources: Mapping[str, str]

    def told(self) -> list[Words]:
        """Say what differs from the tables, and by whose word."""
        return [
            *(
                words(
                    "own limit {name}: {value:g} {unit} instead of {usual:g} ({source})",
                    name=name,
                    value=one.value,
                    unit=one.unit,
                    usual=limits()[name].value,
                    source=one.source,
                )
                for name, one in self.limits.items()
            ),
            *(
                words(
                    "own prior of {name}: {value:g} instead of {usual:g} ({source})",
                    name=name,
                    value=value,
                    usual=table_of_priors()[name],
                    source=self.sources[name],
                )
                for name, value in self.priors.items()
            ),
        ]


def tuning_from_toml(data: bytes, name: str = "tuning.toml") -> Tuning:
    r"""Read own criteria and priors.

    Parameters
    ----------
    data : bytes
    name : str
        Name of the file, for messages.

    Returns
    -------
    Tuning

    Raises
    ------
    BadFile
        For a name that is not known, a value that cannot be, or one without a source.

    Examples
    --------
    >>> text = b"[limits.soft_slope_ratio]\nvalue = 0.5\nsource = 'rubber seat, own pulls'"
    >>> tuning_from_toml(text).limits["soft_slope_ratio"].value
    0.5
    """
    found = read_toml(data, name, _form())
    limits_own = {key: one for key, one in found.limits if one is not None}
    priors_own = {key: one for key, one in found.priors if one is not None}
    for key, one in limits_own.items():
        if one.value * limits()[key].value < 0.0 or not one.value:
            raise BadFile(
                words(
                    "{file}: limits.{key} is {value:g}; it must have the sign of the usual "
                    "{usual:g}",
                    file=name,
                    key=key,
                    value=one.value,
                    usual=limits()[key].value,
                ),
                file=name,
                expected="a value with the sign of the usual one",
            )
    return Tuning(
        MappingProxyType(
            {
                key: replace(limits()[key], value=one.value, source=one.source)
                for key, one in limits_own.items()
            }
        ),
        MappingProxyType({key: one.value for key, one in priors_own.items()}),
        MappingProxyType({key: one.source for key, one in priors_own.items()}),
    )


@contextmanager
def in_force(tuning: Tuning | None) -> Iterator[None]:
    """Judge by own criteria and priors inside a ``with`` block.

    Parameters
    ----------
    tuning : Tuning or None
        None changes nothing.
    """
    if tuning is None:
        yield
        return
    before, before_priors = OWN.set(tuning.limits), OWN_PRIORS.set(tuning.priors)
    try:
        yield
    finally:
        OWN.reset(before)
        OWN_PRIORS.reset(before_priors)
