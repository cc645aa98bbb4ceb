"""Labels of a workshop: its tools, and the jobs and joints of its machines."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import quote, urlsplit

from clampwright.bench.folder import Workshop
from clampwright.bench.friction import own_conditions
from clampwright.drawer.files import load_drawer
from clampwright.errors import ClampwrightError, Refused
from clampwright.report.label_sheet import Label
from clampwright.words import words
from clampwright.work.job import Job
from clampwright.work.jobfile import load_job


def written(address: str) -> str:
    """Return the address of the pages as labels bear it.

    Parameters
    ----------
    address : str
        Such as ``http://127.0.0.1:8123``.

    Returns
    -------
    str

    Raises
    ------
    Refused
        When it is no address of a server.
    """
    parts = urlsplit(address)
    if parts.scheme not in {"http", "https"} or not parts.netloc or parts.query or parts.fragment:
        raise Refused(
            words(
                "{address!r} is no address of the pages; give one such as http://127.0.0.1:8123",
                address=address[:100],
            )
        )
    return address.rstrip("/")


def tool_labels(place: Workshop, address: str) -> Iterator[Label]:
    """Make a label for each tool in the drawer.

    Parameters
    ----------
    place : Workshop
    address : str

    Yields
    ------
    Label
    """
    drawer = load_drawer(place.drawer.read_bytes(), str(place.drawer))
    for tool in drawer.tools:
        yield Label(
            tool.title, tool.belongings.serial, tool.id, f"{address}/drawer/{quote(tool.id)}"
        )


def job_labels(place: Workshop, address: str) -> Iterator[Label]:
    """Make a label for the machine of each job.

    Parameters
    ----------
    place : Workshop
    address : str

    Yields
    ------
    Label
    """
    for job in _jobs(place):
        yield Label(job.machine, job.title, job.id, f"{address}/jobs/{quote(job.id)}")


def joint_labels(place: Workshop, address: str) -> Iterator[Label]:
    """Make a label for each joint of each job.

    Parameters
    ----------
    place : Workshop
    address : str

    Yields
    ------
    Label
    """
    for job in _jobs(place):
        for number, joint in enumerate(job.joints, 1):
            target = f"{address}/jobs/{quote(job.id)}#joint-{number}"
            yield Label(joint.title, job.machine, f"{job.id} {joint.id}", target)


def _jobs(place: Workshop) -> Iterator[Job]:
    own = own_conditions(place.folder)
    for path in sorted(place.jobs.glob("*.toml")):
        try:
            yield load_job(path.read_bytes(), str(path), friction=own)
        except ClampwrightError:
            continue  # a job that cannot be read has no page either; the jobs page says why
