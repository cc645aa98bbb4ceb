"""Open questions of a job, settled when it is begun."""

from __future__ import annotations

import pytest

from clampwright.errors import Missing, Refused
from clampwright.work.choices import choices_in, open_joints, with_choices
from clampwright.work.job import Job
from clampwright.work.jobfile import load_job

JOB = """
[job]
id = "two"
title = "Two covers (invented)"
machine = "Pump (invented)"
[rules]
torque_percent = 8
angle_deg = 5
[[joint]]
id = "plain"
title = "Plain"
harm_level = 3
layout = { pattern = "single" }
procedure = { text = "Tighten to 30 Nm" }
[[joint]]
id = "asks"
title = "Asks"
harm_level = 3
layout = { pattern = "single" }
procedure = { text = "Torque to 20 lbs." }
"""


@pytest.fixture
def job() -> Job:
    return load_job(JOB.encode(), "two.toml")


def test_only_open_joints_are_asked_and_settled(job: Job) -> None:
    assert [joint.id for joint in open_joints(job)] == ["asks"]
    done = with_choices(job, {"asks": 2})
    assert open_joints(done) == ()
    procedure = done.joint("asks").procedure
    assert (procedure.choice, procedure.stages[0].unit) == (2, "in·lbf")
    assert done.joint("plain") == job.joint("plain")
    assert with_choices(job, {}) == job


def test_choices_that_fit_nothing(job: Job) -> None:
    with pytest.raises(Refused, match="'plain' of this job leaves no question open"):
        with_choices(job, {"plain": 1})
    with pytest.raises(Refused, match="no question open"):
        with_choices(job, {"nowhere": 1})
    with pytest.raises(Missing, match="2 readings"):
        with_choices(job, {"asks": 3})


def test_only_what_a_person_settled_at_the_beginning_is_brought_back() -> None:
    settled = [{"joint": "a", "chosen": 2, "by": "person-1"}, {"joint": "b", "chosen": 1}]
    assert choices_in({"settled": settled}) == {"a": 2}
    assert choices_in({}) == {}
