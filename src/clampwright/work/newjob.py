"""A job file made from a few answers and a shelved procedure."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from clampwright.work.fastener import Named
from clampwright.work.job import Pin

JOINT_ID = "joint"


@dataclass(frozen=True, slots=True)
class NewJob:
    """What a person tells to begin a job with a shelved procedure.

    Parameters
    ----------
    title, machine : str
        What is done, on what.
    part : str
        What the joint is called.
    pin : Pin
        The version the work goes by.
    layout : mapping
        Keys of the job file's layout table: ``pattern`` and its measures.
    harm_level : int
        1, 2 or 3.
    torque_percent, angle_deg : float
        The workshop's limits for figures stated without any.
    named : Named
        The fastener by the names on it.
    kind : str
        Sort of joint.
    invented : bool
        True for demonstration data.
    """

    title: str
    machine: str
    part: str
    pin: Pin
    layout: Mapping[str, str | float]
    harm_level: int
    torque_percent: float
    angle_deg: float
    named: Named = field(default_factory=Named)
    kind: str = "bolted"
    invented: bool = False


def job_toml(new: NewJob, job_id: str) -> bytes:
    """Return the job file.

    Parameters
    ----------
    new : NewJob
    job_id : str

    Returns
    -------
    bytes
        TOML, UTF-8; whether it can be taken is for `clampwright.work.jobfile.load_job` to say.

    Examples
    --------
    >>> pin = Pin("pump-cover", 2, "0f" * 32)
    >>> layout = {"pattern": "circle", "count": 6, "diameter_mm": 80.0}
    >>> new = NewJob("Cover back on", "Pump", "Cover", pin, layout, 2, 8.0, 5.0)
    >>> print(job_toml(new, "cover-back-on").decode().splitlines()[-2])
    layout = { pattern = "circle", count = 6, diameter_mm = 80.0 }
    """
    return ("\n".join(_lines(new, job_id)) + "\n").encode()


def _lines(new: NewJob, job_id: str) -> Iterator[str]:
    if new.invented:
        yield "# Invented for demonstration. Not for any real machine."
        yield "invented = true"
        yield ""
    yield "[job]"
    yield from _pairs({"id": job_id, "title": new.title, "machine": new.machine})
    yield ""
    yield "[rules]"
    yield from _pairs({"torque_percent": new.torque_percent, "angle_deg": new.angle_deg})
    yield ""
    yield "[[joint]]"
    yield from _pairs({"id": JOINT_ID, "title": new.part, "kind": new.kind})
    yield f"harm_level = {new.harm_level}"
    yield from _pairs(_fastener(new.named))
    yield f"layout = {_inline(new.layout)}"
    pin: dict[str, str | float] = {
        "shelf": new.pin.procedure,
        "version": new.pin.version,
        "sha256": new.pin.sha256,
    }
    yield f"procedure = {_inline(pin)}"


def _fastener(named: Named) -> dict[str, str | float]:
    hole = named.hole if named.thread and named.head else None
    known = {
        "thread": named.thread,
        "strength": named.strength,
        "head": named.head,
        "hole": hole,
        "friction": named.friction,
    }
    return {key: value for key, value in known.items() if value}


def _pairs(table: Mapping[str, str | float]) -> Iterator[str]:
    yield from (f"{key} = {_value(value)}" for key, value in table.items())


def _inline(table: Mapping[str, str | float]) -> str:
    return "{ " + ", ".join(_pairs(table)) + " }"


def _value(value: str | float) -> str:
    if isinstance(value, str):
        # A basic string of TOML is a string of JSON, but for one control character.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return repr(value)
