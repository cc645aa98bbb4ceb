"""When there is no figure: where to look, and what a general table says, which is no answer.

A general table goes by size and class alone. It knows nothing of soft parts, gaskets, short
threads, coatings or what the joint has to bear. So nothing here returns a stage, and no job can be
made from a row: a person who finds the figure enters it with its source.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from clampwright import standards
from clampwright.errors import Missing
from clampwright.joint.model import Fastening
from clampwright.words import Words, words

SHARE = 0.75
"""Share of the proof load that is not passed even where friction is lowest (reusable joints:
Shigley, equation 8-31, from memory)."""

CONDITIONS = ("dry", "as_delivered", "oiled")
"""The surfaces of the table; friction of each as in the table of conditions."""

HEAD, HOLE = "ISO 4014", "medium"
"""What the table takes under the head: a plain hexagon head on a medium hole (ISO 273)."""

GENERAL = words(
    "General, by size and class: not the maker's figure for this joint. It knows nothing of soft "
    "parts, gaskets, short threads, coatings, or what the joint has to bear."
)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a figure may stand.

    Parameters
    ----------
    name : str
    say : Words
    source : str
    """

    name: str
    say: Words
    source: str


@dataclass(frozen=True, slots=True)
class GeneralRow:
    """One row of the general table.

    Parameters
    ----------
    condition : str
        Name of the friction condition.
    title : Words
    friction : tuple of float
        Lowest and highest coefficient.
    torque : float
        N·m; leaves `SHARE` of the proof load where friction is lowest, less elsewhere.
    clamp : tuple of float
        N, what that torque leaves at the highest and at the lowest friction.
    share : tuple of float
        The same as a share of the proof load.
    source : str
    """

    condition: str
    title: Words
    friction: tuple[float, float]
    torque: float
    clamp: tuple[float, float]
    share: tuple[float, float]
    source: str


@lru_cache(maxsize=1)
def places() -> tuple[Place, ...]:
    """Return where to look, the nearest to the joint first."""
    text = files(__package__).joinpath("no_figure.csv").read_text(encoding="utf-8")
    return tuple(
        Place(row["place"], Words(row["say"]), row["source"])
        for row in csv.DictReader(text.splitlines())
    )


def place_named(name: str) -> Place:
    """Return a place by its name.

    Raises
    ------
    Missing
        When there is no such place.
    """
    for one in places():
        if one.name == name:
            return one
    raise Missing(
        words(
            "there is no place {name!r} to look; there are {known}",
            name=name,
            known=", ".join(one.name for one in places()),
        ),
        needed="place",
    )


def general_table(thread: str, strength: str) -> tuple[GeneralRow, ...]:
    """Return what size and class alone say, one row for each surface.

    Parameters
    ----------
    thread : str
        Such as ``M10`` or ``M12x1.5``.
    strength : str
        Such as ``8.8``.

    Returns
    -------
    tuple of GeneralRow
        To be shown with `GENERAL`, never entered into a plan by itself.

    Raises
    ------
    Missing
        When the tables do not have thread, class, head or hole.

    References
    ----------
    Torque by the long form; proof stress ISO 898-1; three quarters of the proof load: Shigley,
    equation 8-31. From memory.

    Examples
    --------
    >>> for row in general_table("M10", "8.8"):
    ...     low, high = row.share
    ...     print(f"{row.condition}: {row.torque:.0f} N·m, {low:.0%} to {high:.0%}")
    dry: 47 N·m, 32% to 75%
    as_delivered: 47 N·m, 46% to 75%
    oiled: 29 N·m, 42% to 75%
    """
    size = standards.thread(thread)
    bolt = Fastening.from_standards(
        size,
        head=standards.head(HEAD, size.name),
        hole=standards.hole(size.name, HOLE),
        strength=standards.strength(strength, d=size.d),
    )
    if bolt.proof_load is None:
        raise Missing(
            words("no proof load is known for {strength}", strength=strength), needed=strength
        )
    return tuple(_row(bolt, bolt.proof_load, name) for name in CONDITIONS)


def _row(bolt: Fastening, proof: float, name: str) -> GeneralRow:
    condition = standards.friction(name)
    low, high = condition.low, condition.high
    torque = float(bolt.torque_from_clamp(SHARE * proof, mu_thread=low, mu_bearing=low))
    least = float(bolt.clamp_from_torque(torque, mu_thread=high, mu_bearing=high))
    return GeneralRow(
        condition.name,
        condition.title,
        (low, high),
        torque,
        (least, SHARE * proof),
        (least / proof, SHARE),
        f"computed: at most {SHARE:.0%} of the proof load; friction: {condition.source}",
    )
