"""``clampwright practice send``: the torque of a device, live, to the page of a try by hand."""

from __future__ import annotations

import http.client
import json
import sys
import time
import urllib.parse
from contextlib import closing
from typing import Any

import click

from clampwright.cli.line_option import line_form
from clampwright.cli.output import text_of
from clampwright.intake import answer_of, most

EVERY = 0.1
"""Seconds between two samples that are sent; a hand is not quicker."""


@click.command(
    epilog="Example: my-logger | clampwright practice send --lines "
    "'time 1 ms; torque 2 N·m; angle 3 deg'",
    short_help="Send the torque of a device, live, to the page of a try.",
)
@click.option(
    "--lines",
    required=True,
    help="How to read a line: a TOML file, or as 'torque 2 N·m; angle 3 deg; time 1 ms'.",
)
@click.option("--name", default="wrench", show_default=True, help="What the page calls it.")
@click.option("--unit", default="N·m", show_default=True, help="Unit in which the page shows it.")
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    default=8123,
    show_default=True,
    help="Where clampwright serve listens on this machine.",
)
def command(*, lines: str, name: str, unit: str, port: int) -> None:
    """Read lines from standard input and show the torque on the page of a try by hand.

    Nothing of it is kept: the learner takes the highest torque, and it enters the results of the
    class only. A form of lines that has an angle is taken as it is; the angle is not used.
    """
    from clampwright.trace.line_stream import LineStream
    from clampwright.units import factor
    from clampwright.words import words

    stream, shown = LineStream(line_form(lines)), factor("N·m", unit)
    highest = waiting = 0.0
    sent = float("-inf")
    for data in iter(sys.stdin.buffer.readline, b""):
        sample = stream.take(data.decode("utf-8", "replace"))
        if sample is None:
            continue
        waiting = max(waiting, abs(sample[1]))
        if time.monotonic() - sent >= EVERY:
            answer = _put(port, name, waiting * shown, unit)
            highest, waiting, sent = float(answer["highest_Nm"]), 0.0, time.monotonic()
    if waiting:
        highest = float(_put(port, name, waiting * shown, unit)["highest_Nm"])
    said = words("{count} samples, highest of the last pull {torque:.1f} N·m", count=stream.taken,
                 torque=highest)  # fmt: skip
    click.echo(text_of(said))


def _put(port: int, name: str, torque: float, unit: str) -> dict[str, Any]:
    from clampwright.errors import BadFile, ClampwrightError, Refused
    from clampwright.words import words

    own = f"127.0.0.1:{port}"
    asked = http.client.HTTPConnection(own, timeout=10)
    headers = {"origin": f"http://{own}", "content-type": "application/json"}
    path = f"/api/practice/live/{urllib.parse.quote(name, safe='')}"
    try:
        with closing(asked):
            asked.request("PUT", path, json.dumps({"torque": torque, "unit": unit}), headers)
            answer = asked.getresponse()
            found = answer_of(answer.read(most("server answer") + 1))
    except (OSError, BadFile, http.client.HTTPException) as error:
        raise ClampwrightError(
            words(
                "no server answers on {own} ({problem}); start one with clampwright serve, or name "
                "its --port",
                own=own,
                problem=str(error),
            )
        ) from error
    if "error" in found:
        raise Refused(words("the server: {why}", why=str(found["error"])))
    return found
