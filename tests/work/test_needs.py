"""What procedures ask of a drawer, tied to a joint or not; and which joints need a wrench."""

from __future__ import annotations

from clampwright.bench.folder import Workshop
from clampwright.drawer import Drawer, load_drawer
from clampwright.procedure.reader import read
from clampwright.work.jobfile import load_job
from clampwright.work.needs import feel_of, needs_of_jobs, needs_of_procedure


def test_a_job_asks_stage_by_stage(workshop: Workshop) -> None:
    drawer = load_drawer(workshop.drawer.read_bytes(), "drawer.toml")
    file = workshop.jobs / "trailer-wheel.toml"
    job = load_job(file.read_bytes(), file.name)
    needs = needs_of_jobs([job], drawer)
    assert [need.torque for need in needs] == [45.0, 90.0, 90.0]  # the wait asks for nothing
    assert all(need.demand.harm_level == 1 for need in needs)
    assert str(needs[0].name).startswith("Left wheel, stage 1: torque 45 N·m")
    assert feel_of(job.joints[0]).control == "wrench"


def test_an_adapter_that_is_not_there_is_a_need_too(workshop: Workshop) -> None:
    file = workshop.jobs / "trailer-wheel.toml"
    text = file.read_text("utf-8").replace('id = "wheel"\n', 'id = "wheel"\nadapter = "crow-19"\n')
    needs = needs_of_jobs([load_job(text.encode(), file.name)], Drawer(()))
    assert {need.missing_adapter for need in needs} == {"crow-19"}


def test_a_shelved_procedure_brings_only_its_own_limits() -> None:
    reading = read("Tighten to 40 N·m, then turn 90°. Tighten the cover to 8-10 Nm.")
    stages = reading.stages
    needs = list(needs_of_procedure("Head", stages))
    assert [need.demand.action for need in needs] == ["torque", "angle", "torque"]
    assert (needs[0].demand.low, needs[0].demand.high) == (None, None)
    assert (needs[2].demand.low, needs[2].demand.high) == (8.0, 10.0)
    assert str(needs[0].name).startswith("Head, stage 1: ")
