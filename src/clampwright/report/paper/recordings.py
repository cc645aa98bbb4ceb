"""Which recordings of pulls stand on a paper."""

from __future__ import annotations

from clampwright.work.fold import JobState


def named_recordings(state: JobState) -> frozenset[str]:
    """Return the SHA-256 of every recording that a pull of a job names.

    Parameters
    ----------
    state : JobState

    Returns
    -------
    frozenset of str
    """
    readings = (pull.body["reading"] for pull in state.pulls)
    return frozenset(one["paper"] for one in readings if one["kind"] == "trace")
