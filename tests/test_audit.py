"""What is known of holes in packages is found, from a made-up list in the OSV format."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
TOOL = ROOT / "tools" / "audit.py"
LOCK = (ROOT / "requirements.lock").read_text("utf-8")
NUMPY = next(line.split("==")[1].split()[0] for line in LOCK.splitlines() if "numpy==" in line)


def advisory(**changes: Any) -> dict[str, Any]:
    """Invented, in the form of https://ossf.github.io/osv-schema/ (1.6)."""
    affected = {
        "package": {"ecosystem": "PyPI", "name": "NumPy"},
        "ranges": [{"type": "ECOSYSTEM", "events": [{"introduced": "0"}]}],
    }
    return {
        "schema_version": "1.6.0",
        "id": "INVENTED-2026-1",
        "modified": "2026-10-05T08:00:00Z",
        "summary": "An invented hole",
        "affected": [{**affected, **changes.pop("affected", {})}],
        **changes,
    }


def ranges(*events: dict[str, str]) -> dict[str, Any]:
    return {"ranges": [{"type": "ECOSYSTEM", "events": list(events)}]}


def run(path: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(TOOL), str(path)], capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize(
    ("changes", "count"),
    [
        ({}, 1),
        ({"affected": ranges({"introduced": "0"}, {"fixed": "0.1"})}, 0),
        ({"affected": ranges({"introduced": "0"}, {"fixed": "9999"})}, 1),
        ({"affected": ranges({"introduced": "0"}, {"last_affected": NUMPY})}, 1),
        ({"affected": ranges({"introduced": "9999"})}, 0),
        ({"affected": ranges({"introduced": "0"}, {"fixed": "0.1"}, {"introduced": "0.2"})}, 1),
        ({"affected": {"ranges": [], "versions": [NUMPY]}}, 1),
        ({"affected": {"ranges": [], "versions": ["0.0.1"]}}, 0),
        ({"affected": {"package": {"ecosystem": "PyPI", "name": "not-used-here"}}}, 0),
        ({"affected": {"package": {"ecosystem": "npm", "name": "numpy"}}}, 0),
        ({"withdrawn": "2026-10-06T08:00:00Z"}, 0),
    ],
)
def test_a_hole_is_found_where_the_version_is_affected(
    tmp_path: Path, changes: dict[str, Any], count: int
) -> None:
    file = tmp_path / "advisories.json"
    file.write_text(json.dumps([advisory(**changes)]), "utf-8")
    sys.path.insert(0, str(TOOL.parent))
    try:
        import audit  # noqa: PLC0415 - a tool of the makers, not part of the package
    finally:
        sys.path.pop(0)
    found = audit.holes(audit.locked(LOCK), audit.advisories(file))
    assert len([one for one in found if f"numpy {NUMPY}:" in one]) == count


def test_it_ends_with_what_it_found(tmp_path: Path) -> None:
    (tmp_path / "one.json").write_text(json.dumps(advisory()), "utf-8")
    found = run(tmp_path)
    assert found.returncode == 1
    assert f"numpy {NUMPY}: INVENTED-2026-1 An invented hole" in found.stdout
    (tmp_path / "one.json").write_text("no JSON", "utf-8")
    assert run(tmp_path).returncode == 2
    (tmp_path / "one.json").write_text("[]", "utf-8")
    assert (run(tmp_path).returncode, run(tmp_path / "gone").returncode) == (0, 2)
