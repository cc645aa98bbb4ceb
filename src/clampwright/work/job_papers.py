"""Photographs and PDFs that belong to a job: what its entries say of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from clampwright.words import Words, words

PAPER_ATTACHED = "paper_attached"
"""Kind of the entry that attaches a file to a job."""
MOST_PAPERS = 200
"""Files attached to one job."""
KINDS: Mapping[str, Words] = {
    "application/pdf": words("PDF"),
    "image/jpeg": words("photograph"),
    "image/png": words("picture"),
    "image/webp": words("picture"),
}


def attached_words(body: Mapping[str, Any]) -> Words:
    """Say in one sentence what is attached.

    Parameters
    ----------
    body : mapping
        Of its entry.

    Returns
    -------
    Words
    """
    said = {
        "kind": KINDS.get(body["type"], words("file")),
        "name": body["name"],
        "size": body["size"],
        "sha256": body["file"],
        "note": body["note"] or "-",
    }
    if body["fastener"]:
        return words(
            "Fastener {fastener}: {kind} {name}, {size} bytes, SHA-256 {sha256}; {note}",
            fastener=body["fastener"],
            **said,
        )
    return words("{kind} {name}, {size} bytes, SHA-256 {sha256}; {note}", **said)
