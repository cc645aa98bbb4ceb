"""The check of one minute before a job, on the log."""

from __future__ import annotations

from collections.abc import Collection
from typing import Unpack

from clampwright.bench.drawers import drawer_of
from clampwright.bench.folder import Workshop
from clampwright.bench.session import Origin
from clampwright.drawer.before_buying import Look, looks_for, open_looks
from clampwright.errors import Refused
from clampwright.proof.ids import uuid7
from clampwright.store.log import Store
from clampwright.store.writing import Receipt
from clampwright.words import words

LONGEST_NOTE = 500


LOOKED_OVER = "tool_looked_over"
"""Kind of the entry that says that a tool was looked over before a job."""


def check_before_job(
    store: Store,
    place: Workshop,
    tool_id: str,
    right: Collection[str],
    *,
    note: str = "",
    **made: Unpack[Origin],
) -> tuple[tuple[Look, ...], Receipt]:
    """Keep what was looked at on a wrench before a job.

    Parameters
    ----------
    store : Store
        Open for writing.
    place : Workshop
    tool_id : str
    right : collection of str
        Keys of what was looked at and found right.
    note : str
    **made
        See `Origin`.

    Returns
    -------
    tuple of Look, Receipt
        What was not ticked, and the receipt.

    Raises
    ------
    Refused
        When the tool is none of the drawer or no wrench, or a key is none of its check.
    """
    tool = drawer_of(place, {}).described.tool(tool_id)
    if not tool.is_wrench:
        raise Refused(words("{tool} is no wrench; there is nothing to check", tool=tool.title))
    if len(note) > LONGEST_NOTE:
        raise Refused(words("the remark is longer than {limit} characters", limit=LONGEST_NOTE))
    left = open_looks(tool.kind, right)
    ticked = [one.key for one in looks_for("job", tool.kind) if one not in left]
    body = {
        "tool": tool_id,
        "right": ticked,
        "not_right": [one.key for one in left],
        "note": note.strip(),
    }
    given: Origin = {"entry_id": str(uuid7()), **made}
    return left, store.append(LOOKED_OVER, body, **given)
