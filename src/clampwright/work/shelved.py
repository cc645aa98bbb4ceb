"""A version on the shelf as the procedure of a joint."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from typing import Any

from clampwright.errors import Ambiguous
from clampwright.procedure.reader import read
from clampwright.words import words
from clampwright.work.exact_stages import stages_from
from clampwright.work.job import Joint, Pin, Procedure, Source
from clampwright.work.settling import choice_body
from clampwright.work.shelf import Shelf, Version


def shelved(version: Version) -> Procedure:
    """Return the procedure of a version.

    The stages are those that were understood and settled when it was put on the shelf, however a
    later version of this program would read the text. The text is read again only for what a
    reading says beside the stages.

    Parameters
    ----------
    version : Version

    Returns
    -------
    Procedure

    Raises
    ------
    Ambiguous
        When it is kept with an open point.
    """
    if version.open_points:
        raise Ambiguous(
            words(
                "{title}, version {number}, is kept with an open point: {why} It can be used when "
                "a new version settles it",
                title=version.title,
                number=version.number,
                why=_sentence(version.open_points[0]),
            )
        )
    reading = read(version.text, version.locale)
    stages = stages_from(version.content["stages"])
    pin = Pin(version.procedure, version.number, version.sha256)
    return Procedure(
        stages,
        version.text,
        version.locale,
        reading,
        version.choice,
        source_of(version),
        pin,
    )


def _sentence(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else text + "."


def source_of(version: Version) -> Source:
    """Return the source of a version as a job names it.

    Parameters
    ----------
    version : Version

    Returns
    -------
    Source
    """
    source = version.source
    edition = ", ".join(part for part in (source["edition"], source["date"]) if part)
    return Source(source["title"], edition, source["page"])


def relied_on(joints: Iterable[Joint], shelf: Shelf) -> Iterator[tuple[Version, tuple[str, ...]]]:
    """Yield the versions that joints are worked by, each with the ids of its joints.

    Parameters
    ----------
    joints : iterable of Joint
    shelf : Shelf

    Yields
    ------
    Version, tuple of str
    """
    pins: dict[Pin, tuple[str, ...]] = {}
    for one in joints:
        if (pin := one.procedure.pin) is not None:
            pins[pin] = (*pins.get(pin, ()), one.id)
    for pin, ids in pins.items():
        yield shelf.version(pin.procedure, pin.version, pin.sha256), ids


def choices_made(
    joints: Iterable[Joint], now: Container[str] = (), by: str = ""
) -> Iterator[Mapping[str, Any]]:
    """Yield the questions that were settled by a choice, in the job file or when it was begun.

    Parameters
    ----------
    joints : iterable of Joint
    now : container of str
        Ids of the joints whose question was settled when the job was begun.
    by : str
        Id of the person who did that.

    Yields
    ------
    mapping
        ``joint``, ``question``, ``readings``, ``chosen``; with ``by`` where it was settled now.
    """
    for joint in joints:
        given, reading = joint.procedure, joint.procedure.reading
        if given.pin is None and given.choice is not None and reading and reading.ambiguous:
            person = {"by": by} if joint.id in now else {}
            yield {"joint": joint.id, **choice_body(reading, given.choice), **person}
