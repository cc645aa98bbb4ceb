"""The look-back of a workshop: from the log to the joints a tool may have spoilt."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.bench.drawers import DrawerNow
from clampwright.drawer.history import Decision
from clampwright.drawer.window import Window, window_of
from clampwright.errors import Refused
from clampwright.store.log import Store
from clampwright.words import words
from clampwright.work.look_back import JointInQuestion, Review, review
from clampwright.work.past_pulls import KINDS, SINGLE, TOGETHER, past_pulls


@dataclass(frozen=True, slots=True)
class LookedBack:
    """A review with what was decided so far.

    Parameters
    ----------
    review : Review
    decisions : tuple of Decision
        Of this finding; the last one of each joint counts.
    """

    review: Review
    decisions: tuple[Decision, ...]

    @property
    def window(self) -> Window:
        """The window that was looked at."""
        return self.review.window

    def decided(self, joint: JointInQuestion) -> Decision | None:
        """Return what was decided of a joint; None while it is open."""
        pull = joint.worst.pull
        found = None
        for one in self.decisions:
            if (one.job, one.joint) == (pull.job, pull.joint):
                found = one
        return found

    def joints_of(self, job: str) -> tuple[JointInQuestion, ...]:
        """Return the joints of one job.

        Raises
        ------
        Refused
            When none of its joints is in question.
        """
        found = tuple(one for one in self.review.joints if one.worst.pull.job == job)
        if not found:
            known = dict.fromkeys(one.worst.pull.job for one in self.review.joints)
            raise Refused(
                words(
                    "no joint of job {job!r} is in question; these are: {known}",
                    job=job,
                    known=", ".join(known) or "-",
                )
            )
        return found


def look_back(
    store: Store, drawer: DrawerNow, tool_id: str, *, by: str = "days", finding: str | None = None
) -> LookedBack:
    """Look back over the pulls made with a tool since it was last known to be right.

    Parameters
    ----------
    store : Store
    drawer : DrawerNow
    tool_id : str
    by : {"days", "uses"}
        What the drift goes with.
    finding : str, optional
        Id of the entry that found it off; the newest one if not given.

    Returns
    -------
    LookedBack

    Raises
    ------
    Missing
        When nothing was found, or no good calibration before is known.
    """
    tool, history = drawer.described.tool(tool_id), drawer.history(tool_id)
    window = window_of(tool, history, entry=finding)
    pulls = past_pulls(store.glimpses(KINDS, SINGLE, TOGETHER), tool_id)
    found = review(window, pulls, by=by)
    decided = tuple(one for one in history.decisions if one.finding == window.found.entry)
    return LookedBack(found, decided)
