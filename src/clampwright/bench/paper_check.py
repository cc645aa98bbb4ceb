"""A record on paper, verified: what is attached, its pages, and its hash on the workshop's log."""

from __future__ import annotations

import hashlib
from pathlib import Path

from clampwright.bench.folder import Workshop, open_store
from clampwright.errors import BadFile
from clampwright.report.again import Again, attached_record, made_again
from clampwright.words import words


def recordings_in(folder: Path) -> dict[str, bytes]:
    """Return the files of a folder by their SHA-256.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    dict of str to bytes

    Raises
    ------
    BadFile
        When the folder cannot be read.
    """
    try:
        contents = [path.read_bytes() for path in sorted(folder.iterdir()) if path.is_file()]
    except OSError as error:
        raise BadFile(
            words("{file} cannot be read: {problem}", file=str(error.filename or folder),
                  problem=str(error.strerror)),
            file=str(folder),
        ) from error  # fmt: skip
    return {hashlib.sha256(data).hexdigest(): data for data in contents}


def check_pages(pdf: bytes, name: str, recordings: Path | None, workshop: Path | None) -> Again:
    """Make a paper again and compare it.

    Parameters
    ----------
    pdf : bytes
    name : str
        Of its file.
    recordings : pathlib.Path or None
        Folder with recorded pulls, by whatever names.
    workshop : pathlib.Path or None
        Workshop whose kept recordings are taken too.

    Returns
    -------
    Again
    """
    folders = [] if recordings is None else [recordings]
    if workshop is not None and Workshop(workshop).papers.folder.is_dir():
        folders.append(Workshop(workshop).papers.folder)
    given: dict[str, bytes] = {}
    for folder in folders:
        given |= recordings_in(folder)
    return made_again(pdf, name, given)


def check_signed_hash(pdf: bytes, name: str, workshop: Path) -> Again:
    """Look for the hash of a paper on the log of the workshop that made it.

    Parameters
    ----------
    pdf : bytes
    name : str
        Of its file.
    workshop : pathlib.Path

    Returns
    -------
    Again
    """
    digest = hashlib.sha256(pdf).hexdigest()
    record = hashlib.sha256(attached_record(pdf, name)).hexdigest()
    with open_store(Workshop(workshop), write=False) as store:
        made = store.of_kind("paper_made")
        origin = store.origin
    for one in made:
        if (one.body["sha256"], one.body["record_sha256"]) == (digest, record):
            return Again(
                True,
                words(
                    "{name}: its hash stands on the log {origin} at place {place}, as version "
                    "{version} made it.",
                    name=name,
                    origin=origin,
                    place=one.index,
                    version=str(one.body["version"]),
                ),
            )
    return Again(
        False,
        words("{name}: the log {origin} knows no paper with this hash.", name=name, origin=origin),
    )
