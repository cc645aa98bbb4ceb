"""What the log tells of the tools of a job: the entries that its record takes along.

A record that holds the signed entry of a calibration shows what the wrench was trusted with; what
happened to it since, a drop for one, shows how far that still held.
"""

from __future__ import annotations

from clampwright.drawer.history import PULL, TOOL_CALIBRATED, TOOL_CHECKED, TOOL_EVENT
from clampwright.proof.entry import RECORD_MADE, Entry
from clampwright.store.log import Store

KINDS = (TOOL_EVENT, TOOL_CALIBRATED, TOOL_CHECKED)


def tool_entries(store: Store, job: str) -> list[Entry]:
    """Return the entries on the state of each tool that a job was done with.

    Of each tool: its newest calibration before the job was begun, and everything after that up to
    the last entry of the job. What happens to a tool later changes nothing in the record.

    Parameters
    ----------
    store : Store
    job : str

    Returns
    -------
    list of Entry
        In the order of the log.
    """
    lines = [line for line in store.lines(job) if line.kind != RECORD_MADE]
    used = {str(line.body["tool"]) for line in lines if line.kind == PULL and line.body.get("tool")}
    if not used:
        return []
    begun, ended = lines[0].index, lines[-1].index
    found: dict[str, list[Entry]] = {}
    for entry in store.lines(kinds=KINDS):
        tool = str(entry.body.get("tool"))
        if entry.index > ended or tool not in used:
            continue
        if entry.kind == TOOL_CALIBRATED and entry.index < begun:
            found[tool] = []
        found.setdefault(tool, []).append(entry)
    every = (entry for some in found.values() for entry in some)
    return sorted(every, key=lambda entry: entry.index)
