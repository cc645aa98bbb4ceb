"""A fastener by the names on it: thread, strength class, head, surface."""

from __future__ import annotations

from dataclasses import dataclass, fields

from clampwright import standards
from clampwright.errors import Missing
from clampwright.joint.model import Fastening
from clampwright.standards import FrictionCondition
from clampwright.words import words
from clampwright.work.friction_file import condition_named


@dataclass(frozen=True, slots=True)
class Named:
    """What a person can tell of a fastener; what is not known is left out.

    Parameters
    ----------
    thread, strength, head : str or None
    hole : str
        Series of the clearance hole: ``fine``, ``medium`` or ``coarse``.
    friction : str or None
        Name of a surface condition.
    """

    thread: str | None = None
    strength: str | None = None
    head: str | None = None
    hole: str = "medium"
    friction: str | None = None

    @classmethod
    def names(cls) -> tuple[str, ...]:
        """Return the names of the fields."""
        return tuple(one.name for one in fields(cls))

    def condition(self) -> FrictionCondition | None:
        """Return the surface condition, or None where none is stated."""
        return condition_named(self.friction, ()) if self.friction else None


def fastening_of(named: Named) -> Fastening | None:
    """Return a fastener for the mechanics, or None where no thread is named.

    Parameters
    ----------
    named : Named

    Returns
    -------
    Fastening or None

    Raises
    ------
    Missing
        When the thread is named without the head: friction under it depends on it.
    ClampwrightError
        When a name is not known.

    Examples
    --------
    >>> round(fastening_of(Named("M10", "8.8", "ISO 4014/4017")).stress_area, 1)
    58.0
    """
    if not named.thread:
        if named.strength or named.head:
            raise Missing(words("name the thread too, such as M10"), needed="thread")
        return None
    thread = standards.thread(named.thread)
    strength = standards.strength(named.strength, d=thread.d) if named.strength else None
    if not named.head:
        raise Missing(
            words("name the head or nut too, such as ISO 4014/4017: friction under it counts"),
            needed="head",
        )
    return Fastening.from_standards(
        thread,
        strength=strength,
        head=standards.head(named.head, thread.name),
        hole=standards.hole(thread.name, named.hole),
    )
