"""Beginning a job with a shelved procedure: the job file is written, never over another one."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from clampwright.bench.folder import Workshop, open_store, read_bytes
from clampwright.bench.friction import own_conditions
from clampwright.bench.shelf import shelf_in
from clampwright.errors import BadFile, Refused
from clampwright.intake import text_of, toml_of
from clampwright.store.reading import LogReader
from clampwright.store.where import has_log
from clampwright.words import words
from clampwright.work.jobfile import load_job
from clampwright.work.naming import id_from
from clampwright.work.newjob import NewJob, job_toml


def write_job(place: Workshop, new: NewJob) -> str:
    """Write the file of a new job into the workshop.

    Parameters
    ----------
    place : Workshop
    new : NewJob

    Returns
    -------
    str
        Id of the job.

    Raises
    ------
    ClampwrightError
        When what was told makes no job; nothing was written.
    """
    job_id = id_from(new.title, _taken(place))
    data = job_toml(new, job_id)
    shelf = shelf_in(place.folder)
    try:
        load_job(data, f"{job_id}.toml", friction=own_conditions(place.folder), shelf=shelf)
    except BadFile as error:
        raise Refused(words("this makes no job: {why}", why=error.message)) from error
    write_new(place, job_id, data)
    return job_id


def write_new(place: Workshop, job_id: str, data: bytes) -> Path:
    """Write the file of a job that has none yet.

    Parameters
    ----------
    place : Workshop
    job_id : str
    data : bytes
        TOML.

    Returns
    -------
    pathlib.Path

    Raises
    ------
    Refused
        When there is such a file, or it cannot be written.
    """
    path = place.jobs / f"{job_id}.toml"
    try:
        path.parent.mkdir(exist_ok=True)
        with path.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise Refused(
            words("{file} cannot be written: {problem}", file=str(path),
                  problem=str(error.strerror))
        ) from error  # fmt: skip
    return path


def last_rules(place: Workshop) -> tuple[float, float] | None:
    """Return the workshop's limits (percent, degrees) as its newest job file has them, or None.

    Parameters
    ----------
    place : Workshop
    """
    for path in sorted(place.jobs.glob("*.toml"), key=_changed, reverse=True):
        with contextlib.suppress(BadFile, ValueError, KeyError, TypeError):
            rules = _content(path)["rules"]
            return float(rules["torque_percent"]), float(rules["angle_deg"])
    return None


def _content(path: Path) -> dict[str, Any]:
    return toml_of(text_of(read_bytes(path), "toml", path.name), path.name)


def _changed(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0  # it went away between listing and looking


def _taken(place: Workshop) -> Iterator[str]:
    """Yield the ids of jobs that have a file or stand on the log."""
    if has_log(place.folder):
        with open_store(place, write=False) as store:
            yield from taken_ids(place, store)
    else:
        yield from _named_by_files(place)


def taken_ids(place: Workshop, store: LogReader) -> Iterator[str]:
    """Yield the ids of jobs that have a file or stand on the log.

    Parameters
    ----------
    place : Workshop
    store : LogReader

    Yields
    ------
    str
    """
    yield from _named_by_files(place)
    yield from (str(entry["job"]) for entry in store.entries(kinds=("job_opened",)))


def _named_by_files(place: Workshop) -> Iterator[str]:
    for path in place.jobs.glob("*.toml"):
        yield path.stem
        with contextlib.suppress(BadFile, ValueError, KeyError, TypeError):
            yield str(_content(path)["job"]["id"])
