"""A workshop folder: the drawer, the jobs, the log, its key, kept traces and records.

::

    drawer.toml         the wrenches, bars, gauges and adapters
    device.toml         the device on a serial port that the server holds, where there is one
    friction.toml       friction conditions from the workshop's own tests, where there are some
    jobs/*.toml         one file a job
    workshop.sqlite     the log (made with the first job), unless it lies in a database
    workshop.database   says in which database, then
    workshop.key        the workshop's signing key, readable by its owner only
    papers/             traces, photographs and pages of procedures, named by their hash
    names.json          the names of people, apart from the log, readable by its owner only
    telling.json        who outside is told what happens, and what waits; its owner's only
    records/            records written for others
    practice/           results of exercises, one file a class, and lessons/*.toml; never in the log
"""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from clampwright.bench.acting import sign_for
from clampwright.bench.friction import friction_bytes, own_conditions
from clampwright.bench.histories import histories_of
from clampwright.bench.papers import Papers
from clampwright.bench.session import Session
from clampwright.bench.shelf import shelf_for
from clampwright.drawer.as_of import drawer_as_of
from clampwright.drawer.files import load_drawer
from clampwright.drawer.history import ToolHistory
from clampwright.errors import BadFile, ClampwrightError, Missing, Refused
from clampwright.intake import most, sized
from clampwright.store.folder import Folder, is_older
from clampwright.store.log import Store
from clampwright.store.where import has_log, names_log
from clampwright.words import words
from clampwright.work.choices import NONE, Choices, open_joints, with_choices
from clampwright.work.fold import fold
from clampwright.work.job import Joint
from clampwright.work.jobfile import load_job
from clampwright.work.plan import Plan, plan_job

DRAWER_FILE = "drawer.toml"
BACKUPS = "backups"
"""Folder in the workshop's own for what is saved before a restore."""


@dataclass(frozen=True, slots=True)
class Workshop:
    """The paths of a workshop folder.

    Parameters
    ----------
    folder : pathlib.Path
    """

    folder: Path

    @property
    def drawer(self) -> Path:
        """The drawer's file."""
        return self.folder / DRAWER_FILE

    @property
    def jobs(self) -> Path:
        """Folder of the job files."""
        return self.folder / "jobs"

    @property
    def records(self) -> Path:
        """Folder of the records written."""
        return self.folder / "records"

    @property
    def papers(self) -> Papers:
        """The kept traces."""
        return Papers(self.folder / "papers")


def find_workshop(job_file: Path) -> Path:
    """Return the workshop folder a job file lies in: the nearest one above with a drawer.

    Parameters
    ----------
    job_file : pathlib.Path

    Returns
    -------
    pathlib.Path

    Raises
    ------
    BadFile
        When there is no such job file.
    Missing
        When no folder above it holds a ``drawer.toml``.
    """
    if not job_file.is_file():
        raise BadFile(
            words("{file}: there is no such file", file=str(job_file)), file=str(job_file)
        )
    for folder in job_file.resolve().parents:
        if (folder / DRAWER_FILE).is_file():
            return folder
    raise Missing(
        words(
            "no {drawer} in the folder of {file} or above it: a workshop folder holds the drawer, "
            "and its jobs lie below it",
            drawer=DRAWER_FILE,
            file=str(job_file),
        ),
        needed=DRAWER_FILE,
    )


def read_bytes(path: Path) -> bytes:
    """Return the content of a file that is read whole.

    Raises
    ------
    BadFile
        When it cannot be read, or is larger than anything that is (the row ``record``).
    """
    try:
        with path.open("rb") as file:
            return sized(file.read(most("record") + 1), "record", str(path))
    except OSError as error:
        raise BadFile(
            words("{file} cannot be read: {problem}", file=str(path), problem=str(error.strerror)),
            file=str(path),
        ) from error


def load_plan(
    job_file: Path, drawer_file: Path | None, *, today: dt.date, choices: Choices = NONE
) -> Plan:
    """Load a job and a drawer and plan the one with the other.

    Parameters
    ----------
    job_file : pathlib.Path
    drawer_file : pathlib.Path or None
        The nearest ``drawer.toml`` above the job if not given.
    today : datetime.date
    choices : mapping of str to int
        Readings that a person chooses for open questions, by joint.

    Returns
    -------
    Plan
    """
    data = read_bytes(job_file)
    try:
        drawer = drawer_file or find_workshop(job_file) / DRAWER_FILE
    except Missing:
        load_job(data, str(job_file))  # what is wrong in the job itself is told first
        raise
    shelf = shelf_for(drawer.parent, data)
    job = load_job(data, str(job_file), friction=own_conditions(drawer.parent), shelf=shelf)
    in_file = load_drawer(read_bytes(drawer), str(drawer))
    job = with_choices(job, choices)
    return plan_job(job, drawer_as_of(in_file, histories_in(drawer.parent)), today=today)


