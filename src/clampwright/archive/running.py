"""Doing an analysis piece by piece: here, or spread over processes; what is done stays done.

Each piece's result is written whole, under its own key, by whoever did it. A run that was stopped
finds them and goes on. The results are then read in the order of the archive, whatever the order in
which they were made, so that every sum is the same for one process and for many.
"""

from __future__ import annotations

import datetime as dt
import os
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from clampwright import __version__
from clampwright.archive.layout import Archive, archive_at, read_json, write_json
from clampwright.archive.units import Unit, part_key
from clampwright.errors import BadFile, ClampwrightError
from clampwright.words import Words, as_data, from_data, words

Asked = Mapping[str, Any]
Found = dict[str, Any]
Progress = Callable[[int, int], None]
LAST = "last.json"


Step = Callable[[Archive, Unit, Asked, frozenset[str]], Found]
"""What is done with a piece: returns what came of it, as plain data. Last come the files, by their
place in the archive, that are left out."""


@dataclass(frozen=True, slots=True)
class Analysis:
    """A question to an archive.

    Parameters
    ----------
    name : str
    step : str
        Name of what is done with each piece; analyses that share it share its results.
    units : callable
        Gives the pieces.
    do : Step
    gather : callable
        Puts the results of the pieces together, in the order of the pieces.
    of_step : callable
        What of the question the step itself must know.
    """

    name: str
    step: str
    units: Callable[[Archive], Iterator[Unit]]
    do: Step
    gather: Callable[[Archive, Parts, Asked], Found]
    of_step: Callable[[Asked], Asked] = field(default=lambda _asked: {})


@dataclass(frozen=True, slots=True)
class Parts:
    """The results of the pieces, read one after the other as often as it is wanted.

    Parameters
    ----------
    files : tuple of (Unit, pathlib.Path)
    """

    files: tuple[tuple[Unit, Path], ...]

    def __iter__(self) -> Iterator[tuple[Unit, Found]]:
        """Go through them in the order of the archive."""
        for unit, path in self.files:
            yield unit, read_json(path)["found"]

    @property
    def core_seconds(self) -> float:
        """Processor time that all of them took when they were made, s."""
        return sum(float(read_json(path).get("core_seconds", 0.0)) for _unit, path in self.files)


@dataclass(frozen=True, slots=True)
class Work:
    """What a run took.

    Parameters
    ----------
    pieces, before : int
        All of them, and those that were done before.
    seconds : float
        By the clock.
    core_seconds : float
        Processor time of the pieces, s.
    own_seconds : float
        Processor time of this process for finding them and putting their results together, s.
    peak_bytes : int
        Largest memory of a process that did pieces.
    workers : int
        Processes beside this one; 0 where this one did them.
    """

    pieces: int
    before: int
    seconds: float
    core_seconds: float
    own_seconds: float
    peak_bytes: int
    workers: int


