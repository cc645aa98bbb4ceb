"""What is handed out works outside the checkout: wheel, source archive, bill of materials."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import tarfile
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "clampwright"
LOCK = (ROOT / "requirements.lock").read_text("utf-8")


@dataclass(frozen=True)
class Made:
    """What is handed out."""

    wheel: Path
    archive: Path


def built(folder: Path, source: Path = ROOT) -> Made:
    """Build both in one process."""
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-t", "sdist", "-d", folder],
        cwd=source,
        check=True,
        capture_output=True,
    )
    (wheel,), (archive,) = folder.glob("*.whl"), folder.glob("*.tar.gz")
    return Made(wheel, archive)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return built(tmp_path_factory.mktemp("made"))


@pytest.fixture(scope="module")
def wheel(made: Made) -> Path:
    return made.wheel


@pytest.fixture(scope="module")
def archive(made: Made) -> Path:
    return made.archive


def test_the_wheel_holds_the_package_whole_and_nothing_else(wheel: Path) -> None:
    wanted = {
        f"clampwright/{path.relative_to(PACKAGE).as_posix()}"
        for path in PACKAGE.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts and path.suffix != ".pyc"
    }
    names = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert names == wanted


def test_the_same_source_gives_the_same_bytes_elsewhere_and_later(
    made: Made, tmp_path: Path
) -> None:
    """Built once more from another folder, with other times and rights of the files."""
    elsewhere = tmp_path / "elsewhere"
    with tarfile.open(made.archive) as packed:
        packed.extractall(elsewhere, filter="data")
    (source,) = elsewhere.iterdir()
    for number, path in enumerate(sorted(source.rglob("*"))):
        os.utime(path, (1_000_000_000 + number, 1_000_000_000 + number))
        if path.is_file():
            path.chmod(0o664 if number % 2 else 0o640)
    (source / "PKG-INFO").unlink()
    shutil.copy(ROOT / ".gitignore", source)
    again = built(tmp_path / "again", source)
    for one, other in ((made.wheel, again.wheel), (made.archive, again.archive)):
        assert hashlib.sha256(other.read_bytes()).digest() == (
            hashlib.sha256(one.read_bytes()).digest()
        ), one.name


def test_the_main_job_runs_from_the_wheel_alone(wheel: Path, tmp_path: Path) -> None:
    """Installed into a folder of its own, and run from another, far from the checkout."""
    place = tmp_path / "installed"
    shutil.unpack_archive(wheel, place, "zip")
    script = (
        "import sys; sys.path.insert(0, sys.argv.pop(1)); import clampwright;"
        "print(clampwright.__file__, file=sys.stderr); from clampwright.cli import main; main()"
    )

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-P", "-c", script, str(place), *arguments],
            cwd=tmp_path,
            env={"PATH": "/usr/bin:/bin", "HOME": str(tmp_path)},
            capture_output=True,
            text=True,
            check=False,
        )

    done = run("demo", "--folder", "shop", "--job", "trailer-wheel")
    assert done.returncode == 0, done.stderr
    assert str(place) in done.stderr
    verified = run("verify", "shop/records/trailer-wheel.json")
    assert verified.returncode == 0, verified.stderr


def test_the_source_archive_has_what_the_tests_need(archive: Path) -> None:
    with tarfile.open(archive) as packed:
        names = {name.partition("/")[2] for name in packed.getnames()}
    needed = ("Makefile", "requirements.lock", "package.json", "package-lock.json", "tsconfig.json")
    assert set(needed) <= names
    for path in ("src/clampwright/__init__.py", "tests/conftest.py", "tools/catalogue.py"):
        assert path in names


def test_what_no_test_tries_says_so() -> None:
    for path in sorted((ROOT / "examples/deploy").iterdir()):
        assert "not tried" in path.read_text("utf-8").lower(), path


def test_the_bill_of_materials_is_that_of_the_lock(tmp_path: Path) -> None:
    file = tmp_path / "bill.json"
    subprocess.run([sys.executable, str(ROOT / "tools/sbom.py"), str(file)], check=True)
    bill = json.loads(file.read_text("utf-8"))
    assert (bill["bomFormat"], bill["specVersion"]) == ("CycloneDX", "1.5")
    listed = {f"{one['name']}=={one['version']}" for one in bill["components"]}
    pinned = re.findall(r"^([a-z0-9][\w.-]*)(?:\[[^\]]*\])?==([^ ;\\]+)", LOCK, re.MULTILINE)
    assert listed == {f"{name}=={version}" for name, version in pinned}
    assert sum(len(one["hashes"]) for one in bill["components"]) == LOCK.count("--hash=sha256:")
    assert "://" not in file.read_text("utf-8"), "no address of any place to fetch from"
