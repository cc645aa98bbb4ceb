"""A paper held against its data: the record attached to it is taken out, and the paper made again.

The record proves itself. The pages around it do not: somebody could have drawn others. The same
version of this program makes the same bytes from the same record, so a paper can be checked by
making it anew.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Mapping
from dataclasses import dataclass

from clampwright import __version__
from clampwright.errors import BadFile
from clampwright.intake import sized
from clampwright.proof.record import MAX_BYTES
from clampwright.report.paper.material import open_record
from clampwright.report.paper.recordings import named_recordings
from clampwright.report.pdf import record_pdf
from clampwright.words import Words, words

PDF = b"%PDF-"
"""How a paper begins."""
_ATTACHED = re.compile(
    rb"obj\s*<<(?P<about>[^\r\n]{0,400}/Type\s*/EmbeddedFile[^\r\n]{0,400})>>\s*stream\r?\n"
)
_LENGTH = re.compile(rb"/Length (\d{1,9})\b")
_MADE_BY = re.compile(rb"/Keywords\s*\(clampwright ([0-9A-Za-z.+]{1,40})\)")
_LANGUAGE = re.compile(rb"/Lang\s*\(([A-Za-z]{2,3}(?:[-_][A-Za-z0-9]{2,8}){0,2})\)")


@dataclass(frozen=True, slots=True)
class Again:
    """What making a paper again gave.

    Parameters
    ----------
    same : bool or None
        Whether it is what its data give; None when that cannot be told.
    say : Words
    """

    same: bool | None
    say: Words


def attached_record(pdf: bytes, name: str) -> bytes:
    """Take the record out of a paper.

    Parameters
    ----------
    pdf : bytes
    name : str
        Of its file.

    Returns
    -------
    bytes
        As it is attached; not verified yet.

    Raises
    ------
    BadFile
        When there is not exactly one file attached, or it cannot be unpacked.
    """
    found = list(_ATTACHED.finditer(sized(pdf, "paper", name)))
    length = _LENGTH.search(found[0]["about"]) if len(found) == 1 else None
    if length is None:
        raise BadFile(
            words("{name} is no paper of this program: no record is attached to it", name=name),
            file=name,
            expected="a PDF with one attached record",
        )
    start = found[0].end()
    packed = pdf[start : start + int(length[1])]
    unpacking = zlib.decompressobj()
    try:
        data = unpacking.decompress(packed, MAX_BYTES)
    except zlib.error:
        data = b""
    if not unpacking.eof:
        raise BadFile(
            words("{name}: the record attached to it is damaged or too large", name=name), file=name
        )
    return data


def made_again(pdf: bytes, name: str, recordings: Mapping[str, bytes]) -> Again:
    """Make a paper again from the record attached to it, and compare the bytes.

    Parameters
    ----------
    pdf : bytes
    name : str
        Of its file.
    recordings : mapping of str to bytes
        Recorded pulls by their SHA-256, as far as they are at hand.

    Returns
    -------
    Again

    Raises
    ------
    BadFile
        When no record can be taken out of it.
    Refused
        When the record does not hold.
    """
    record = attached_record(pdf, name)
    material = open_record(record)
    version = _MADE_BY.search(pdf)
    said = version[1].decode() if version else "?"
    if said != __version__:
        # What this version makes names this version: it cannot be the same bytes.
        return Again(
            None,
            words(
                "{name}: its pages were not compared. It says that version {said} made it, and "
                "this is {own}; only the same version makes the same bytes. What is attached to "
                "it was checked.",
                name=name,
                said=said,
                own=__version__,
            ),
        )
    language = _LANGUAGE.search(pdf)
    wanted = named_recordings(material.state)
    given = {one: recordings[one] for one in wanted if one in recordings}
    fresh = record_pdf(record, given, language=language[1].decode() if language else "en")
    if fresh == pdf:
        return Again(True, words("{name}: made again from its data, the same bytes.", name=name))
    missing = len(wanted - given.keys())
    if missing:
        return Again(
            None,
            words(
                "{name}: its pages were not compared, for {count} recordings of pulls are drawn on "
                "them that are not at hand (--recordings).",
                name=name,
                count=missing,
            ),
        )
    return Again(
        False,
        words(
            "{name}: its pages are not what its data give: something on them was changed. Go by "
            "the record attached to it, or make the paper again.",
            name=name,
        ),
    )
