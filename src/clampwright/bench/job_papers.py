"""Photographs and PDFs attached to a job: told by their content, kept by their hash."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Unpack

from clampwright.bench.papers import Papers
from clampwright.bench.session import Made, Session
from clampwright.errors import Refused
from clampwright.proof.strictjson import normalised
from clampwright.store.writing import Receipt
from clampwright.words import words
from clampwright.work.attached import type_of
from clampwright.work.job_papers import MOST_PAPERS, PAPER_ATTACHED
from clampwright.work.picture_size import picture_size

LONGEST_NAME = 100


@dataclass(frozen=True, slots=True)
class Attaching:
    """A file that is to belong to a job.

    Parameters
    ----------
    joint : str
        Id of the joint it shows.
    sha256 : str
        Of a kept file.
    name : str
        As the person's device names it.
    fastener : int
        0 for the joint as a whole.
    note : str
    """

    joint: str
    sha256: str
    name: str
    fastener: int = 0
    note: str = ""


def keep_paper(papers: Papers, data: bytes, name: str) -> dict[str, Any]:
    """Keep a file, once its content is known to be a picture or a PDF of bearable size.

    Parameters
    ----------
    papers : Papers
    data : bytes
    name : str
        For messages, and to show again.

    Returns
    -------
    dict
        ``sha256``, ``type``, ``name``, ``size`` and, of a picture, ``pixels``.

    Raises
    ------
    BadFile
        When it is something else, whatever its name says, damaged, or would unpack to too much;
        nothing is kept.
    StoreFull
        When there is no room.
    """
    about = _about(data, name)
    return {"sha256": papers.keep(data), **about}


def attach(session: Session, given: Attaching, **made: Unpack[Made]) -> Receipt:
    """Attach a kept file to a job; its hash becomes part of the record.

    Parameters
    ----------
    session : Session
    given : Attaching
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        When the joint or fastener is not there, it is attached already, or there are too many.
    BadFile
        When the file is not kept, or was changed.
    """
    joint = session.plan.joint(given.joint).joint
    if given.fastener and given.fastener not in joint.layout.numbers:
        raise Refused(
            words("joint {joint} has no fastener {number}", joint=joint.id, number=given.fastener)
        )
    here = session.state.papers
    if len(here) >= MOST_PAPERS:
        raise Refused(words("at most {limit} files are attached to a job", limit=MOST_PAPERS))
    place = (given.joint, given.fastener, given.sha256)
    if any((one["joint"], one["fastener"], one["file"]) == place for one in here):
        raise Refused(words("this file is attached there already"))
    data = session.papers.read(given.sha256)
    body = {
        "joint": given.joint,
        "fastener": given.fastener,
        "file": given.sha256,
        "note": str(normalised(" ".join(given.note.split()))),
        **_about(data, given.name),
    }
    return session.put(PAPER_ATTACHED, body, **made)


def _about(data: bytes, name: str) -> dict[str, Any]:
    shown = " ".join("".join(sign if sign.isprintable() else " " for sign in name).split())
    told = str(normalised(shown.rsplit("/", 1)[-1].rsplit("\\", 1)[-1][-LONGEST_NAME:])) or "-"
    kind = type_of(data, told).type
    size = picture_size(data, kind, told)
    about: dict[str, Any] = {"type": kind, "name": told, "size": len(data)}
    if size is not None:
        about["pixels"] = {"width": size[0], "height": size[1]}
    return about
