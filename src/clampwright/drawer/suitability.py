"""The answer to "can this tool do it": reasons for and against, and what follows from them."""

from __future__ import annotations

from dataclasses import dataclass, field

from clampwright.drawer.settings import Setting
from clampwright.drawer.tools import Adapter, Tool
from clampwright.words import Words


@dataclass(frozen=True, slots=True)
class Fitness:
    """Whether a tool, or a tool with a gauge on it, can do what a stage asks.

    Parameters
    ----------
    tool : Tool
    blockers : tuple of Words
        Why it cannot be used; empty when it can.
    remarks : tuple of Words
        What else to know.
    setting : Setting or None
        What to set or pull to; None where there is nothing to set.
    u_rel : float or None
        Relative standard uncertainty of the torque, as a fraction.
    score : float
        Higher is better, among tools for the same demand only; 0 for one that cannot be used.
    gauge : Tool or None
        The angle gauge that goes with it.
    adapter : Adapter or None
    u_angle : float or None
        Standard uncertainty of one angle reading, degrees.
    firm : bool
        Whether a blocker says what the tool cannot do; the others say why it is not trusted, and
        a person may take it in spite of them.
    overruled : str
        The reason a person gave for taking it all the same, or before others; empty when nobody
        did.
    """

    tool: Tool
    blockers: tuple[Words, ...] = ()
    remarks: tuple[Words, ...] = ()
    setting: Setting | None = None
    u_rel: float | None = None
    score: float = 0.0
    gauge: Tool | None = None
    adapter: Adapter | None = None
    u_angle: float | None = None
    firm: bool = False
    overruled: str = ""

    @property
    def usable(self) -> bool:
        """Whether nothing forbids it, or a person took it in spite of a doubt."""
        return not self.blockers or bool(self.overruled)

    @property
    def may_be_overruled(self) -> bool:
        """Whether a person may take it: it can do the work, even if it is not trusted."""
        return not self.firm

    @property
    def reasons(self) -> tuple[Words, ...]:
        """All reasons, those that forbid it first."""
        return self.blockers + self.remarks


@dataclass(slots=True)
class Notes:
    """Reasons collected while a tool is looked at."""

    blockers: list[Words] = field(default_factory=list)
    remarks: list[Words] = field(default_factory=list)
    penalty: float = 0.0
    firm: bool = False

    def forbid(self, reason: Words) -> None:
        """Add a reason why the tool cannot do it."""
        self.blockers.append(reason)
        self.firm = True

    def remark(self, reason: Words, penalty: float = 0.0) -> None:
        """Add something to know, and what it takes off the score."""
        self.remarks.append(reason)
        self.penalty += penalty

    def doubt(self, reason: Words, penalty: float, *, forbidding: bool) -> None:
        """Add a reason that forbids the tool, or only speaks against it."""
        if forbidding:
            self.blockers.append(reason)
        else:
            self.remark(reason, penalty)

    def result(
        self,
        tool: Tool,
        start: float = 100.0,
        *,
        setting: Setting | None = None,
        u_rel: float | None = None,
        gauge: Tool | None = None,
        adapter: Adapter | None = None,
        u_angle: float | None = None,
    ) -> Fitness:
        """Return the answer; `start` is the score before the remarks."""
        return Fitness(
            tool,
            tuple(self.blockers),
            tuple(self.remarks),
            setting,
            u_rel,
            0.0 if self.blockers else start - self.penalty,
            gauge,
            adapter,
            u_angle,
            self.firm,
        )
