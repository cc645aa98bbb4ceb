"""In which order the open pulls are taken, where some of them only wait for a signature."""

from __future__ import annotations

from clampwright.work.plan import Plan
from clampwright.work.state import JobState, PullKey
from clampwright.work.unsigned import waiting


def open_pulls(plan: Plan, state: JobState) -> list[PullKey]:
    """Return the open pulls, in each stage those last that only wait for a signature.

    Nothing of the next stage is begun for that: a pull that is not settled stays before it.

    Parameters
    ----------
    plan : Plan
    state : JobState

    Returns
    -------
    list of PullKey
    """
    ahead = [key for key in plan.sequence() if not state.settled(key)]
    entries = {str(one.content.get("entry", "")) for one in waiting(state.unsigned)}
    held = {pull.key for pull in state.latest.values() if pull.entry in entries}
    if not held:
        return ahead
    places = {
        stage: at for at, stage in enumerate(dict.fromkeys((k.joint, k.stage) for k in ahead))
    }
    return sorted(ahead, key=lambda key: (places[key.joint, key.stage], key in held))
