"""``clampwright friction``: a test becomes K, friction and a condition that a job can rely on."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, load_plan, open_session
from clampwright.cli.friction import command
from clampwright.errors import BadFile, ClampwrightError, Missing, OutOfRange, Refused
from clampwright.joint.torque_tension import torque_from_clamp
from clampwright.proof.verification import verify
from clampwright.standards import friction_conditions
from clampwright.work.pinned import pinned

FACE = ("--thread", "M10", "--bolt", "ISO 4014", "--hole", "medium")
KEEP = ("--save", "bench-paste", "--title", "paste (invented)", "--by", "A. Fitter (invented)")
ARM = {"P": 1.5, "d2": 9.0257, "bearing_diameter": 12.815}
CLAMP = np.arange(4_000.0, 30_000.0, 2_000.0)


def table(mu: tuple[float, ...], *, bend: float = 0.0, unit: float = 1.0) -> str:
    """Tests computed by the long form, one fastener for each friction coefficient."""
    lines = ["fastener; torque [N·m]; clamp [kN]"]
    for number, one in enumerate(mu, 1):
        torque = torque_from_clamp(CLAMP, mu_thread=one, mu_bearing=one, **ARM)
        torque = torque * (1.0 + bend * CLAMP / CLAMP[-1])
        lines += [
            f"no {number}; {unit * t:.6f}; {c / 1000:g}" for t, c in zip(torque, CLAMP, strict=True)
        ]
    return "\n".join(lines) + "\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "paste.csv"
    path.write_text(table((0.105, 0.112, 0.118, 0.109)), encoding="utf-8")
    return path


def run(*words: object) -> Result:
    return CliRunner().invoke(command, [str(word) for word in words])


def data(*words: object) -> dict[str, Any]:
    done = run(*words, "--json")
    found: dict[str, Any] = json.loads(done.output)
    return found


def test_friction_put_in_comes_out(file: Path) -> None:
    """Long form and the evaluation agree within their constants (0.577 for 1/(2 cos 30°))."""
    found = data(file, *FACE)
    told = [test["friction"]["value"] for test in found["tests"]]
    assert told == pytest.approx([0.105, 0.112, 0.118, 0.109], rel=2e-3)
    assert found["straight"]
    assert found["friction"]["low"] < min(told) < max(told) < found["friction"]["high"]


def test_units_and_decimal_commas(tmp_path: Path, file: Path) -> None:
    path = tmp_path / "feet.csv"
    feet = table((0.105, 0.112, 0.118, 0.109), unit=0.7375621493)
    path.write_text(feet.replace("N·m", "ft·lbf").replace(".", ","), encoding="utf-8")
    one, other = data(file, *FACE), data(path, *FACE)
    assert other["nut_factor"]["mean"] == pytest.approx(one["nut_factor"]["mean"], rel=1e-6)


def test_thread_torque_parts_the_coefficients(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    torque = torque_from_clamp(CLAMP, mu_thread=0.14, mu_bearing=0.09, **ARM)
    shank = torque_from_clamp(CLAMP, mu_thread=0.14, mu_bearing=0.0, **ARM)
    rows = [f"{t:.6f}, {c:g}, {s:.6f}" for t, c, s in zip(torque, CLAMP, shank, strict=True)]
    head = "torque [N·m], clamp load [N], thread torque [N·m]"
    path.write_text("\n".join([head, *rows]), encoding="utf-8")
    (test,) = data(path, *FACE)["tests"]
    assert test["thread_friction"]["value"] == pytest.approx(0.14, rel=2e-3)
    assert test["bearing_friction"]["value"] == pytest.approx(0.09, rel=2e-3)
    assert "under the head 0.0900" in run(path, *FACE).output


def test_a_line_that_bends_is_a_finding_and_is_not_kept(tmp_path: Path) -> None:
    path = tmp_path / "bent.csv"
    path.write_text(table((0.11, 0.12, 0.13), bend=0.25), encoding="utf-8")
    done = run(path, *FACE)
    assert done.exit_code == 1
    assert "the line is not straight: it bends upward" in done.output
    kept = run(path, *FACE, *KEEP, "--workshop", tmp_path)
    assert isinstance(kept.exception, Refused)
    assert not (tmp_path / "friction.toml").exists()


def test_a_chart(file: Path, tmp_path: Path) -> None:
    chart = tmp_path / "test.svg"
    done = run(file, *FACE, "--chart", chart, "--unit", "ft-lb")
    assert done.output.endswith(f"Chart written: {chart}\n")
    svg = chart.read_text(encoding="utf-8")
    assert "torque, ft·lbf" in svg
    assert "no 3" in svg


def test_a_condition_is_kept_listed_and_named_by_a_job_whose_record_is_whole(
    file: Path, workshop: Workshop
) -> None:
    place = workshop.folder
    saved = data(file, *FACE, *KEEP, "--date", "2026-05-01", "--workshop", place)["saved"]
    first = data("--list", "--workshop", place)["conditions"][0]
    assert (first["name"], first["own"], first["low"]) == ("bench-paste", True, saved["low"])
    assert "A. Fitter (invented), 2026-05-01, file with SHA-256" in first["source"]
    job = workshop.jobs / "launch-engine-head.toml"
    before = load_plan(job, None, today=today()).joints[0].stages[0].clamp
    job.write_text(
        job.read_text(encoding="utf-8").replace('friction = "oiled"', 'friction = "bench-paste"'),
        encoding="utf-8",
    )
    after = load_plan(job, None, today=today()).joints[0].stages[0].clamp
    assert before is not None
    assert after is not None
    assert after.p95 - after.p05 < before.p95 - before.p05
    with open_session(workshop, job, today=today()) as session:
        opened = session.state.opened or {}
        record = session.store.record(session.job_id)
    (place / "friction.toml").unlink()  # what was opened relies on its pin, not on the folder
    condition = pinned(opened)[0].joints[0].friction
    assert condition is not None
    assert (condition.name, condition.low, condition.high) == (
        "bench-paste", saved["low"], saved["high"],
    )  # fmt: skip
    assert verify(record).ok
    assert b"bench paste" in record or b"bench-paste" in record


def test_a_job_that_relies_on_none_of_them_pins_none(file: Path, workshop: Workshop) -> None:
    run(file, *FACE, *KEEP, "--workshop", workshop.folder)
    with open_session(workshop, workshop.jobs / "trailer-wheel.toml", today=today()) as session:
        assert "friction_file" not in (session.state.opened or {})


def test_the_pages_know_it_too(file: Path, workshop: Workshop) -> None:
    from starlette.testclient import TestClient  # noqa: PLC0415 - heavy, for this test only

    from clampwright.web.app import create_app  # noqa: PLC0415 - as above

    job = workshop.jobs / "launch-engine-head.toml"
    text = job.read_text(encoding="utf-8").replace('"oiled"', '"bench-paste"')
    job.write_text(text, encoding="utf-8")
    own = "http://127.0.0.1:8123"
    app = create_app(workshop.folder, hosts=["127.0.0.1:8123"])
    with TestClient(app, base_url=own, headers={"origin": own}) as client:
        assert "no known condition" in client.get("/").text
        run(file, *FACE, *KEEP, "--workshop", workshop.folder)
        assert "no known condition" not in client.get("/").text
        assert client.post("/api/jobs/launch-engine-head/opening").status_code == 201
        assert "paste (invented)" in client.get("/jobs/launch-engine-head").text


def test_a_name_once_taken_keeps_its_meaning(file: Path, tmp_path: Path) -> None:
    run(file, *FACE, *KEEP, "--workshop", tmp_path)
    before = (tmp_path / "friction.toml").read_bytes()
    again = run(file, *FACE, *KEEP, "--workshop", tmp_path)
    assert isinstance(again.exception, Refused)
    second = run(file, *FACE, "--save", "other", *KEEP[2:], "--workshop", tmp_path)
    assert second.exit_code == 0
    assert (tmp_path / "friction.toml").read_bytes().startswith(before.rstrip())


@pytest.mark.parametrize(("more", "kind", "said"), [
    ((), Missing, "--thread is needed"),
    (("--thread", "M10"), Missing, "give --bolt and --hole, or --bearing"),
    (("--thread", "M11.5", *FACE[2:]), ClampwrightError, "M11.5"),
    ((*FACE, "--prevailing", "2 kN"), ClampwrightError, "kN"),
    ((*FACE, "--save", "mine", "--by", "A"), Missing, "--title"),
    ((*FACE, "--save", "mine", "--title", "A"), Missing, "--by"),
    ((*FACE, *KEEP[2:], "--save", "My Paste"), ClampwrightError, "use small letters"),
    ((*FACE, *KEEP[2:], "--save", "oiled"), Refused, "oiled already"),
    ((*FACE, *KEEP, "--date", "May"), ClampwrightError, "is not a day"),
    ((*FACE, "--chart", "x.png"), ClampwrightError, "end its name in .svg"),
])  # fmt: skip
def test_bad_input_is_one_sentence(
    file: Path, tmp_path: Path, more: tuple[str, ...], kind: type[ClampwrightError], said: str
) -> None:
    done = run(file, *more, "--workshop", tmp_path)
    assert isinstance(done.exception, kind)
    assert said in str(done.exception)
    assert not (tmp_path / "friction.toml").exists()


def test_neither_file_nor_list() -> None:
    assert "give the file of a test" in str(run().exception)


@pytest.mark.parametrize(("text", "kind", "said"), [
    ("torque [N·m], angle [deg]\n1, 2\n", BadFile, "no column clamp [kN] among torque"),
    ("torque, clamp [kN]\n1, 2\n", BadFile, "column 'torque' has no unit"),
    ("torque [kN], clamp [kN]\n1, 2\n", BadFile, "kN"),
    ("torque [N·m], clamp [kN]\n1, x\n", BadFile, "line 2, column 2: 'x' is not a number"),
    ("torque [N·m], clamp [kN]\n1, 2\n2, 3\n", OutOfRange, "at least 5"),
    ("torque [N·m], clamp [kN]\n" + "3, 2\n" * 6, ClampwrightError, ""),
    ("torque [N·m], clamp [kN]\n" + "".join(f"{9 - n}, {n}\n" for n in range(1, 7)),
     ClampwrightError, "torque does not rise"),
    ("", BadFile, "0 lines"),
])  # fmt: skip
def test_a_table_that_is_no_test(
    tmp_path: Path, text: str, kind: type[ClampwrightError], said: str
) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(text, encoding="utf-8")
    done = run(path, *FACE)
    assert isinstance(done.exception, kind), done.output
    assert said in str(done.exception)


def test_one_fastener_tells_nothing_of_the_next(tmp_path: Path) -> None:
    path = tmp_path / "one.csv"
    path.write_text(table((0.11,)), encoding="utf-8")
    kept = (path, *FACE, *KEEP, "--workshop", tmp_path)
    assert isinstance(run(*kept).exception, Missing)
    assert isinstance(run(*kept, "--scatter", "80").exception, OutOfRange)
    saved = data(*kept, "--scatter", "8")["saved"]
    assert saved["low"] * saved["high"] == pytest.approx(0.11**2, rel=5e-3)
    assert saved["high"] / saved["low"] == pytest.approx(np.exp(2 * 1.96 * 0.08), rel=5e-3)


def test_a_test_whose_units_are_wrong_is_not_kept(tmp_path: Path) -> None:
    """Torque a tenth of what the thread alone asks for: friction below zero."""
    path = tmp_path / "low.csv"
    path.write_text(table((0.105, 0.112, 0.118), unit=0.1), encoding="utf-8")
    assert "torque and clamp load do not belong together" in " ".join(
        run(path, *FACE).output.split()
    )
    done = run(path, *FACE, *KEEP, "--scatter", "8", "--workshop", tmp_path)
    assert isinstance(done.exception, OutOfRange)
    assert "no range that can be" in str(done.exception)


@pytest.mark.parametrize(("change", "said"), [
    (("low = ", "lowest = "), "lowest"), (("high = 0.", "high = 0.0000"), "must be below"),
    (('name = "bench-paste"', 'name = "dry"'), "is a condition of the tables"),
    (("[[condition]]", "[[condition"), "line"),
])  # fmt: skip
def test_a_damaged_file_of_conditions_is_told_by_its_place(
    file: Path, tmp_path: Path, change: tuple[str, str], said: str
) -> None:
    run(file, *FACE, *KEEP, "--workshop", tmp_path)
    path = tmp_path / "friction.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(*change), encoding="utf-8")
    done = run("--list", "--workshop", tmp_path)
    assert isinstance(done.exception, BadFile)
    assert said in str(done.exception)


def test_the_list_shows_every_condition_with_its_source() -> None:
    said = " ".join(run("--list", "--workshop", "/nowhere").output.split())
    for one in friction_conditions():
        assert f"{one.name} {one.low:g} – {one.high:g}" in said
        assert " ".join(one.source.split()) in said