@dataclass(frozen=True, slots=True)
class Result:
    """What an analysis came to.

    Parameters
    ----------
    analysis : str
    asked : mapping
    made : str
        When (RFC 3339, UTC).
    found : dict
        As plain data, by analysis.
    aside : tuple of (str, Words)
        Parts that were set aside, and why.
    work : Work
    version : str
        Of this program.
    """

    analysis: str
    asked: Asked
    made: str
    found: Found
    aside: tuple[tuple[str, Words], ...]
    work: Work
    version: str = __version__

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data."""
        work = {name: getattr(self.work, name) for name in Work.__dataclass_fields__}
        return {
            "analysis": self.analysis,
            "asked": dict(self.asked),
            "made": self.made,
            "version": self.version,
            "found": self.found,
            "aside": [{"file": file, "why": as_data(why)} for file, why in self.aside],
            "work": work,
        }

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Result:
        """Rebuild it from its plain form."""
        return cls(
            str(data["analysis"]),
            data["asked"],
            str(data["made"]),
            data["found"],
            tuple((one["file"], from_data(one["why"])) for one in data["aside"]),
            Work(**data["work"]),
            str(data["version"]),
        )


@dataclass(frozen=True, slots=True)
class Task:
    """Pieces that are done in one go.

    Parameters
    ----------
    root : str
        Folder of the archive.
    step : str
        Its name, under which its results lie.
    do : Step
    units : tuple of Unit
    asked : mapping
        What the step must know.
    set_aside : bool
    """

    root: str
    step: str
    do: Step
    units: tuple[Unit, ...]
    asked: Asked
    set_aside: bool


@dataclass(frozen=True, slots=True)
class Done:
    """What came of a task; its findings lie in the archive.

    Parameters
    ----------
    count : int
        Pieces.
    problems : tuple of (str, dict)
        Parts that could not be read, and why, as data.
    broken : dict or None
        Why it could not go on at all, as data.
    core_seconds : float
    peak_bytes : int
    """

    count: int
    problems: tuple[tuple[str, Mapping[str, Any]], ...] = ()
    broken: Mapping[str, Any] | None = None
    core_seconds: float = 0.0
    peak_bytes: int = 0


Spread = Callable[[Sequence[Task]], Iterator[Done]]
"""Does tasks, in any order."""


def here(tasks: Sequence[Task]) -> Iterator[Done]:
    """Do tasks in this process, one after the other."""
    for task in tasks:
        yield do_task(task)


def do_task(task: Task) -> Done:
    """Do the pieces of a task and write what came of each.

    Parameters
    ----------
    task : Task

    Returns
    -------
    Done
    """
    started = time.process_time()
    archive = archive_at(Path(task.root))
    problems: list[tuple[str, Mapping[str, Any]]] = []
    broken = None
    for unit in task.units:
        try:
            problems += _do(archive, unit, task)
        except BadFile as error:
            problems.append((error.file, as_data(error.message)))
        except ClampwrightError as error:  # such as a full disk: no other piece would fare better
            broken = as_data(error.message)
            break
    return Done(
        len(task.units),
        tuple(problems),
        broken,
        time.process_time() - started,
        peak_bytes(),
    )


def _do(archive: Archive, unit: Unit, task: Task) -> list[tuple[str, Mapping[str, Any]]]:
    """Do one piece; where parts may be set aside, without those that cannot be read."""
    started = time.process_time()
    without: dict[str, Mapping[str, Any]] = {}
    while True:
        try:
            found = task.do(archive, unit, task.asked, frozenset(without))
            break
        except BadFile as error:
            own = error.file in without or error.file == unit.file
            if not task.set_aside or own or not error.file.startswith("entries/"):
                raise
            without[error.file] = as_data(error.message)
    path = _part(archive, task.step, unit, task.asked, whole=not without)
    took = time.process_time() - started
    write_json(
        path, {"unit": unit.name, "found": found, "without": sorted(without), "core_seconds": took}
    )
    return list(without.items())


def _part(archive: Archive, step: str, unit: Unit, asked: Asked, *, whole: bool = True) -> Path:
    ending = "json" if whole else "partly.json"
    key = part_key(unit, step, asked)
    return archive.results / step / "parts" / f"{key}.{ending}"


def peak_bytes() -> int:
    """Return the largest memory this process has had, bytes; 0 where the system does not tell."""
    try:
        import resource
    except ImportError:
        return 0
    return int(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss) * 1024


def run(
    archive: Archive,
    analysis: Analysis,
    asked: Asked | None = None,
    *,
    spread: Spread = here,
    workers: int = 0,
    set_aside: bool = False,
    progress: Progress | None = None,
) -> Result:
    """Do an analysis, or what is left of it to do.

    Parameters
    ----------
    archive : Archive
    analysis : Analysis
    asked : mapping, optional
        Details of the question.
    spread : callable
        Does the tasks; see `clampwright.archive.cluster` for more than one process.
    workers : int
        How many processes that are; told in the result, and it decides how pieces are bundled.
    set_aside : bool
        Leave out parts that cannot be read, and name them.
    progress : callable, optional
        Is told the pieces done, and all of them.

    Returns
    -------
    Result
        Also kept in the archive as the newest of this analysis.

    Raises
    ------
    BadFile
        A part cannot be read and may not be set aside. Everything else was done, and is kept.
    StoreFull, StoreFailed
        A result cannot be written; what was written is kept.
    """
    started, mine = time.monotonic(), time.process_time()
    question = dict(asked or {})
    of_step = analysis.of_step(question)
    units = tuple(analysis.units(archive))
    todo = [one for one in units if not _part(archive, analysis.step, one, of_step).is_file()]
    mine = time.process_time() - mine
    tasks = _bundled(archive, analysis, todo, of_step, workers=workers, set_aside=set_aside)
    done = len(units) - len(todo)
    work = Work(len(units), done, 0.0, 0.0, 0.0, 0, workers)
    problems: dict[str, Words] = {}
    for one in spread(tasks):
        if one.broken is not None:
            raise ClampwrightError(from_data(one.broken))
        done += one.count
        problems.update((file, from_data(why)) for file, why in one.problems)
        work = replace(
            work,
            core_seconds=work.core_seconds + one.core_seconds,
            peak_bytes=max(work.peak_bytes, one.peak_bytes),
        )
        if progress is not None:
            progress(done, len(units))
    if problems and not set_aside:
        raise _damaged(problems)
    then = time.process_time()
    parts = Parts(tuple(_kept(archive, analysis, units, of_step)))
    found = analysis.gather(archive, parts, question)
    mine += time.process_time() - then
    result = Result(
        analysis.name,
        question,
        dt.datetime.now(dt.UTC).isoformat(timespec="seconds").replace("+00:00", "Z"),
        found,
        tuple(sorted(problems.items())),
        replace(work, seconds=round(time.monotonic() - started, 3), own_seconds=mine),
    )
    write_json(archive.results / analysis.name / LAST, result.as_json())
    return result


def _kept(
    archive: Archive, analysis: Analysis, units: Sequence[Unit], asked: Asked
) -> Iterator[tuple[Unit, Path]]:
    for unit in units:
        for whole in (True, False):
            path = _part(archive, analysis.step, unit, asked, whole=whole)
            if path.is_file():
                yield unit, path
                break


AT_ONCE = 32
"""Workshops of a task at most: starting one takes milliseconds, as does a small workshop."""


def _bundled(
    archive: Archive,
    analysis: Analysis,
    todo: Sequence[Unit],
    asked: Asked,
    *,
    workers: int,
    set_aside: bool,
) -> list[Task]:
    """Gather pieces to tasks: several small ones at once, but enough tasks for all workers."""
    share = max(1, min(AT_ONCE, len(todo) // (8 * max(workers, 1))))
    if any(one.file for one in todo):
        share = 1  # files of traces are seconds long
    root = os.fspath(archive.folder)
    return [
        Task(
            root,
            analysis.step,
            analysis.do,
            tuple(todo[at : at + share]),
            dict(asked),
            set_aside,
        )
        for at in range(0, len(todo), share)
    ]


def _damaged(problems: Mapping[str, Words]) -> BadFile:
    file, why = min(problems.items())
    return BadFile(
        words(
            "{why}. Parts that cannot be read: {count}. Put these workshops in again, or go on "
            "without the parts: --set-aside. What was done is kept",
            why=why,
            count=len(problems),
        ),
        file=file,
        expected="parts as they were written",
    )


def parts_of(archive: Archive, analysis: Analysis, asked: Asked) -> Parts:
    """Return what came of the pieces of an analysis that was done.

    Parameters
    ----------
    archive : Archive
    analysis : Analysis
    asked : mapping

    Returns
    -------
    Parts
    """
    units = tuple(analysis.units(archive))
    return Parts(tuple(_kept(archive, analysis, units, analysis.of_step(dict(asked)))))


def last_result(archive: Archive, analysis: str) -> Result | None:
    """Return the newest result of an analysis; None where it was never done.

    Parameters
    ----------
    archive : Archive
    analysis : str

    Returns
    -------
    Result or None

    Raises
    ------
    BadFile
        The file is damaged.
    """
    path = archive.results / analysis / LAST
    if not path.is_file():
        return None
    try:
        return Result.from_json(read_json(path))
    except (KeyError, TypeError, ValueError) as error:
        raise BadFile(
            words("{file} is missing or damaged", file=str(path)), file=str(path)
        ) from error
