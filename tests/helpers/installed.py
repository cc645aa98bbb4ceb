"""Packages that bring something: built and installed into a folder, and taken away again."""

from __future__ import annotations

import importlib
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from clampwright import extensions
from clampwright.procedure import vocabulary
from clampwright.report import sections
from clampwright.standards import added
from clampwright.trace import line_kind
from clampwright.work import pinned

EXAMPLES = Path(__file__).parents[2] / "examples" / "extensions"
REMEMBERED = (
    extensions.any_installed,
    extensions.every_point,
    vocabulary.added_languages,
    vocabulary.languages,
    vocabulary.marks_of,
    vocabulary.vocabulary,
    sections.added_sections,
    added.added_conditions,
    line_kind.added_kinds,
    line_kind._tell_once,  # noqa: SLF001 - the tests of the log begin anew
    pinned._rebuilt,  # noqa: SLF001 - it remembers plans
)
"""What a process looks for once, as a process that starts does."""
BUILD = """
import os, sys
import hatchling.build
out = sys.argv.pop(1)
for folder in sys.argv[1:]:
    os.chdir(folder)
    hatchling.build.build_wheel(out)
"""


def build(target: Path) -> Path:
    """Build every example as its own metadata say, and install the wheels into a folder.

    A wheel without scripts is installed by unpacking it (PyPA binary distribution format).
    """
    sources = [shutil.copytree(one, target / one.name) for one in sorted(EXAMPLES.iterdir())]
    wheels = target / "wheels"
    wheels.mkdir()
    subprocess.run([sys.executable, "-c", BUILD, str(wheels), *map(str, sources)], check=True)
    for wheel in wheels.glob("*.whl"):
        with zipfile.ZipFile(wheel) as packed:
            packed.extractall(target / "site")
    return target / "site"


def invent(
    site: Path, package: str, points: Mapping[str, Mapping[str, str]], files: Mapping[str, str]
) -> None:
    """Install an invented package: its entry points by group, and its files."""
    about = site / f"{package.replace('-', '_')}-2.1.dist-info"
    about.mkdir(parents=True)
    (about / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {package}\nVersion: 2.1\n")
    lines = [
        f"[{group}]\n" + "".join(f"{name} = {where}\n" for name, where in those.items())
        for group, those in points.items()
    ]
    (about / "entry_points.txt").write_text("\n".join(lines))
    for name, text in files.items():
        path = site / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


@contextmanager
def on_the_path(site: Path) -> Iterator[None]:
    """Let this process find what lies in a folder, as if it had started with it."""
    before = set(sys.modules)
    sys.path.insert(0, str(site))
    _forget()
    try:
        yield
    finally:
        sys.path.remove(str(site))
        for name in set(sys.modules) - before:
            file = getattr(sys.modules[name], "__file__", None) or ""
            if file.startswith(str(site)):
                del sys.modules[name]
        _forget()


def _forget() -> None:
    importlib.invalidate_caches()
    for one in REMEMBERED:
        one.cache_clear()
