"""The job files of a workshop, and which of them have been opened."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from clampwright.bench.folder import Workshop, load_plan, read_bytes
from clampwright.bench.friction import FRICTION_FILE, friction_bytes
from clampwright.bench.shelf import shelf_for
from clampwright.errors import Ambiguous, ClampwrightError, Missing
from clampwright.procedure.check import Finding
from clampwright.web.desk import Known
from clampwright.words import Words, words
from clampwright.work.check import check_plan
from clampwright.work.choices import NONE, Choices
from clampwright.work.fold import JobState
from clampwright.work.friction_file import load_conditions
from clampwright.work.guide import next_pull
from clampwright.work.job import Job
from clampwright.work.jobfile import load_job
from clampwright.work.pinned import pinned
from clampwright.work.plan import Plan
from clampwright.work.unsigned import waiting

Version = tuple[str, int, int, bytes]
"""Name, time and size of a job's file, and the friction conditions it may name."""


@dataclass(frozen=True, slots=True)
class JobFile:
    """One file of the jobs folder, read.

    Parameters
    ----------
    path : pathlib.Path
    job : Job or None
        None when the file cannot be taken.
    problem : Words or None
        Why not.
    """

    path: Path
    job: Job | None
    problem: Words | None = None


@dataclass(frozen=True, slots=True)
class Listed:
    """One line of the list of jobs.

    Parameters
    ----------
    id, title, machine : str
    state : str
        ``new`` (a file, not opened), ``open``, ``waiting`` (something is due later), ``settled``
        (nothing left to do, not closed), ``closed`` or ``problem``.
    invented : bool
    done, pulls : int
        Pulls settled, and in all.
    harm : int
        The worst harm level among its joints; 0 when not known.
    note : Words or None
        What is due, or what is wrong.
    waits : int
        How many entries wait to be signed.
    """

    id: str
    title: str
    machine: str
    state: str
    invented: bool = False
    done: int = 0
    pulls: int = 0
    harm: int = 0
    note: Words | None = None
    waits: int = 0


class JobFiles:
    """Reads the jobs folder; a file is read again only when it has changed.

    Parameters
    ----------
    place : Workshop
    today : callable
        The day it is.
    """

    def __init__(self, place: Workshop, today: Callable[[], dt.date]) -> None:
        self.place = place
        self.today = today
        self._read: dict[Version, JobFile] = {}

    def all(self) -> tuple[JobFile, ...]:
        """Return every job file, by name."""
        found = {}
        friction = friction_bytes(self.place.folder)
        for path in sorted(self.place.jobs.glob("*.toml")):
            try:
                stat = path.stat()
            except OSError:
                continue  # it went away between listing and looking: it is no job any more
            version = (path.name, stat.st_mtime_ns, stat.st_size, friction)
            known = self._read.get(version)
            if known is None or known.job is None:  # what it lacks may lie on the shelf by now
                known = _read(path, self.place.folder, friction)
            found[version] = known
        self._read = found
        return tuple(found.values())

    def of(self, job: str) -> JobFile:
        """Return the file of a job.

        Raises
        ------
        Missing
            When no file has this job.
        """
        for file in self.all():
            if file.job is not None and file.job.id == job:
                return file
        raise Missing(words("this workshop has no job {job}", job=repr(job)), needed="job")

    def plan(self, job: str, choices: Choices = NONE) -> tuple[Plan, tuple[Finding, ...]]:
        """Plan a job that was not opened yet, and check it."""
        path = self.of(job).path
        plan = load_plan(path, self.place.drawer, today=self.today(), choices=choices)
        return plan, check_plan(plan)


def _read(path: Path, folder: Path, friction: bytes) -> JobFile:
    try:
        own, data = load_conditions(friction, FRICTION_FILE), read_bytes(path)
        shelf = shelf_for(folder, data)
        return JobFile(path, load_job(data, path.name, friction=own, shelf=shelf))
    except ClampwrightError as error:
        return JobFile(path, None, error.message)


def listed(files: JobFiles, known: Known) -> list[Listed]:
    """Return the jobs of a workshop: those under way first, then new ones, then closed ones.

    Parameters
    ----------
    files : JobFiles
    known : Known

    Returns
    -------
    list of Listed
    """
    opened = [_opened(job, state) for job, state in known.jobs.items() if state.opened]
    seen = {one.id for one in opened}
    new = [_new(file) for file in files.all() if file.job is None or file.job.id not in seen]
    return sorted([*opened, *new], key=lambda one: _RANK[one.state])


_RANK = {"open": 0, "waiting": 1, "settled": 2, "new": 3, "problem": 4, "closed": 5}


def _new(file: JobFile) -> Listed:
    job = file.job
    if job is None:
        return Listed(file.path.name, file.path.name, "", "problem", note=file.problem)
    state, note = "new", None
    if any(not joint.procedure.stages for joint in job.joints):
        note = words("The procedure leaves a question open.")
    return Listed(job.id, job.title, job.machine, state, job.invented, harm=_harm(job), note=note)


def _opened(job_id: str, state: JobState) -> Listed:
    try:
        job, _drawer, plan = pinned(state.opened or {}, state.overrules, state.suspects)
    except (ClampwrightError, KeyError) as error:
        problem = error.message if isinstance(error, ClampwrightError) else Words(str(error))
        return Listed(job_id, job_id, "", "problem", note=problem)
    due = next_pull(plan, state)
    left = due.left if due else 0
    status, note = "open", None
    if state.closed:
        status = "closed"
    elif due is None:
        status = "settled"
    elif due.planned.stage.kind == "wait":
        status, note = "waiting", words("Due: {what}", what=due.target)
    return Listed(
        job.id,
        job.title,
        job.machine,
        status,
        job.invented,
        done=plan.pulls - left,
        pulls=plan.pulls,
        harm=_harm(job),
        note=note,
        waits=len(waiting(state.unsigned)),
    )


def _harm(job: Job) -> int:
    return min((joint.harm_level for joint in job.joints), default=0)


def readings_of(error: ClampwrightError) -> tuple[str, ...]:
    """Return the readings an ambiguous text leaves open; empty for other errors."""
    return error.readings if isinstance(error, Ambiguous) else ()
