"""What the jobs of a workshop ask of its drawer."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.bench.folder import Workshop, read_bytes
from clampwright.bench.friction import own_conditions
from clampwright.bench.shelf import shelf_for
from clampwright.drawer.coverage import Need
from clampwright.drawer.tools import Drawer
from clampwright.errors import ClampwrightError
from clampwright.words import Words
from clampwright.work.job import Job
from clampwright.work.jobfile import load_job
from clampwright.work.needs import needs_of_jobs


@dataclass(frozen=True, slots=True)
class Asked:
    """What the jobs ask, and which could not be asked.

    Parameters
    ----------
    needs : tuple of Need
    jobs : tuple of Job
    skipped : tuple of (str, Words)
        Job files that cannot be taken, with the reason.
    """

    needs: tuple[Need, ...]
    jobs: tuple[Job, ...]
    skipped: tuple[tuple[str, Words], ...]


def asked_of(place: Workshop, drawer: Drawer) -> Asked:
    """Return what the job files of a workshop ask of a drawer.

    Parameters
    ----------
    place : Workshop
    drawer : Drawer

    Returns
    -------
    Asked
    """
    friction = own_conditions(place.folder)
    jobs: list[Job] = []
    skipped: list[tuple[str, Words]] = []
    for path in sorted(place.jobs.glob("*.toml")):
        try:
            data = read_bytes(path)
            shelf = shelf_for(place.folder, data)
            jobs.append(load_job(data, path.name, friction=friction, shelf=shelf))
        except ClampwrightError as error:
            skipped.append((path.name, error.message))
    return Asked(needs_of_jobs(jobs, drawer), tuple(jobs), tuple(skipped))
