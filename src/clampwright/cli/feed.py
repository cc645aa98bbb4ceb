"""``clampwright feed``: lines of any program or device, live to the bench."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.line_option import line_form
from clampwright.cli.output import DONE, FINDING, json_option, print_json, text_of

if TYPE_CHECKING:
    from clampwright.trace.line_stream import LineStream

_PULL_EXAMPLE = "wheel:2:1"


@click.command(
    epilog="Example: my-logger | clampwright feed trailer-wheel --lines "
    "'time 1 ms; torque 2 N·m; angle 3 deg'",
    short_help="Feed lines of a device into a live pull.",
)
@click.argument("job")
@click.option(
    "--lines",
    required=True,
    help="How to read a line: a TOML file, or as 'torque 2 N·m; angle 3 deg; time 1 ms'.",
)
@click.option(
    "--pull",
    help="Which pull, as joint:stage:fastener, such as wheel:2:1; the next one if left out.",
)
@click.option("--tool", help="Id of the wrench that records; the planned one if left out.")
@click.option("--serial", metavar="PORT", help="Serial port the lines come over, instead.")
@click.option(
    "--speed",
    type=click.IntRange(50, 4_000_000),
    default=9600,
    show_default=True,
    help="Of the serial port, bits a second.",
)
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    default=8123,
    show_default=True,
    help="Where clampwright serve listens on this machine.",
)
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    help="Workshop folder: needed with --as NAME where people sign in.",
)
@json_option
def command(
    *,
    job: str,
    lines: str,
    pull: str | None,
    tool: str | None,
    serial: str | None,
    speed: int,
    port: int,
    workshop: Path | None,
    as_json: bool,
) -> None:
    """Read lines from standard input or a serial port and feed them into a live pull of JOB.

    A server must run on this machine (clampwright serve); its pages show the pull as it goes on.
    The end of the input ends the pull, which is then judged and kept; over a serial port it ends
    when the torque has stayed low for 2.5 s. Exit status 0 when the verdict is within, 1 otherwise.
    """
    from contextlib import nullcontext

    from clampwright.bench.sign_in import at_the_terminal
    from clampwright.cli.feeding import Server
    from clampwright.trace.line_stream import LineStream

    stream = LineStream(line_form(lines))
    by = nullcontext("") if workshop is None else at_the_terminal(workshop)
    with by as token, Server(port, job, token).begun(place_of(pull), tool) as feed:
        show = print_json if as_json else _Shown()
        for sample in _of_port(serial, speed, stream) if serial else _samples(stream):
            show(feed.send(sample))
        verdict = feed.finish()
    _finish(verdict, stream, as_json=as_json)
    raise SystemExit(DONE if verdict["verdict"] == "within" else FINDING)


def place_of(pull: str | None) -> dict[str, Any] | None:
    """Read which pull is meant; None where none is named.

    Parameters
    ----------
    pull : str or None
        Such as ``wheel:2:1``.

    Returns
    -------
    dict or None
        Joint, stage and fastener.

    Raises
    ------
    ClampwrightError
        When it is no pull.
    """
    from clampwright.errors import ClampwrightError
    from clampwright.words import words

    if pull is None:
        return None
    parts = pull.split(":")
    if len(parts) != 3 or not (parts[1].isdecimal() and parts[2].isdecimal()):
        raise ClampwrightError(
            words(
                "{pull!r} is not a pull; it is joint:stage:fastener, such as {example}",
                pull=pull[:40],
                example=_PULL_EXAMPLE,
            )
        )
    return {"joint": parts[0], "stage": int(parts[1]), "fastener": int(parts[2])}


def _samples(stream: LineStream) -> Iterator[tuple[float, float, float]]:
    """Yield the samples as their lines come, without waiting for more of them."""
    source = sys.stdin.buffer if isinstance(sys.stdin, io.TextIOWrapper) else None
    for data in iter(source.readline, b"") if source else ():
        sample = stream.take(data.decode("utf-8", "replace"))
        if sample is not None:
            yield sample


def _of_port(port: str, speed: int, stream: LineStream) -> Iterator[tuple[float, float, float]]:
    """Yield the samples of a serial port until a pull is over."""
    from clampwright.bench.device_file import Device
    from clampwright.bench.serial_line import lines_of
    from clampwright.trace.pull_end import PullEnd

    fields = Device.model_fields
    end = PullEnd(fields["begins_Nm"].default, fields["rest_s"].default)
    for line in lines_of(port, speed):
        sample = stream.take(line) if line else None
        if sample is None:
            continue
        yield sample
        if end.take(sample[0], sample[1]) == "ended":
            return


class _Shown:
    """Shows what the hand should do whenever that changes, and what happened."""

    def __init__(self) -> None:
        self._said = ""

    def __call__(self, now: dict[str, Any]) -> None:
        from clampwright.trace.live_follow import EVENTS, SAYINGS
        from clampwright.words import words

        if not now:
            return
        for event in now["events"]:
            click.echo(f"{now['t']:8.2f} s  {text_of(EVENTS[event])}")
        if now["say"] == self._said:
            return
        self._said = now["say"]
        rest = now["remaining_deg"]
        to_go = "" if rest is None else text_of(words(", about {angle:.0f}° to go", angle=rest))
        click.echo(f"{now['t']:8.2f} s  {text_of(SAYINGS[self._said])}{to_go}")


def _finish(verdict: dict[str, Any], stream: LineStream, *, as_json: bool) -> None:
    from clampwright.words import words

    if as_json:
        print_json({"taken": verdict, "samples": stream.taken, "passed_over": stream.passed_over})
        return
    click.echo(click.style(verdict["word"].upper(), bold=True))
    for reason in verdict["reasons"]:
        click.echo(f"  {reason}")
    if stream.passed_over:
        click.echo(
            text_of(
                words("{count} lines were no sample and were passed over", count=stream.passed_over)
            )
        )
