"""What reading a text gives: stages, questions, cautions, and what became of every number."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from clampwright.procedure.stage import Stage
from clampwright.words import Words

Status = Literal["ok", "ambiguous", "refused"]
Role = Literal["used", "asked", "other", "reported", "plain"]


@dataclass(frozen=True, slots=True)
class Span:
    """A piece of the original text and what it became.

    Parameters
    ----------
    start, end : int
        Positions in the text as it was given.
    what : Words
        What it became, for a person.
    role : str
        ``used`` in the reading, ``asked`` about, recognised as something ``other``, ``reported``
        because nothing could be made of it, or ``plain``: words without a figure.
    stages : tuple of int
        Places in the reading's stages, counted from 0, that it became.
    """

    start: int
    end: int
    what: Words
    role: Role
    stages: tuple[int, ...] = ()

    @property
    def stage(self) -> int | None:
        """The first of the stages it became, or None."""
        return self.stages[0] if self.stages else None

    def as_json(self) -> dict[str, object]:
        """Return plain data."""
        return {
            "start": self.start,
            "end": self.end,
            "what": str(self.what),
            "role": self.role,
            "stages": list(self.stages),
        }


@dataclass(frozen=True, slots=True)
class Problem:
    """Why no procedure can be taken from a text.

    Parameters
    ----------
    code : str
        ``empty_input``, ``no_tightening_instruction``, ``not_physical``, ``unreadable`` or
        ``markup``.
    say : Words
        The message.
    """

    code: str
    say: Words

    def as_json(self) -> dict[str, object]:
        """Return plain data."""
        return {"code": self.code, "say": str(self.say)}


@dataclass(frozen=True, slots=True)
class Limit:
    """How long or how often a fastener may be used.

    Parameters
    ----------
    measure : str
        ``length_max`` or ``reuse_count_max``.
    value : float
        In `unit`.
    unit : str or None
        ``mm`` or ``in`` for a length; None for a count.
    """

    measure: str
    value: float
    unit: str | None

    def as_json(self) -> dict[str, object]:
        """Return plain data."""
        return {"measure": self.measure, "value": self.value, "unit": self.unit}


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read.

    Parameters
    ----------
    status : str
        ``ok``: one reading. ``ambiguous``: a person must choose. ``refused``: no procedure.
    stages : tuple of Stage
        The stages that are certain, in working order.
    candidates : tuple of tuple of Stage
        Complete alternatives, none chosen beforehand.
    why : tuple of Words
        What must be asked, one sentence each.
    lubrication : tuple of str
        Codes such as ``oil_threads``.
    reuse : str or None
        ``new_required``, ``reuse_if_length_ok`` or None.
    reuse_limit : tuple of Limit
        Limits of use.
    warnings : tuple of str
        Codes of what the person must see.
    error : Problem or None
        Why the text was refused.
    spans : tuple of Span
        Every number, and the words that mattered, with what became of them.
    """

    status: Status
    stages: tuple[Stage, ...] = ()
    candidates: tuple[tuple[Stage, ...], ...] = ()
    why: tuple[Words, ...] = ()
    lubrication: tuple[str, ...] = ()
    reuse: str | None = None
    reuse_limit: tuple[Limit, ...] = ()
    warnings: tuple[str, ...] = ()
    error: Problem | None = None
    spans: tuple[Span, ...] = field(default=(), repr=False)

    @property
    def ambiguous(self) -> bool:
        """Whether a person must choose."""
        return self.status == "ambiguous"

    def as_json(self) -> dict[str, object]:
        """Return plain data, ready for `json.dumps`.

        Returns
        -------
        dict
            Keys ``status``, ``ambiguous``, ``stages``, ``candidates``, ``why``, ``lubrication``,
            ``reuse``, ``reuse_limit``, ``warnings``, ``error`` and ``spans``.
        """
        limits = [limit.as_json() for limit in self.reuse_limit]
        return {
            "status": self.status,
            "ambiguous": self.ambiguous,
            "stages": [stage.as_json() for stage in self.stages],
            "candidates": [[stage.as_json() for stage in one] for one in self.candidates],
            "why": " ".join(_sentence(str(reason)) for reason in self.why) or None,
            "lubrication": list(self.lubrication),
            "reuse": self.reuse,
            "reuse_limit": limits[0] if len(limits) == 1 else (limits or None),
            "warnings": list(self.warnings),
            "error": self.error.as_json() if self.error else None,
            "spans": [span.as_json() for span in self.spans],
        }


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?", "!")) else ".")
