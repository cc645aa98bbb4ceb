"""Recorded pulls as they were judged, with what was known of them: from a workshop's entries.

The trace is corrected for the wrench as it was known when the job was begun, the stage's limits and
the joint's expectation come from the plan of that day. So today's rules judge what was judged then.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from clampwright.archive.tables import EntryRow, TracedPull
from clampwright.errors import ClampwrightError
from clampwright.trace.model import Trace
from clampwright.trace.reading import read_csv
from clampwright.work.corrected import corrected
from clampwright.work.fold import fold
from clampwright.work.given import given_for
from clampwright.work.pinned import pinned
from clampwright.work.plan import direction_of
from clampwright.work.state import JobState, PullKey

MARK = b'"kind":"trace"'
"""Stands in the entry of every recorded pull: entries are canonical JSON, without spaces."""


@dataclass(frozen=True, slots=True)
class Taken:
    """One recorded pull.

    Parameters
    ----------
    entry : EntryRow
    pull : TracedPull or None
    trace : Trace or None
        None where it cannot be had, and then `problem` says why.
    problem : ClampwrightError or None
    """

    entry: EntryRow
    pull: TracedPull | None = None
    trace: Trace | None = None
    problem: ClampwrightError | None = None


def is_traced(row: EntryRow) -> bool:
    """Return whether an entry is a pull that was recorded."""
    return row.kind == "pull" and MARK in row.entry


def traced_pulls(
    rows: Iterable[EntryRow], wanted: Mapping[str, str], paper: Callable[[str], bytes]
) -> Iterator[Taken]:
    """Gather recorded pulls.

    Parameters
    ----------
    rows : iterable of EntryRow
        All entries of the jobs, in the order of the log.
    wanted : mapping of str to str
        Job by the id of the entry of each pull that is wanted.
    paper : callable
        Returns a kept file by its hash.

    Yields
    ------
    Taken
        In the order of the log.
    """
    left: dict[str, int] = {}
    for named in wanted.values():
        left[named] = left.get(named, 0) + 1
    states: dict[str, JobState] = {}
    for row in rows:
        job = row.job
        if job is None or not left.get(job):
            continue
        state = states.get(job, JobState())
        content = row.content
        if row.id in wanted:
            left[job] -= 1
            yield _taken(row, content, state, paper)
            if not left[job]:
                states.pop(job, None)  # nothing more of this job is wanted
                continue
        states[job] = fold([content], state)


def _taken(
    row: EntryRow, content: Mapping[str, Any], state: JobState, paper: Callable[[str], bytes]
) -> Taken:
    try:
        trace, pull = _with_given(row, content["body"], state, paper)
    except ClampwrightError as error:
        return Taken(row, problem=error)
    return Taken(row, pull, trace)


def _with_given(
    row: EntryRow, body: Mapping[str, Any], state: JobState, paper: Callable[[str], bytes]
) -> tuple[Trace, TracedPull]:
    data = paper(body["reading"]["paper"])
    opened = state.opened or {}
    _job, drawer, plan = pinned(opened, state.overrules, state.suspects)
    tool = drawer.tool(body["tool"])
    key = PullKey(body["joint"], body["stage"], body["fastener"])
    planned, stage = plan.joint(key.joint), plan.stage(key)
    mode = tool.angle.mode if tool.angle and tool.angle.mode else "handle"
    named = body.get("adapter")
    trace = corrected(
        read_csv(data, "trace", angle_mode=mode),
        tool,
        adapter=drawer.adapter(named) if named else None,
        direction=direction_of(stage.stage, planned.joint),
    )
    given = given_for(
        planned.joint, planned.stages, key.stage, tool, already=state.turned_already(key)
    )
    found = body.get("found") or {}
    pull = TracedPull(
        row.id,
        row.place,
        replace(given, angle_mode=mode),
        str(found.get("verdict", "")),
        str(found.get("pattern", "")),
        bool(found.get("fault", False)),
        f"{row.job}:{key.joint} {key.stage}/{key.fastener}",
    )
    return trace, pull
