"""Entries carried by hand, taken in the way they would have come by themselves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path
from typing import Any

from fastapi import Request
from pydantic import ValidationError

from clampwright.bench.acting import acting
from clampwright.bench.exchange import Carried
from clampwright.errors import ClampwrightError, Refused
from clampwright.store.writing import Actor
from clampwright.web.app import create_app
from clampwright.web.queue_api import EntryIn, answers
from clampwright.words import Words, words
from clampwright.work.unsigned import Unsigned


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What became of entries.

    Parameters
    ----------
    taken, known : int
        New ones, and those that were on the log already.
    aside, left : tuple of str
        Why some are kept aside, and why some were not taken at all.
    held : tuple of str
        What is held open until somebody signs it.
    """

    taken: int
    known: int
    aside: tuple[str, ...]
    left: tuple[str, ...]
    held: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "taken": self.taken,
            "known": self.known,
            "aside": list(self.aside),
            "left": list(self.left),
            "held": list(self.held),
        }


def take_carried(folder: Path, carried: Carried) -> TakenIn:
    """Take entries in; bringing them again is harmless.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's folder.
    carried : Carried

    Returns
    -------
    TakenIn
    """
    entries = [_entry(carried.device, one) for one in carried.entries]
    told = answers(_request(folder), entries, aside=True)
    by_status = [int(one["status"]) for one in told]
    return TakenIn(
        by_status.count(HTTPStatus.CREATED),
        by_status.count(HTTPStatus.OK),
        tuple(str(one["error"]) for one in told if "aside" in one),
        tuple(str(one["error"]) for one in told if "error" in one and "aside" not in one),
        tuple(str(one["told"]) for one in told if "awaits" in one),
    )


def sign_held(folder: Path, job: str, held: Unsigned, hand: Actor) -> None:
    """Put what was held open on the log, signed: word for word what was sent.

    Parameters
    ----------
    folder : pathlib.Path
    job : str
    held : Unsigned
    hand : Actor
        Who has just shown by password or PIN who it is.

    Raises
    ------
    ClampwrightError
        When it is not this person's to sign, or does not fit the job any more.
    """
    about = {
        "id": held.device["id"],
        "counter": held.device["counter"],
        "time": held.device["time"],
    }
    entry = EntryIn.model_validate(
        {
            "job": job,
            "way": held.way,
            "id": held.sent_as,
            "content": dict(held.content),
            "device": about,
        }
    )
    with acting(hand):
        (told,) = answers(_request(folder), [entry], aside=False)
    if "error" in told:
        raise Refused(Words(str(told["error"])))


def _request(folder: Path) -> Request:
    app = create_app(folder, hosts=())
    return Request({"type": "http", "method": "POST", "app": app, "headers": []})


def _entry(device: str, one: Mapping[str, Any]) -> EntryIn:
    about = {"id": device, "counter": one["counter"], "time": one["made"]}
    if "plan" in one:
        about["plan"] = one["plan"]
    if "person" in one:
        about |= {"person": one["person"], "late": True}
    given = {name: one[name] for name in ("job", "way", "id", "content")}
    try:
        return EntryIn.model_validate({**given, "device": about})
    except ValidationError as error:
        first = error.errors()[0]
        raise ClampwrightError(
            words(
                "entry {id} cannot be taken: {where}: {what}",
                id=str(one["id"]),
                where=".".join(str(part) for part in first["loc"]),
                what=str(first["msg"]),
            )
        ) from error
