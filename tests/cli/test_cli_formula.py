"""``clampwright formula`` as a person and as a program use it."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from clampwright.cli.formula import command
from clampwright.errors import Ambiguous, ClampwrightError, Missing, OutOfRange
from clampwright.formula import relations

LONG = (
    "run",
    "torque_from_clamp_long_form",
    "F=25 kN",
    "thread=M10",
    "bolt=ISO 4014",
    "hole_series=medium",
    "mu_th=0,12",
    "mu_b=0.10",
)


def run(*words: str) -> Result:
    return CliRunner().invoke(command, list(words))


def data(*words: str) -> dict[str, Any]:
    done = run(*words, "--json")
    assert done.exit_code == 0, done.output
    found: dict[str, Any] = json.loads(done.output)
    return found


def test_list_names_every_relation() -> None:
    from clampwright.formula import relations  # noqa: PLC0415 - beside what it is compared with

    done = run("list")
    assert done.exit_code == 0
    for one in relations():
        assert f"  {one.name}\n" in done.output
    assert len(data("list")["relations"]) == len(relations())


def test_list_about_a_word() -> None:
    names = [one["name"] for one in data("list", "--about", "stripping")["relations"]]
    assert "stripping_loads" in names
    assert "clamp_rate" not in names


def test_show_tells_formula_range_reason_and_source() -> None:
    said = run("show", "clamp_at_yield").output
    for part in (
        "F_y = ν R_p A",
        "> 0, ≤ 1",
        "past yield",
        "VDI 2230-1",
        "plastic, elastic",
        "29.60 kN",
        "from memory",
    ):
        assert part in said


def test_show_as_data_has_the_formula_in_type() -> None:
    shown = data("show", "clamp_at_yield")
    assert shown["mathml"].startswith("<math")
    assert shown["inputs"][0]["unit"] == "MPa"
    assert shown["rivals"] == []


def test_run_with_workshop_units_and_a_named_thread() -> None:
    """W1.1: 37.620 N·m for an M10 at 25 kN; 27.747 lbf·ft by NIST SP 811."""
    done = run(*LONG, "--unit", "torque=ft-lb")
    assert done.exit_code == 0
    assert "27.747" in done.output
    assert "37.62" in done.output
    assert "+10.0 %" in done.output  # the effect of the clamp load
    assert "power-screw form: 27.86" in done.output
    assert "needs also nut_factor" in done.output
    assert "manufacturer" in done.output


def test_run_as_data() -> None:
    found = data(*LONG, "--unit", "torque=in·lbf")
    torque = found["results"]["torque"]
    assert torque["value"] == pytest.approx(37.620, abs=5e-4)
    assert torque["unit"] == "N·m"
    assert torque["asked"]["value"] == pytest.approx(torque["value"] * 8.850745791327184, rel=1e-12)
    assert found["inputs"]["clamp"] == {"value": 25000.0, "unit": "N", "written": "25 kN"}
    assert found["inputs"]["P"]["written"] is None
    assert {one["input"] for one in found["effects"]} >= {"clamp", "mu_thread"}
    assert found["rivals"][0]["value"] == pytest.approx(37.780, abs=5e-4)


def test_a_list_and_a_matrix_come_back() -> None:
    found = data(
        "run",
        "interaction_matrix",
        "bolt_resilience=4e-6 mm/N",
        "flexibility=1e-6; 5e-7 | 5e-7; 1e-6 mm/N",
    )
    assert found["results"]["matrix"]["value"] == [[1.0, pytest.approx(-0.1)],
                                                   [pytest.approx(-0.1), 1.0]]  # fmt: skip
    said = run("run", "row_flexibility", "positions=0; 80 mm", "beam_stiffness=8.2e9 N·mm²",
               "foundation=1800 N/mm²", "--unit", "flexibility=in/lbf").output  # fmt: skip
    assert "7.4456e-07" in said


@pytest.mark.parametrize(
    ("words", "error", "said"),
    [
        (("run", "torque_from_clamp"), Missing, "torque_from_clamp_long_form"),
        (("show", "nothing_like_it"), Missing, "no relation"),
        (("run", "clamp_rate"), Missing, "needs also: P"),
        (("run", "clamp_rate", "P"), ClampwrightError, "write it like"),
        (("run", "clamp_rate", "P="), ClampwrightError, "write it like"),
        (("run", "clamp_rate", "P=1.5"), Ambiguous, "no unit"),
        (("run", "clamp_rate", "P=1 mm", "P=2 mm"), ClampwrightError, "given twice"),
        (("run", "clamp_rate", "pitch=1 mm"), ClampwrightError, "no input"),
        (("run", "clamp_rate", "thread=M999"), ClampwrightError, "M999"),
        (("run", "stress_after_release", "hole_series=medium"), Missing, "thread"),
        (("run", "scatter_from_tightening_factor", "alpha=0.5"), OutOfRange, "≥ 1.*VDI"),
        (("run", "scatter_from_tightening_factor", "thread=M10"), Missing, "give nothing"),
        (
            ("run", "scatter_from_tightening_factor", "alpha=2", "--unit", "x=mm"),
            ClampwrightError,
            "RESULT=UNIT",
        ),
        (
            ("run", "bearing_diameter_mean", "d_W=14.63 mm", "d_i=11 mm", "--unit",
             "bearing_diameter=kN"),
            ClampwrightError,
            "a length is wanted",
        ),
    ],
)  # fmt: skip
def test_mistakes_are_told_in_one_sentence(
    words: tuple[str, ...], error: type[ClampwrightError], said: str
) -> None:
    done = run(*words)
    assert isinstance(done.exception, error)
    with pytest.raises(error, match=said):
        raise done.exception


def test_the_decimal_mark_can_be_told() -> None:
    done = data("run", "clamp_from_torque_pair", "T_on=37.620 N·m", "T_off=25.683 N·m",
                "P=1.5 mm", "--decimal", ".")  # fmt: skip
    assert done["results"]["clamp"]["value"] == pytest.approx(25_001, abs=1)


def test_a_mistake_in_the_real_command_is_no_traceback() -> None:
    program = str(Path(sys.executable).with_name("clampwright"))
    done = subprocess.run(
        [program, "formula", "run", "clamp_rate", "P=-1 mm", "bolt_resilience=1e-6 mm/N",
         "parts_resilience=1e-6 mm/N"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("P (P) is -1 mm; Clamp load per degree of turning holds for > 0")


UNCERTAIN = (
    "run", "clamp_from_torque_long_form", "torque=45 N·m", "thread=M10", "bolt=ISO 4014",
    "hole_series=medium", "mu_th=0.12", "mu_b=0.12", "--u", "torque=3 %", "--u", "mu_th=15 %",
    "--u", "mu_b=15 %", "--together", "mu_th,mu_b",
)  # fmt: skip


def test_uncertain_inputs_give_a_band_and_words_for_what_would_narrow_it() -> None:
    done = CliRunner().invoke(command, [*UNCERTAIN, "--unit", "clamp=kN"])
    assert done.exit_code == 0, done.output
    assert "F: standard uncertainty 3.6" in done.output
    assert "known twice as well" in done.output
    told = json.loads(CliRunner().invoke(command, [*UNCERTAIN, "--json"]).output)["spread"]
    assert told["p05"] < told["nominal"] < told["p95"]
    assert [part["input"] for part in told["parts"]] == ["mu_bearing", "mu_thread", "torque"]
    assert told["narrowing"]


def test_an_uncertainty_written_wrong_is_told() -> None:
    with pytest.raises(ClampwrightError, match="write it INPUT=SIZE"):
        CliRunner().invoke(command, [*UNCERTAIN, "--u", "mu_th"], catch_exceptions=False)


@pytest.mark.parametrize("name", [one.name for one in relations()])
def test_the_example_that_is_shown_runs_as_it_stands(name: str) -> None:
    shown = run("show", name).output
    example = re.search(r"^Example: (.+)$", shown, re.MULTILINE)
    assert example is not None
    done = run("run", name, *shlex.split(example[1]))
    assert done.exit_code == 0, done.output
