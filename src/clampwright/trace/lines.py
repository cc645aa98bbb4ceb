"""Samples from lines of text in a form of the user's own; the form is tried on a sample first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from clampwright.errors import BadFile
from clampwright.trace.columns import Column, Role, scale_of
from clampwright.trace.line_form import LineForm
from clampwright.trace.model import AngleMode, Floats, Step, Trace
from clampwright.trace.table import Table, finished
from clampwright.words import Words, words


def read_lines(
    data: bytes, form: LineForm, name: str = "lines", *, angle_mode: AngleMode = "handle"
) -> Trace:
    r"""Read a recorded stream of lines.

    Parameters
    ----------
    data : bytes
        UTF-8 text; bytes that are not are replaced, since a radio link may garble a line.
    form : LineForm
    name : str
        Name of the file, for messages.
    angle_mode : {"handle", "accumulated", "output"}

    Returns
    -------
    Trace
        Lines that are no sample are passed over, and counted in its history.

    Raises
    ------
    BadFile
        Where fewer than two lines are samples, with the first line that is not.

    Examples
    --------
    >>> from clampwright.trace.line_form import form_from_text
    >>> form = form_from_text("time 1 ms; torque 2 N·m -; angle 3 deg")
    >>> trace = read_lines(b"0 -1.0 2\n5 -2.5 4\n10 -4.0 7\n", form, "log")
    >>> trace.time.tolist(), trace.torque.tolist()
    ([0.0, 0.005, 0.01], [1.0, 2.5, 4.0])
    """
    good = list(samples(data, form))
    if len(good) < 2:
        lines = data.decode("utf-8", "replace").splitlines()
        raise BadFile(
            words(
                "{file}: {count} of {lines} lines could be read with this form; line 1 says "
                "{text!r}",
                file=name,
                count=len(good),
                lines=len(lines),
                text=(lines[0] if lines else "")[:60],
            ),
            file=name,
            line=1,
            expected="lines as the form says",
        )
    passed = data.count(b"\n") + (not data.endswith(b"\n")) - len(good)
    table, values = _table(good, form, name)
    steps = [Step("lines passed over", {"count": passed})] if passed > 0 else []
    return finished(values, table, steps, angle_mode)


def samples(data: bytes, form: LineForm) -> Iterator[tuple[int, tuple[float, ...]]]:
    """Yield the number of each line that is a sample, and its fields as written.

    Parameters
    ----------
    data : bytes
    form : LineForm

    Yields
    ------
    int
        Counted from 1.
    tuple of float
    """
    for number, line in enumerate(data.decode("utf-8", "replace").splitlines(), 1):
        values = form.read(line)
        if values is not None:
            yield number, values


def _table(
    good: list[tuple[int, tuple[float, ...]]], form: LineForm, name: str
) -> tuple[Table, Floats]:
    rows = np.array([values for _, values in good])
    numbers = [number for number, _ in good]
    places = {field.role: i for i, field in enumerate(form.fields)}
    turning: Role = "angle" if "angle" in places else "rate"
    columns, chosen = [], []
    for role in ("time", "torque", turning):
        if role == "time" and form.rate_hz is not None:
            columns.append(Column(0, "time", "s", 1.0))
            chosen.append(np.arange(len(rows)) / form.rate_hz)
            continue
        field = form.fields[places[role]]
        columns.append(
            Column((field.field or 1) - 1, role, field.unit, scale_of(role, field.unit, name))
        )
        chosen.append(rows[:, places[role]])
    return Table(name, columns, numbers), np.column_stack(chosen)


@dataclass(frozen=True, slots=True)
class Tried:
    """What came of trying a form on a sample.

    Parameters
    ----------
    lines, passed_over : int
        Lines in all, and those that are no sample.
    first_passed_over : str
        The first of these, as it stands.
    trace : Trace
    """

    lines: int
    passed_over: int
    first_passed_over: str
    trace: Trace

    def as_json(self) -> dict[str, object]:
        """Return what was read as plain data."""
        trace = self.trace
        return {
            "lines": self.lines,
            "passed_over": self.passed_over,
            "first_passed_over": self.first_passed_over,
            "samples": len(trace),
            "sample_rate_hz": trace.sample_rate,
            "torque_nm": [float(trace.torque.min()), float(trace.torque.max())],
            "angle_deg": [float(trace.angle.min()), float(trace.angle.max())],
            "first": [
                {"time_s": t, "torque_nm": torque, "angle_deg": angle}
                for t, torque, angle in zip(
                    trace.time[:5].tolist(),
                    trace.torque[:5].tolist(),
                    trace.angle[:5].tolist(),
                    strict=True,
                )
            ],
        }

    def told(self) -> list[Words]:
        """Say what was read, with the first samples, and what looks wrong."""
        trace = self.trace
        first = [
            words("{t:.3f} s  {torque:.2f} N·m  {angle:.1f}°", t=t, torque=torque, angle=angle)
            for t, torque, angle in zip(
                trace.time[:5], trace.torque[:5], trace.angle[:5], strict=True
            )
        ]
        count, *rest = self.remarks()
        return [count, *first, *rest]

    def remarks(self) -> list[Words]:
        """Say how much was read, and what looks wrong."""
        trace = self.trace
        says = [
            words("{count} of {lines} lines read", count=len(trace), lines=self.lines),
            words(
                "{rate:.0f} samples a second; torque {low:.1f} to {high:.1f} N·m; angle "
                "{first:.0f} to {last:.0f}°",
                rate=trace.sample_rate,
                low=float(trace.torque.min()),
                high=float(trace.torque.max()),
                first=float(trace.angle.min()),
                last=float(trace.angle.max()),
            ),
        ]
        if self.first_passed_over:
            says.append(words("first line passed over: {text!r}", text=self.first_passed_over[:60]))
        if -float(trace.torque.min()) > float(trace.torque.max()):
            says.append(words("the torque is mostly negative: turn its sign with - if it tightens"))
        return says


def tried(data: bytes, form: LineForm, name: str = "lines") -> Tried:
    """Try a form on a sample of lines.

    Parameters
    ----------
    data : bytes
    form : LineForm
    name : str
        Name of the file, for messages.

    Returns
    -------
    Tried

    Raises
    ------
    BadFile
        Where fewer than two lines can be read.
    """
    trace = read_lines(data, form, name)
    lines = [line for line in data.decode("utf-8", "replace").splitlines() if line.strip()]
    passed = [line for line in lines if form.read(line) is None]
    return Tried(len(lines), len(passed), passed[0] if passed else "", trace)
