"""Change the code in small ways and see whether the tests notice: mutation trials.

``python tools/mutants.py`` tries every module named under ``[tool.mutmut.modules]`` in
``pyproject.toml``, each with the tests named there; ``python tools/mutants.py store/reading``
tries one. What survives is printed as a difference and kept in ``build/mutants``; mutants that
cannot be told from the code by any test stand in ``docs/validation/equivalent-mutants.csv`` with
the reason. The exit status is 1 when fewer than nine in ten of a module's mutants are found.
"""

from __future__ import annotations

import csv
import json
import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
WHERE = ROOT / "build" / "mutants"
EQUIVALENT = ROOT / "docs" / "validation" / "equivalent-mutants.csv"
WANTED = 0.9
PATIENCE = 6.0
"""What a mutant that ran out of time is given more, s, before the limit's multiplier."""
SURVIVED, NO_TEST = 0, 33
NOT_TRIED = {None, 2}


@dataclass(frozen=True)
class Survivor:
    """A change that no test noticed.

    Parameters
    ----------
    function : str
    removed, added : str
        The line as it is, and as it was changed to.
    """

    function: str
    removed: str
    added: str


def settings() -> dict[str, Any]:
    """Return what ``pyproject.toml`` says of mutation trials."""
    data = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    found: dict[str, Any] = data["tool"]["mutmut"]
    return found


def workplace(module: str, tests: Sequence[str], common: Mapping[str, Any]) -> Path:
    """Make a folder in which one module is tried with its own tests.

    Parameters
    ----------
    module : str
        For example ``store/reading``.
    tests : sequence of str
        Files, relative to ``tests``.
    common : mapping
        Settings of mutmut for all modules.

    Returns
    -------
    pathlib.Path
    """
    folder = WHERE / module.replace("/", ".")
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name in ("src", "tests", "tools", "examples", "docs"):
        (folder / name).symlink_to(ROOT / name)
    kept = (ROOT / "pyproject.toml").read_text("utf-8").split("[tool.mutmut]")[0]
    own = {
        **common,
        "source_paths": ["src"],
        "only_mutate": [f"src/clampwright/{module}.py"],
        "also_copy": ["tools", "examples", "docs"],
        "pytest_add_cli_args_test_selection": [f"tests/{name}" for name in tests],
    }
    lines = [f"{name} = {json.dumps(value)}" for name, value in own.items()]
    (folder / "pyproject.toml").write_text(f"{kept}[tool.mutmut]\n" + "\n".join(lines) + "\n")
    return folder


def mutmut(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run mutmut in a workplace."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    environment["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    return subprocess.run(  # noqa: S603 - its own arguments, none of them typed by a stranger
        [str(Path(sys.executable).with_name("mutmut")), *arguments],
        cwd=folder,
        env=environment,
        text=True,
        capture_output=True,
        check=False,
    )


def shown(folder: Path, name: str) -> Survivor:
    """Return what was changed by a mutant."""
    lines = mutmut(folder, "show", name).stdout.splitlines()
    changed = [line for line in lines if line[:1] in {"-", "+"} and line[:3] not in {"---", "+++"}]
    removed = " ".join(line[1:].strip() for line in changed if line[0] == "-")
    added = " ".join(line[1:].strip() for line in changed if line[0] == "+")
    function = name.rpartition(".")[2].rpartition("__mutmut_")[0]
    return Survivor(function.replace("xǁ", "").replace("ǁ", ".").removeprefix("x_"), removed, added)


def known_equivalent(module: str) -> set[tuple[str, str, str]]:
    """Return the mutants of a module that no test can tell from its code."""
    with EQUIVALENT.open(newline="", encoding="utf-8") as file:
        return {
            (row["function"], row["removed"], row["added"])
            for row in csv.DictReader(file)
            if row["module"] == module
        }


def tried(module: str, tests: Sequence[str], common: Mapping[str, Any]) -> tuple[int, int, int]:
    """Try one module; return its mutants, those found, and those that cannot be found."""
    folder = workplace(module, tests, common)
    at_once = ("run", "--max-children", os.environ.get("MUTANTS_AT_ONCE", "2"))
    mutmut(folder, *at_once)
    # On a busy machine a quick limit of time also ends what was only slow: tried again, patiently.
    file = folder / "pyproject.toml"
    hasty = f"timeout_constant = {common['timeout_constant']}"
    file.write_text(
        file.read_text("utf-8").replace(hasty, f"timeout_constant = {PATIENCE}"), "utf-8"
    )
    done = mutmut(folder, *at_once)
    meta = folder / "mutants" / "src" / "clampwright" / f"{module}.py.meta"
    if done.returncode or not meta.is_file():
        raise SystemExit(f"{module}: the trial did not run\n{done.stdout[-4000:]}{done.stderr}")
    codes: dict[str, int | None] = json.loads(meta.read_text("utf-8"))["exit_code_by_key"]
    if untried := [name for name, code in codes.items() if code in NOT_TRIED]:
        raise SystemExit(f"{module}: {len(untried)} mutants were not tried")
    left = [shown(folder, name) for name, code in codes.items() if code in {SURVIVED, NO_TEST}]
    known = known_equivalent(module)
    same = [one for one in left if (one.function, one.removed, one.added) in known]
    survived = [one for one in left if one not in same]
    total = len(codes)
    found = len(codes) - len(left)
    text = "".join(f"{one.function}\n  - {one.removed}\n  + {one.added}\n" for one in survived)
    (folder / "survivors.txt").write_text(text, "utf-8")
    print(text, end="")
    counted = total - len(same)
    print(
        f"| `{module}` | {total} | {found} | {len(survived)} | {len(same)} | "
        f"{found / counted if counted else 1:.1%} |",
        flush=True,
    )
    return total, found, len(same)


def main(asked: Sequence[str]) -> int:
    """Try the modules asked for, or all; return the exit status."""
    common = settings()
    modules: dict[str, list[str]] = common.pop("modules")
    short = False
    for module in asked or modules:
        total, found, same = tried(module, modules[module], common)
        short = short or found < WANTED * (total - same)
    return int(short)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
