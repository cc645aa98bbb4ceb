"""The history of a trace in words: what was read, repaired and computed before it was judged."""

from __future__ import annotations

from collections.abc import Callable

from clampwright.trace.model import Step
from clampwright.words import Words, words


def told(step: Step) -> Words:
    """Say what a step did to a trace.

    Parameters
    ----------
    step : Step

    Returns
    -------
    Words
        For a step that is not known here, its name.

    Examples
    --------
    >>> str(told(Step("repeated time stamps dropped", {"count": 3})))
    'rows with a repeated time left out: 3'
    """
    say = _SAY.get(step.name)
    return words("{name}", name=step.name) if say is None else say(step)


def _lost(step: Step) -> Words:
    return words(
        "rows without a number left out: {count}, the first in line {first_line}",
        count=step.arguments["count"],
        first_line=step.arguments["first_line"],
    )


def _turned_round(step: Step) -> Words:
    del step
    return words("turned round for a left-hand thread, which tightens counterclockwise")


def _repeated(step: Step) -> Words:
    return words("rows with a repeated time left out: {count}", count=step.arguments["count"])


def _passed_over(step: Step) -> Words:
    return words("lines that are no sample passed over: {count}", count=step.arguments["count"])


def _left_out(step: Step) -> Words:
    return words(
        "the recording went on for too long: {count} samples at its end were left out",
        count=step.arguments["count"],
    )


def _cut(step: Step) -> Words:
    return words("the last line ({line}) was cut off and was left out", line=step.arguments["line"])


def _gaps(step: Step) -> Words:
    return words(
        "gaps: {count}, the longest {longest_s:.2f} s",
        count=step.arguments["count"],
        longest_s=step.arguments["longest_s"],
    )


def _rate(step: Step) -> Words:
    if not step.arguments["rests"]:
        return words(
            "the angle was summed up from the rate; there was no rest to find the sensor's bias: "
            "±{u_angle_deg:.0f}° at the end",
            u_angle_deg=step.arguments["u_angle_deg"],
        )
    return words(
        "the angle was summed up from the rate, less a bias of {bias_dps:.2f} °/s found at rest: "
        "±{u_angle_deg:.1f}° at the end",
        bias_dps=step.arguments["bias_dps"],
        u_angle_deg=step.arguments["u_angle_deg"],
    )


def _simulated(step: Step) -> Words:
    return words(
        "simulated at {sample_rate_hz:g} samples a second",
        sample_rate_hz=step.arguments["sample_rate_hz"],
    )


_SAY: dict[str, Callable[[Step], Words]] = {
    "rows without a number dropped": _lost,
    "repeated time stamps dropped": _repeated,
    "cut last line dropped": _cut,
    "lines passed over": _passed_over,
    "samples left out at the end": _left_out,
    "gaps seen": _gaps,
    "angle from rate": _rate,
    "turned round for a left-hand thread": _turned_round,
    "simulated": _simulated,
}