def histories_in(folder: Path) -> dict[str, ToolHistory]:
    """Return what the log of a workshop tells of its tools; nothing where there is no log.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    dict of str to ToolHistory
    """
    if not has_log(folder):
        return {}
    try:
        store = Store.open(folder, write=False)
    except Refused:
        store = Store.open(folder)  # of an older version: opening it for writing brings it up
    with store:
        return histories_of(store)


@contextmanager
def open_store(
    place: Workshop,
    *,
    create: bool = False,
    write: bool = True,
    patience: float = 5.0,
    pass_phrase: str | None = None,
) -> Iterator[Store]:
    """Open the log of a workshop folder, and close it again.

    Parameters
    ----------
    place : Workshop
    create : bool
        Make a new log with a new key where there is none.
    write : bool
        Take the right to write, which only one program can have.
    patience : float
        How long to wait for a program that locks the file, s.
    pass_phrase : str, optional
        Opens the signing key when something is signed.

    Yields
    ------
    Store
    """
    try:
        store = Store.open(
            place.folder,
            create=create,
            write=write,
            busy_seconds=patience,
            pass_phrase=pass_phrase,
        )
    except BadFile as bad:
        raise _with_backup(place, bad) from bad
    with store:
        sign_for(store)
        yield store


def bring_up_to_date(folder: Path) -> None:
    """Bring the log of an older version up to date, for what is going to read it.

    What stands in the way (a damaged log, another program at work) is told when it is opened.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's.
    """
    found = Folder(folder)
    with contextlib.suppress(ClampwrightError):
        if found.has_log and is_older(found):
            Store.open(folder).close()


def _with_backup(place: Workshop, bad: BadFile) -> BadFile:
    """Name the newest backup that is known beside a store that cannot be opened."""
    known = sorted((place.folder / BACKUPS).glob("*.zip"), key=lambda path: path.stat().st_mtime)
    if not known or not names_log(place.folder):
        return bad
    return BadFile(
        words(
            "{problem}. The newest backup here is {file}; put it back with: clampwright store "
            "restore {file} {folder}",
            problem=bad.message,
            file=str(known[-1]),
            folder=str(place.folder),
        ),
        file=bad.file,
    )


def open_questions(place: Workshop, job_file: Path) -> tuple[Joint, ...]:
    """Return the joints of a job whose procedure leaves a question open, before it is begun.

    Parameters
    ----------
    place : Workshop
    job_file : pathlib.Path

    Returns
    -------
    tuple of Joint
        None of a job that was begun: its questions were settled then.
    """
    data = read_bytes(job_file)
    shelf = shelf_for(place.folder, data)
    job = load_job(data, str(job_file), friction=own_conditions(place.folder), shelf=shelf)
    joints = open_joints(job)
    if not joints or not has_log(place.folder):
        return joints
    with open_store(place, write=False) as store:
        begun = fold(store.entries(job=job.id)).opened is not None
    return () if begun else joints


@contextmanager
def open_session(
    place: Workshop, job_file: Path, *, today: dt.date, choices: Choices = NONE, by: str = ""
) -> Iterator[Session]:
    """Open a job of a workshop for work: begin it, or go on with it.

    Parameters
    ----------
    place : Workshop
    job_file : pathlib.Path
    today : datetime.date
        The day to plan for, when the job is new.
    choices : mapping of str to int
        Readings that a person chooses for open questions, by joint, when the job is new.
    by : str
        Id of that person.

    Yields
    ------
    Session
    """
    job, drawer = read_bytes(job_file), read_bytes(place.drawer)
    shelf = shelf_for(place.folder, job)
    load_job(job, str(job_file), friction=own_conditions(place.folder), shelf=shelf)
    load_drawer(drawer, str(place.drawer))
    with open_store(place, create=True) as store:
        friction = friction_bytes(place.folder)
        yield Session.start(
            store,
            job,
            drawer,
            place.papers,
            today=today,
            friction_file=friction,
            choices=choices,
            by=by,
        )
