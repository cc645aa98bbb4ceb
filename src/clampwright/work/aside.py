"""What a device sent and the log could not take as what it was: kept beside it, word for word.

Two devices at one fastener, one entry sent with two contents, a plan changed meanwhile: nobody but
a person can say which of them tells what was done at the bench. Until one does, it is open.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from clampwright.errors import ClampwrightError
from clampwright.words import Words, from_data, words
from clampwright.work.readings import as_body, from_body
from clampwright.work.second_reading import reading_words

_LEFT_OUT = {"turns": 0, "step": "7.5", "held": "let_go"}
"""What a device may leave out of a reading, as the API fills it in."""


@dataclass(frozen=True, slots=True)
class Aside:
    """One content kept beside the log's own entries.

    Parameters
    ----------
    entry : str
        Id of the entry that keeps it.
    sent_as : str
        Id under which it was sent.
    way : str
        What it was sent as: the part of the address, such as ``pulls``.
    content : mapping
        As it was sent.
    why : Words
        Why it was not taken.
    device : str
        Name of the device.
    made : str
        What the device's clock said, RFC 3339.
    settled : str
        What a person said became of it; empty while it is open.
    """

    entry: str
    sent_as: str
    way: str
    content: Mapping[str, Any]
    why: Words
    device: str
    made: str
    settled: str = ""


def kept_aside(aside: tuple[Aside, ...], entry: Mapping[str, Any]) -> tuple[Aside, ...]:
    """Return what is aside after an entry of kind ``kept_aside``."""
    body, device = entry["body"], entry["device"]
    one = Aside(
        entry["id"],
        body["entry"],
        body["way"],
        body["content"],
        from_data(body["why"]),
        device["id"],
        device["time"],
    )
    return (*aside, one)


def aside_settled(aside: tuple[Aside, ...], entry: Mapping[str, Any]) -> tuple[Aside, ...]:
    """Return what is aside after an entry of kind ``aside_settled``."""
    body = entry["body"]
    return tuple(
        replace(one, settled=body["reason"]) if one.entry == body["entry"] else one for one in aside
    )


def told(one: Aside) -> Words:
    """Say what is kept aside, and what became of it.

    Parameters
    ----------
    one : Aside

    Returns
    -------
    Words
    """
    what, where = in_words(one), place_of(one)
    if one.settled:
        return words(
            "Not taken from {device}: {where}{what} ({why}). Settled: {settled}",
            device=one.device,
            where=where,
            what=what,
            why=one.why,
            settled=one.settled,
        )
    return words(
        "Not taken from {device}, still open: {where}{what} ({why})",
        device=one.device,
        where=where,
        what=what,
        why=one.why,
    )


def place_of(one: Aside) -> Words | str:
    """Say which pull a content is of; empty where it is of none."""
    content = one.content
    if "fastener" not in content:
        return ""
    if "stage" not in content:
        return words(
            "{joint}, fastener {fastener}: ",
            joint=str(content.get("joint", "?")),
            fastener=content["fastener"],
        )
    return words(
        "{joint}, stage {stage}, fastener {fastener}: ",
        joint=str(content.get("joint", "?")),
        stage=content["stage"],
        fastener=content["fastener"],
    )


def in_words(one: Aside) -> Words | str:
    """Say what a content tells, as a person would read it off."""
    reading = one.content.get("reading")
    if not isinstance(reading, Mapping):
        return words("{way}, reason {reason}", way=one.way, reason=_reason(one))
    match reading.get("kind"):
        case "value":
            return f"{reading.get('value', '?')} {reading.get('unit', '?')}"
        case "click" if not reading.get("clicked"):
            return words("no click")
        case "click" if reading.get("moved"):
            return words("clicked, it moved")
        case "click":
            return words("clicked, stood still")
        case "done":
            return words("done") if reading.get("done") else words("not done")
        case _:
            return _measured(reading)


def _measured(reading: Mapping[str, Any]) -> Words:
    """Say a reading of any other way; one that cannot be said is not taken for one not done."""
    try:
        return reading_words(as_body(from_body({**_LEFT_OUT, **reading})))
    except ClampwrightError:
        return words("a reading of the kind {kind}", kind=str(reading.get("kind", "-")))


def _reason(one: Aside) -> str:
    return str(one.content.get("reason") or one.content.get("answer") or "-")
