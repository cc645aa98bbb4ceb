"""What the check of a procedure has to say: one finding, with its numbers and its question."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Literal

from clampwright.procedure.check_why import WHY
from clampwright.words import Words, as_data

Severity = Literal["stop", "ask", "note"]

SEVERITIES: tuple[Severity, ...] = ("stop", "ask", "note")
"""``stop``: do not start before it is settled; ``ask``: settle it; ``note``: keep it in mind."""

Number = tuple[float, str]
"""A value and its unit."""


def _nothing() -> Mapping[str, Number]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to know or to ask before the first pull.

    Parameters
    ----------
    code : str
        Short name of the rule that found it.
    severity : str
        One of `SEVERITIES`.
    stage : int or None
        Number of the stage, counted from 1; None when it concerns the whole joint.
    message : Words
        What was found, with its numbers.
    question : Words or None
        What would settle it; None where there is nothing to settle.
    details : tuple of Words
        One line for each reading, tool or case that the message speaks of.
    numbers : mapping of str to (float, str)
        The figures behind it, each with its unit.
    source : str
        Where the rule and its limit come from.
    joint : str
        Id of the joint; empty while only one joint is looked at.

    Examples
    --------
    >>> from clampwright.words import words
    >>> one = Finding("no_surface_condition", "ask", None, words("no surface is stated"))
    >>> one.serious, one.as_json()["severity"]
    (True, 'ask')
    """

    code: str
    severity: Severity
    stage: int | None
    message: Words
    question: Words | None = None
    details: tuple[Words, ...] = ()
    numbers: Mapping[str, Number] = field(default_factory=_nothing, hash=False)
    source: str = ""
    joint: str = ""

    @property
    def why(self) -> Words:
        """Why this matters, for whoever wants to learn."""
        return WHY[self.code]

    @property
    def serious(self) -> bool:
        """Whether it must be settled before work begins."""
        return self.severity != "note"

    def as_json(self) -> dict[str, Any]:
        """Return plain data; sentences as `clampwright.words.as_data` gives them.

        Returns
        -------
        dict
            Ready for `json.dumps`; every sentence has its English ``text``.
        """
        return {
            "code": self.code,
            "severity": self.severity,
            "joint": self.joint,
            "stage": self.stage,
            "message": as_data(self.message),
            "details": [as_data(line) for line in self.details],
            "question": as_data(self.question) if self.question else None,
            "why": as_data(self.why),
            "numbers": {
                name: {"value": value, "unit": unit} for name, (value, unit) in self.numbers.items()
            },
            "source": self.source,
        }


def most_serious_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings in the order in which a person should read them.

    Parameters
    ----------
    findings : iterable of Finding

    Returns
    -------
    tuple of Finding
        By severity; within it in the order given. The same rule speaks once for each stage.
    """
    once = {(one.joint, one.code, one.stage, str(one.message)): one for one in findings}
    return tuple(sorted(once.values(), key=lambda one: SEVERITIES.index(one.severity)))
