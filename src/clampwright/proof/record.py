"""What is left of a job for others to rely on: one file that proves it was not altered since.

A record is one JSON object in canonical form:

``format``, ``version``
    ``"clampwright-record"`` and 1; nothing else is taken.
``origin``
    Name of the log, the same as in the checkpoint.
``job``
    Name of the job, the same as in its entries.
``key``
    The public key as base64, the same as in the log's first entry.
``checkpoint``
    The signed head of the log (see `clampwright.proof.checkpoint`).
``entries``
    In the order of the log, each with ``index``, ``entry`` and ``proof`` (base64 nodes from the
    leaf up, RFC 9162). First the log's first entry, last one of kind ``record_made``, which says
    how many entries the job had and which entries outside the job belong to the record.

Every member is hashed, signed, or equal to one that is. The record proves that what was written
down has not been altered since it was signed; it does not prove that a pull was true.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

from clampwright.errors import Refused
from clampwright.proof.entry import Entry
from clampwright.proof.keys import PublicKey, to_base64
from clampwright.proof.strictjson import canonical
from clampwright.proof.verification import FORMAT, MAX_BYTES, VERSION, Verification, verify
from clampwright.words import words

__all__ = ["FORMAT", "MAX_BYTES", "VERSION", "Verification", "build", "verify"]


def build(
    *,
    job: str,
    origin: str,
    entries: Sequence[Entry],
    proofs: Sequence[Sequence[bytes]],
    checkpoint: str,
    key: PublicKey,
) -> bytes:
    """Write the record of a job, and check it before it is handed out.

    Parameters
    ----------
    job : str
        Name of the job.
    origin : str
        Name of the log.
    entries : sequence of Entry
        The log's first entry, those that belong to the record, and last the one that closes it, in
        the order of the log.
    proofs : sequence of sequence of bytes
        For each entry its inclusion proof under the checkpoint.
    checkpoint : str
        The signed head.
    key : PublicKey
        The key that signed it.

    Returns
    -------
    bytes
        The same bytes from the same data.

    Raises
    ------
    Refused
        When the parts do not make a record that can be verified.
    """
    content = {
        "checkpoint": checkpoint,
        "entries": [
            {
                "entry": json.loads(entry.data),
                "index": entry.index,
                "proof": [to_base64(node) for node in proof],
            }
            for entry, proof in zip(entries, proofs, strict=True)
        ],
        "format": FORMAT,
        "job": job,
        "key": key.text,
        "origin": origin,
        "version": VERSION,
    }
    data = canonical(content, max_bytes=MAX_BYTES)
    found = verify(data)
    if not found.ok:
        raise Refused(
            words(
                "no record was made, for it would not hold: {finding}",
                finding=str(found.findings[0]),
            )
        )
    return data
