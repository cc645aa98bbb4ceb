"""What a device says of an entry beside its content: counter, clock, plan, what it still keeps."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from fastapi import Request

from clampwright.web.models import Device
from clampwright.words import Words, words

CLOCK_OFF = 60.0
"""Seconds by which a device's clock may differ before it is said; phones keep to one."""


def content_of(request: Request) -> dict[str, Any]:
    """Return what a request sent, without the device: what must be the same when sent again."""
    sent: dict[str, Any] = json.loads(request.state.body)
    return {name: value for name, value in sent.items() if name != "device"}


def way_of(request: Request) -> str:
    """Return what an entry is sent as: the part of its address before the id."""
    return str(request.scope["path"]).rsplit("/", 2)[-2]


def clock_off(device: Device, now: datetime) -> int | None:
    """Return by how many seconds a device's clock is ahead, where that is worth saying."""
    if device.now is None:
        return None
    off = round((datetime.fromisoformat(device.now) - now).total_seconds())
    return off if abs(off) >= CLOCK_OFF else None


def clock_words(off: int) -> Words:
    """Say that a device's clock is wrong, and that nothing depends on it.

    Examples
    --------
    >>> str(clock_words(86_460))
    'the clock of this device is 1 d 0 h 1 min ahead; entries keep their order all the same'
    """
    minutes = abs(off) // 60
    days, hours, rest = minutes // 1440, minutes // 60 % 24, minutes % 60
    span = " ".join(f"{n} {unit}" for n, unit in ((days, "d"), (hours, "h")) if days or n)
    span = f"{span} {rest} min".strip()
    if off > 0:
        return words(
            "the clock of this device is {span} ahead; entries keep their order all the same",
            span=span,
        )
    return words(
        "the clock of this device is {span} behind; entries keep their order all the same",
        span=span,
    )


def plan_mark(opened: Mapping[str, Any]) -> str:
    """Return a mark of the plan a job is worked by; it changes when the plan is another one.

    Parameters
    ----------
    opened : mapping
        Body of the entry that opened the job.

    Returns
    -------
    str
        16 hexadecimal digits.
    """
    whole = json.dumps(opened, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(whole.encode()).hexdigest()[:16]
