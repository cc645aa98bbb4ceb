"""One relation from the command line, all published values, and a look back over many pulls."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np

from clampwright.drawer.metrology.look_back import Finding, look_back
from conftest import Compare

COMMAND = str(Path(sys.executable).with_name("clampwright"))
PULLS = 100_000


def run(*words: str) -> None:
    subprocess.run(words, capture_output=True, check=True)


def import_numpy() -> None:
    run(sys.executable, "-c", "import numpy")


def test_run_of_a_relation_with_numbers(compare: Compare) -> None:
    ratio = compare(
        "formula run, adapter setting / import numpy",
        lambda: run(
            COMMAND,
            "formula",
            "run",
            "adapter_setting",
            "torque=100 N·m",
            "length=400 mm",
            "adapter_length=60 mm",
        ),
        import_numpy,
        figure=3.0,
        rounds=15,
    )
    assert ratio > 0


def test_run_of_the_long_form_by_thread(compare: Compare) -> None:
    ratio = compare(
        "formula run, long form with thread and bolt / import numpy",
        lambda: run(
            COMMAND,
            "formula",
            "run",
            "torque_from_clamp_long_form",
            "F=25 kN",
            "thread=M10",
            "bolt=ISO 4014",
            "hole_series=medium",
            "mu_th=0.12",
            "mu_b=0.10",
        ),
        import_numpy,
        figure=3.0,
        rounds=15,
    )
    assert ratio > 0


def test_all_published_values(compare: Compare) -> None:
    ratio = compare(
        "validate --json, all published values / import numpy",
        lambda: run(COMMAND, "validate", "--json"),
        import_numpy,
        rounds=3,
    )
    assert ratio > 0


def test_look_back_over_many_pulls(compare: Compare) -> None:
    """Wanted: less than two seconds in all; the reference only says how quick the machine is."""
    rng = np.random.default_rng(5)
    finding = Finding(before=-0.6, found=-5.2, window=365, u_before=0.4, u_found=0.4)
    time = rng.uniform(0, 365, PULLS)
    indicated = rng.uniform(20, 200, PULLS)
    ratio = compare(
        f"look back over {PULLS:,} pulls / drawing 2 normals each",
        lambda: look_back(
            finding, time=time, indicated=indicated, low=0.94 * indicated, high=1.06 * indicated
        ),
        lambda: rng.normal(size=(2, PULLS)),
    )
    assert ratio > 0
