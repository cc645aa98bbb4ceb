"""The package and its quick commands load nothing heavy; its public names are written down."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import clampwright

HEAVY = {
    "alembic",
    "cryptography",
    "fastapi",
    "numpy",
    "pydantic",
    "rich",
    "scipy",
    "sqlalchemy",
    "sqlite3",
    "typst",
    "uvicorn",
    "vl_convert",
}


VERSION = """
import sys
sys.argv = ["clampwright", "--version"]
from clampwright.cli import main
try:
    main()
except SystemExit:
    pass
"""


def loaded_by(code: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
    )
    return {name.partition(".")[0] for name in done.stdout.split()}


@pytest.mark.parametrize(
    "code",
    [
        "import clampwright",
        "import clampwright.cli",
        "import clampwright.units, clampwright.standards, clampwright.locale",
        "from clampwright.procedure.reader import read; read('Step 1: 30 Nm')",
        VERSION,
    ],
)
def test_nothing_heavy_is_loaded(code: str) -> None:
    assert not loaded_by(code) & HEAVY


def test_public_names_are_sorted_and_there() -> None:
    assert sorted(clampwright.__all__) == sorted(set(clampwright.__all__))
    assert all(hasattr(clampwright, name) for name in clampwright.__all__)


def test_version_is_told() -> None:
    command = Path(sys.executable).with_name("clampwright")
    done = subprocess.run([command, "--version"], capture_output=True, text=True, check=True)
    assert done.stdout == f"clampwright {clampwright.__version__}\n"
