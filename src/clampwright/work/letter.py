"""What to write to the owner of a machine whose joints a tool may have spoilt."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from clampwright.drawer.window import Window
from clampwright.words import Words, words
from clampwright.work.look_back import JointInQuestion, LikelyPull


def letter(
    window: Window,
    joints: Sequence[JointInQuestion],
    decisions: Sequence[str],
    *,
    workshop: str,
    today: dt.date,
) -> tuple[Words, ...]:
    """Return the lines of a letter about one job.

    Parameters
    ----------
    window : Window
    joints : sequence of JointInQuestion
        Of one job.
    decisions : sequence of str
        What was decided of each of them: ``fine``, ``recheck``, ``redo`` or empty.
    workshop : str
        Who writes.
    today : datetime.date

    Returns
    -------
    tuple of Words
        A name and an address are for the person to add: they do not stand on the log.
    """
    pull = joints[0].worst.pull
    return (
        words("{workshop}, {date}", workshop=workshop, date=today.isoformat()),
        words("To the owner of: {machine}", machine=pull.machine),
        words("Job {job}", job=pull.job),
        words(
            "A torque wrench that we used on your machine ({tool}) was found to be off when it "
            "was examined on {found}. It was last known to be right on {start}.",
            tool=window.tool.title,
            found=window.found.date.isoformat(),
            start=window.start.isoformat(),
        ),
        words("The work on your machine lies between those two days. This is what we found:"),
        *(_about(one, said) for one, said in zip(joints, decisions, strict=True)),
        *_closing(joints, decisions),
    )


def _about(joint: JointInQuestion, decision: str) -> Words:
    worst = joint.worst
    return words(
        "- {title}: {count} pulls; tightened to {shown:.3g} N·m, the worst of them probably had "
        "{torque:.3g} N·m ({limits}). {decision}",
        title=worst.pull.title,
        count=len(joint.pulls),
        shown=worst.pull.shown * worst.pull.ratio,
        torque=worst.worse_torque,
        limits=_limits(worst),
        decision=_DECIDED.get(decision, _OPEN),
    )


def _limits(one: LikelyPull) -> Words:
    low, high = one.pull.low, one.pull.high
    if low <= 0.0:
        return words("wanted: at most {high:.3g} N·m", high=high)
    if high == float("inf"):
        return words("wanted: at least {low:.3g} N·m", low=low)
    return words("wanted: {low:.3g} to {high:.3g} N·m", low=low, high=high)


_OPEN = words("We have not decided yet what is to be done.")
_DECIDED = {
    "fine": words("We see no need to do anything."),
    "recheck": words("It should be checked again."),
    "redo": words("It should be loosened and tightened anew."),
}


def _closing(joints: Sequence[JointInQuestion], decisions: Sequence[str]) -> tuple[Words, ...]:
    acting = any(one in {"recheck", "redo", ""} for one in decisions)
    grave = acting and any(one.harm_level == 1 for one in joints)
    lines = []
    if grave:
        lines.append(
            words(
                "Life or limb can depend on this. Please do not use the machine until it has been "
                "looked at."
            )
        )
    if acting:
        lines.append(words("Please call us for a day on which we can do that."))
    lines.append(
        words(
            "The torques are estimates from the deviation that was found; the manufacturer's "
            "information comes first wherever it differs."
        )
    )
    return tuple(lines)
