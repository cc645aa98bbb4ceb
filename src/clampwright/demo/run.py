"""The demonstration: a day in the invented workshop, done for real by the simulated wrench."""

from __future__ import annotations

import datetime as dt
import re
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from importlib.resources import as_file, files
from pathlib import Path

from clampwright.bench.days import today
from clampwright.bench.folder import DRAWER_FILE, Workshop, load_plan, open_session, open_store
from clampwright.bench.mechanic import Answer, PlannedFault, SimulatedMechanic
from clampwright.bench.records import write_record
from clampwright.bench.rehearsal import rehearse
from clampwright.bench.session import Outcome
from clampwright.errors import Refused
from clampwright.procedure.check import Finding
from clampwright.store.where import has_log
from clampwright.words import words
from clampwright.work.check import check_plan
from clampwright.work.fold import PullKey
from clampwright.work.guide import Guidance

JOBS = ("launch-engine-head", "trailer-wheel", "gearbox-drain-plug", "propeller-coupling")
MISTYPED = "coupling-as-typed"
"""A job file with a slip in a unit, for the check to catch; it is never tightened."""

FAULTS = (
    PlannedFault(PullKey("head", 2, 7), "slip"),
    PlannedFault(PullKey("head", 2, 4), "yield"),
)
"""What goes wrong in the demonstration unless other faults are asked for."""

DRAWN_UP = dt.date(2026, 10, 5)
"""The day the invented drawer's dates were written for; they move along with the calendar, so that
the demonstration always finds the same wrenches in date and the same one out of date."""

_DATE = re.compile(r"(?<=^date = )\d{4}-\d{2}-\d{2}$", re.MULTILINE)


@dataclass(slots=True)
class Told:
    """One pull, as the demonstration tells it.

    Parameters
    ----------
    guidance : Guidance
    answer : Answer
    outcome : Outcome
    """

    guidance: Guidance
    answer: Answer
    outcome: Outcome


@dataclass(slots=True)
class JobResult:
    """What came of one job.

    Parameters
    ----------
    job : str
    title : str
    findings : tuple of Finding
    pulls : list of Told
    record, paper : pathlib.Path or None
        The files written.
    due : str
        What is to be done later; empty if nothing.
    """

    job: str
    title: str
    findings: tuple[Finding, ...] = ()
    pulls: list[Told] = field(default_factory=list)
    record: Path | None = None
    paper: Path | None = None
    due: str = ""


def build_workshop(folder: Path, *, replace: bool) -> Workshop:
    """Write the invented workshop's files into a folder.

    Parameters
    ----------
    folder : pathlib.Path
    replace : bool
        Begin anew when it holds an earlier demonstration.

    Returns
    -------
    Workshop

    Raises
    ------
    Refused
        When the folder holds something else, or an earlier demonstration and `replace` is not
        given; nothing is changed.
    """
    place = Workshop(folder)
    if folder.exists() and any(folder.iterdir()):
        if not _is_demo(place):
            raise Refused(
                words(
                    "{folder} is not empty and is no demonstration; name another folder",
                    folder=str(folder),
                )
            )
        if not replace:
            raise Refused(
                words(
                    "{folder} holds a demonstration already; begin anew with --replace",
                    folder=str(folder),
                )
            )
        _check_free(place)
        shutil.rmtree(folder)
    with as_file(files(__package__).joinpath("workshop")) as source:
        shutil.copytree(source, folder)
    _move_dates(place.drawer, today() - DRAWN_UP)
    return place


def _move_dates(drawer: Path, by: dt.timedelta) -> None:
    text = drawer.read_text(encoding="utf-8")
    moved = _DATE.sub(lambda found: (dt.date.fromisoformat(found[0]) + by).isoformat(), text)
    drawer.write_text(moved, encoding="utf-8")


def _check_free(place: Workshop) -> None:
    """Refuse to remove a workshop that is in use, or that holds jobs of somebody's own."""
    own = {f"{job}.toml" for job in (*JOBS, MISTYPED)}
    strange = sorted(file.name for file in place.jobs.iterdir() if file.name not in own)
    if strange:
        raise Refused(
            words(
                "{folder} holds {job}, which is not of the demonstration; name another folder",
                folder=str(place.folder),
                job=strange[0],
            )
        )
    if has_log(place.folder):
        with open_store(place):  # raises when another program is at work there
            pass


def _is_demo(place: Workshop) -> bool:
    """Only what this module wrote may be removed by it."""
    return (place.jobs / f"{MISTYPED}.toml").is_file() and (place.folder / DRAWER_FILE).is_file()


def check_mistyped(place: Workshop) -> tuple[Finding, ...]:
    """Check the job file with the slip in its unit."""
    plan = load_plan(place.jobs / f"{MISTYPED}.toml", None, today=today())
    return check_plan(plan)


def run_job(
    place: Workshop,
    job: str,
    *,
    seed: int,
    faults: Sequence[PlannedFault],
    told: Callable[[Told], None] = lambda _told: None,
    paper: bool = True,
) -> JobResult:
    """Tighten one job with the simulated wrench and write its record.

    Parameters
    ----------
    place : Workshop
    job : str
        Name of its file, without ending.
    seed : int
    faults : sequence of PlannedFault
        Those of other jobs are left alone.
    told : callable
        Called after every pull.
    paper : bool
        Whether to make the PDF too.

    Returns
    -------
    JobResult
    """
    with open_session(place, place.jobs / f"{job}.toml", today=today()) as session:
        joints = {joint.id for joint in session.job.joints}
        mine = [fault for fault in faults if fault.key.joint in joints]
        result = JobResult(session.job.id, session.job.title, check_plan(session.plan))
        mechanic = SimulatedMechanic(session.plan, seed=seed, faults=mine)

        def keep(guidance: Guidance, answer: Answer, outcome: Outcome) -> None:
            result.pulls.append(Told(guidance, answer, outcome))
            told(result.pulls[-1])

        rehearse(session, mechanic, keep)
        if (due := session.next()) is None:
            session.close()
        else:
            result.due = str(due.target)
    with open_store(place) as store:
        written = write_record(place, store, result.job, paper=paper)
        result.record, result.paper = written.json, written.pdf
    return result
