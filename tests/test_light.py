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


SELDOM = {
    "alembic",
    "babel.dates",
    "icalendar",
    "numba",
    "pyarrow",
    "rich",
    "scipy",
    "segno",
    "serial",
    "typst",
    "vl_convert",
}
"""What a server needs for one page or file only, and so not to start."""

COMMAND = """
import sys
sys.argv = ["clampwright", *{words}]
from clampwright.cli import main
try:
    main()
except SystemExit:
    pass
"""
SERVER = """
from pathlib import Path
import uvicorn
from clampwright.web.app import create_app
create_app(Path(), hosts=())
"""


def loaded_by(code: str, text: str = "") -> set[str]:
    """Return what a fresh process has loaded after some code: packages and modules."""
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nprint()\nimport sys; print(*sys.modules)"],
        input=text,
        capture_output=True,
        text=True,
        check=True,
    )
    return set(done.stdout.splitlines()[-1].split())


@pytest.mark.parametrize(
    "code",
    [
        COMMAND.format(words=["--version"]),
        COMMAND.format(words=["read", "-"]),
        "import clampwright.units, clampwright.standards, clampwright.locale",
    ],
    ids=["version", "read", "library"],
)
def test_nothing_heavy_is_loaded(code: str) -> None:
    loaded = loaded_by(code, "Step 1: 30 Nm")
    assert "clampwright.locale" in loaded
    assert not loaded & HEAVY


def test_the_version_needs_neither_the_reader_nor_packages_that_bring_something() -> None:
    loaded = loaded_by(COMMAND.format(words=["--version"]))
    rooms = {name for name in loaded if name.startswith("clampwright.")}
    assert {name.split(".")[1] for name in rooms} == {"cli", "errors", "locale", "shown", "words"}
    assert "importlib.metadata" not in loaded


def test_a_server_starts_without_what_is_seldom_asked_for() -> None:
    loaded = loaded_by(SERVER)
    assert "clampwright.web.pages" in loaded
    assert not loaded & SELDOM


def test_public_names_are_sorted_and_there() -> None:
    assert sorted(clampwright.__all__) == sorted(set(clampwright.__all__))
    assert all(hasattr(clampwright, name) for name in clampwright.__all__)


def test_version_is_told() -> None:
    command = Path(sys.executable).with_name("clampwright")
    done = subprocess.run([command, "--version"], capture_output=True, text=True, check=True)
    assert done.stdout == f"clampwright {clampwright.__version__}\n"
