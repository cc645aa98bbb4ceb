"""The talk of a guided calibration: one step, one reading, back or leave at any time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import text_of
from clampwright.errors import ClampwrightError, Refused
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.drawer.calibration import Direction
    from clampwright.drawer.evaluated import Evaluated, Reference
    from clampwright.drawer.guided import Step
    from clampwright.drawer.tools import Tool

Readings = dict[tuple["Direction", float], list[float]]


def ask_both(
    tool: Tool,
    reference: Reference,
    torque_of: Callable[[float], float],
    given: dict[str, Any],
) -> tuple[Evaluated, Evaluated | None]:
    """Ask for the readings as found, and as left where the person adjusted the tool.

    Raises
    ------
    Refused
        When the person leaves; nothing is kept.
    """
    from clampwright.cli.drawer_calibrate import show_evaluated

    _say(words("As found: change nothing on the tool before these readings."))
    _say(words("Enter a reading, b to go one back, q to leave and keep nothing."))
    found = _ask(tool, reference, torque_of, given)
    show_evaluated(found)
    answer = _input(text_of(words("Adjusted it now? a to read again as left, Enter to go on: ")))
    if answer.strip().casefold() != "a":
        return found, None
    left = _ask(tool, reference, torque_of, given)
    show_evaluated(left)
    return found, left


def _ask(
    tool: Tool,
    reference: Reference,
    torque_of: Callable[[float], float],
    given: dict[str, Any],
) -> Evaluated:
    from clampwright.drawer.evaluated import evaluate
    from clampwright.drawer.guided import steps_for

    readings = asked(steps_for(tool), torque_of)
    return evaluate(
        tool,
        readings,
        reference,
        rule=given["rule"],
        confidence=given["confidence"],
        resolution=given["resolution"],
    )


def asked(steps: Sequence[Step], torque_of: Callable[[float], float]) -> Readings:
    """Go through the steps and return the readings."""
    values: dict[int, float] = {}
    place = 0
    while place < len(steps):
        step = steps[place]
        prompt = f"{place + 1}/{len(steps)}  {step.direction}  {text_of(step.say)} "
        answer = _input(prompt).strip()
        if answer.casefold() == "b":
            place = max(place - 1, 0)
            values.pop(place, None)
            continue
        if step.kind == "read":
            try:
                values[place] = _reading(answer, torque_of)
            except ClampwrightError as error:
                _say(error.message)
                continue
        place += 1
    readings: Readings = {}
    for place, value in sorted(values.items()):
        readings.setdefault((steps[place].direction, steps[place].target), []).append(value)
    return readings


def _reading(text: str, torque_of: Callable[[float], float]) -> float:
    from clampwright.units import parse_number

    value = float(parse_number(text))
    if not value > 0:
        raise Refused(words("a reading is above 0"))
    return torque_of(value)


def _input(prompt: str) -> str:
    try:
        answer = input(prompt)
    except (EOFError, KeyboardInterrupt):
        answer = "q"
    if answer.strip().casefold() == "q":
        raise Refused(words("left before the end; nothing was kept"))
    return answer


def _say(sentence: Any) -> None:
    click.echo(text_of(sentence))
