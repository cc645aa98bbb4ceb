"""A job as it was when it was opened: rebuilt from the entry that holds its files."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from datetime import date
from functools import lru_cache
from typing import Any

from clampwright.drawer.files import load_drawer
from clampwright.drawer.pinned import drawer_with
from clampwright.drawer.tools import Drawer
from clampwright.work.brought import require_as_opened
from clampwright.work.choices import choices_in, with_choices
from clampwright.work.friction_file import load_conditions
from clampwright.work.job import Job
from clampwright.work.jobfile import load_job
from clampwright.work.overrule import with_overrules, without_tools
from clampwright.work.plan import Plan, plan_job
from clampwright.work.shelf import pinned_shelf, version_from


def pinned(
    opened: Mapping[str, Any],
    overrules: Sequence[Mapping[str, Any]] = (),
    suspects: Collection[str] = (),
) -> tuple[Job, Drawer, Plan]:
    """Rebuild job, drawer and plan from the entry that opened the job.

    Parameters
    ----------
    opened : mapping
        The entry's body.
    overrules : sequence of mapping
        Bodies of the entries by which people took other tools since.
    suspects : collection of str
        Ids of the tools that were laid aside since.

    Returns
    -------
    Job, Drawer, Plan

    Raises
    ------
    Missing
        When it was begun with something that a package brings which is not installed here.
    """
    require_as_opened(opened)
    job, drawer, plan = _rebuilt(
        opened["job_file"],
        opened["drawer_file"],
        opened["today"],
        opened.get("friction_file", ""),
        json.dumps(
            [opened.get("tools", {}), opened.get("shelf", []), choices_in(opened)], sort_keys=True
        ),
    )
    return job, drawer, without_tools(with_overrules(plan, overrules), suspects)


@lru_cache(maxsize=128)
def _rebuilt(
    job_file: str, drawer_file: str, today: str, friction_file: str, more: str
) -> tuple[Job, Drawer, Plan]:
    """Planning takes longer than everything else, and the same files give the same plan."""
    own = load_conditions(friction_file.encode(), "friction.toml")
    tools, versions, choices = json.loads(more)
    shelf = pinned_shelf(version_from(body) for body in versions)
    job = load_job(job_file.encode(), "job file", friction=own, shelf=shelf)
    job = with_choices(job, choices)
    drawer = drawer_with(load_drawer(drawer_file.encode(), "drawer.toml"), tools)
    return job, drawer, plan_job(job, drawer, today=date.fromisoformat(today))
