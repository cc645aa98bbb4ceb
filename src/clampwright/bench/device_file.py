"""Which device hangs on the serial line of this workshop, and how its lines are read."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field, StringConstraints

from clampwright.errors import BadFile
from clampwright.tomlfile import FileModel, read_toml
from clampwright.trace.line_form import LineForm, form_from_text
from clampwright.trace.line_stream import LineStream
from clampwright.words import words

DEVICE_FILE = "device.toml"
SPEED = 9600


class Device(FileModel):
    """The device of a workshop.

    Parameters
    ----------
    port : str
        Name of the serial port, such as ``/dev/ttyUSB0`` or ``COM3``.
    speed : int
        Bits per second.
    lines : str
        How a line is read, as `clampwright.trace.line_form.form_from_text` has it.
    tool : str
        Id of the wrench in the drawer that sends it; empty for the planned one.
    begins_Nm : float
        From this torque on a pull has begun.
    rest_s : float
        Seconds for which the torque must stay below it before the pull is over.
    """

    port: Annotated[str, StringConstraints(min_length=1, max_length=200)]
    speed: Annotated[int, Field(ge=50, le=4_000_000)] = SPEED
    lines: Annotated[str, StringConstraints(min_length=1, max_length=2000)]
    tool: Annotated[str, StringConstraints(max_length=100)] = ""
    begins_Nm: Annotated[float, Field(gt=0, le=1000)] = 3.0
    rest_s: Annotated[float, Field(ge=0.5, le=60)] = 2.5

    @property
    def form(self) -> LineForm:
        """How a line is read."""
        return form_from_text(self.lines)


def device_of(folder: Path) -> Device | None:
    """Return the device of a workshop; None where it has none.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    Device or None

    Raises
    ------
    BadFile
        When the file cannot be read as it is.
    ClampwrightError
        When the form of the lines cannot be.
    """
    path = folder / DEVICE_FILE
    if not path.is_file():
        return None
    try:
        data = path.read_bytes()
    except OSError as error:
        raise BadFile(
            words("{file}: {why}", file=DEVICE_FILE, why=str(error.strerror)), file=DEVICE_FILE
        ) from error
    device = read_toml(data, DEVICE_FILE, Device)
    LineStream(device.form)  # a form that cannot be followed live is told now, not at the bench
    return device


def keep_device(folder: Path, device: Device) -> Path:
    """Write the device of a workshop into its file.

    Parameters
    ----------
    folder : pathlib.Path
    device : Device

    Returns
    -------
    pathlib.Path
    """
    LineStream(device.form)
    path = folder / DEVICE_FILE
    rows = [
        "# The device on the serial line of this workshop: see the how-to on connecting a device.",
        f"port = {_text(device.port)}",
        f"speed = {device.speed}",
        f"lines = {_text(device.lines)}",
        *([f"tool = {_text(device.tool)}"] if device.tool else []),
        f"begins_Nm = {device.begins_Nm:g}",
        f"rest_s = {device.rest_s:g}",
        "",
    ]
    path.write_text("\n".join(rows), encoding="utf-8")
    return path


def _text(value: str) -> str:
    """Write a text as TOML has it."""
    kept = value.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{kept}"'
