"""The demonstration is done for real: other seeds and faults give other pulls, rightly judged."""

from __future__ import annotations

import json
import re
import zlib
from pathlib import Path

import pytest
from _pytest.mark import ParameterSet
from click.testing import CliRunner, Result
from postgres import Server

from clampwright.cli import group
from clampwright.demo.run import JOBS, build_workshop, run_job
from clampwright.proof.verification import verify


def demo(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(
        group, ["demo", "--folder", str(folder), "--no-serve", *arguments], catch_exceptions=False
    )


def unpacked(paper: Path) -> bytes:
    """The streams of a PDF, laid end to end, as far as they are packed by zlib."""
    data = paper.read_bytes()
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL)
    out = []
    for stream in streams:
        try:
            out.append(zlib.decompress(stream))
        except zlib.error:
            out.append(stream)
    return b"".join(out)


def long(*seeds: int) -> list[ParameterSet]:
    """More seeds, for the long trials."""
    return [pytest.param(seed, marks=pytest.mark.soak) for seed in seeds]


def pulls_of(result: Result) -> list[dict[str, object]]:
    return [pull for job in json.loads(result.output)["jobs"] for pull in job["pulls"]]


def test_it_ends_well_and_leaves_verified_records(tmp_path: Path) -> None:
    result = demo(tmp_path / "demo")
    assert result.exit_code == 0
    records = sorted((tmp_path / "demo" / "records").glob("*.json"))
    assert len(records) == 4
    assert all(verify(record.read_bytes()).ok for record in records)
    papers = sorted((tmp_path / "demo" / "records").glob("*.pdf"))
    assert [paper.stem for paper in papers] == [record.stem for record in records]
    assert all(
        record.read_bytes() in unpacked(paper)
        for record, paper in zip(records, papers, strict=True)
    )
    for part in (
        "fits this fastener only in another unit: ft·lbf",
        "the socket slipped off",
        "the fastener stretched for good while it was turned",
        "due later: wait: 50 km",
    ):
        assert part in result.output


@pytest.mark.parametrize("seed", [1, 5, *long(2, 3, 8)])
@pytest.mark.no_cover
def test_without_faults_every_pull_is_within(tmp_path: Path, seed: int) -> None:
    result = demo(tmp_path / "demo", "--json", "--no-pdf", "--seed", str(seed), "--fault", "none")
    verdicts = [pull["verdict"] for pull in pulls_of(result)]
    wrong = [verdict for verdict in verdicts if verdict != "within"]
    assert len(verdicts) >= 60 + 10 + 2 + 12
    assert wrong == []


@pytest.mark.parametrize(
    ("fault", "verdicts"),
    [
        ("head:1:2:slip", {"void"}),
        ("head:5:9:slip", {"void"}),
        ("head:2:6:yield", {"doubtful", "void"}),
        ("head:2:5:strip", {"void"}),
        ("head:2:8:stop_early", {"short"}),
        ("wheel:2:3:wrong_unit", {"over", "void", "doubtful"}),
        ("wheel:2:4:cross_thread", {"void", "doubtful"}),
        ("coupling:2:1:rehit", {"doubtful"}),
    ],
)
@pytest.mark.parametrize("seed", [11, *long(12)])
@pytest.mark.no_cover
def test_each_fault_is_seen_at_its_own_pull(
    tmp_path: Path, fault: str, verdicts: set[str], seed: int
) -> None:
    joint, stage, fastener, _ = fault.split(":")
    jobs = {
        "head": "launch-engine-head",
        "wheel": "trailer-wheel",
        "coupling": "propeller-coupling",
    }
    result = demo(
        tmp_path / "demo",
        "--json",
        "--no-pdf",
        "--seed",
        str(seed),
        "--fault",
        fault,
        "--job",
        jobs[joint],
    )
    first = next(
        pull
        for pull in pulls_of(result)
        if (pull["stage"], pull["fastener"]) == (int(stage), int(fastener))
    )
    assert first["verdict"] in verdicts


def test_the_same_seed_gives_the_same_day(tmp_path: Path) -> None:
    days = [
        pulls_of(
            demo(tmp_path / name, "--json", "--no-pdf", "--seed", "6", "--job", "trailer-wheel")
        )
        for name in ("first", "second")
    ]
    assert days[0] == days[1]


def test_a_folder_that_is_no_demonstration_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "letters.txt").write_text("dear aunt")
    result = CliRunner().invoke(group, ["demo", "--folder", str(tmp_path), "--replace"])
    assert "no demonstration" in str(result.exception)
    assert [file.name for file in tmp_path.iterdir()] == ["letters.txt"]


def test_an_earlier_demonstration_is_replaced_only_when_asked(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    demo(folder, "--job", "gearbox-drain-plug")
    again = CliRunner().invoke(group, ["demo", "--folder", str(folder)])
    assert "--replace" in str(again.exception)
    assert demo(folder, "--job", "gearbox-drain-plug", "--replace").exit_code == 0


def test_every_job_is_the_same_in_a_database(tmp_path: Path, postgres: Server) -> None:
    here, there = (build_workshop(tmp_path / name, replace=False) for name in ("here", "there"))
    postgres.folder_on(there.folder)
    for job in JOBS:
        pulls = []
        for place in (here, there):
            done = run_job(place, job, seed=7, faults=(), paper=False)
            assert done.record is not None
            assert verify(done.record.read_bytes()).ok
            pulls.append([(one.guidance.key, one.outcome.judgement.verdict) for one in done.pulls])
        assert pulls[0] == pulls[1]
        assert pulls[0]
