"""What the jobs of a workshop ask of its drawer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from clampwright.bench.folder import Workshop, read_bytes
from clampwright.bench.friction import own_conditions
from clampwright.bench.shelf import shelf_for, shelf_in
from clampwright.drawer.coverage import Need
from clampwright.drawer.tools import Drawer
from clampwright.errors import ClampwrightError
from clampwright.words import Words
from clampwright.work.exact_stages import stages_from
from clampwright.work.job import Job
from clampwright.work.jobfile import load_job
from clampwright.work.needs import needs_of_jobs, needs_of_procedure


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
    """Return what the job files and the shelf of a workshop ask of a drawer.

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
    needs = (*needs_of_jobs(jobs, drawer), *_shelf_needs(place, jobs))
    return Asked(needs, tuple(jobs), tuple(skipped))


def _shelf_needs(place: Workshop, jobs: list[Job]) -> Iterator[Need]:
    """Yield what the newest versions on the shelf ask that no job works by."""
    pins = (joint.procedure.pin for job in jobs for joint in job.joints)
    worked = {pin.procedure for pin in pins if pin is not None}
    for version in shelf_in(place.folder).newest:
        if version.procedure not in worked:
            yield from needs_of_procedure(version.title, stages_from(version.content["stages"]))
